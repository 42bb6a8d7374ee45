"""What nobody types in good faith, and how to find where it can be typed."""

from html.parser import HTMLParser

TEXTS = (
    "",
    " ",
    "0",
    "-1",
    "-0",
    "1e400",
    "-1e400",
    "1e-400",
    "NaN",
    "sNaN",
    "Infinity",
    "1_000",
    "1,5",
    "0x10",
    "²",
    "٣",
    "９",
    "½",
    "9" * 40,
    "0." + "3" * 60,
    "99999999999999999999",
    "9999-12-31",
    "0001-01-01",
    "2026-02-30",
    "2026-11-23",
    "23:99",
    "=1+1",
    '=HYPERLINK("http://elsewhere.example","look")',
    "@SUM(A1:A9)",
    "+cmd|' /C calc'!A0",
    "\t=1",
    "<script>alert(1)</script>",
    '"><img src=x onerror=alert(1)>',
    "' OR 1=1 --",
    "{name} {0.__class__.__init__} %s %n {{ settings.SECRET_KEY }} {% debug %}",
    '#set text(size: 99pt) #read("secret.key") $ \\ * _ @x <y>',
    "../../../secret.key",
    "..\\..\\secret.key",
    "file\0.txt",
    "\0",
    "\x01\x02\x07\x1b[31m\x7f",
    "\r\nSet-Cookie: a=b",
    "\u202egnirts\u202c",
    "\u200f\u200e\u2066\ufeff",
    "\ud7ff\ue000\ufffe\U0010ffff",
    "e\u0301" * 30,
    "👩🏽‍🦽" * 20,
    "a" * 400,
    "ب" * 5000,
    "on",
    "true",
    "None",
    "kg",
    "lb",
    "deadlift",
    "low-back",
    "yes",
    "no",
    "unsure",
    "100",
    "100 kg",
    "2.5",
    "3",
    "5",
    "10",
    "11",
)


class Forms(HTMLParser):
    """The forms of a page: where each leads, and the names in it with the values offered."""

    def __init__(self, address: str) -> None:
        super().__init__()
        self.address = address
        self.found: list[tuple[str, str, dict[str, list[str]]]] = []
        self._open: tuple[str, str, dict[str, list[str]]] | None = None
        self._select = ""

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        said = {name: value or "" for name, value in attrs}
        if tag == "form":
            self._open = (said.get("method", "get").lower(), said.get("action") or self.address, {})
            self.found.append(self._open)
        elif self._open is not None and tag in {"input", "select", "textarea", "button"} and said.get("name"):
            self._open[2].setdefault(said["name"], []).append(said.get("value", ""))
            self._select = said["name"]
        elif self._open is not None and tag == "option" and self._select:
            self._open[2].setdefault(self._select, []).append(said.get("value", ""))

    def handle_endtag(self, tag: str) -> None:
        if tag == "form":
            self._open = None


def forms_of(page: str, address: str) -> list[tuple[str, str, dict[str, list[str]]]]:
    """(method, address, names with offered values) of each form on a page."""
    reader = Forms(address)
    reader.feed(page)
    return reader.found
