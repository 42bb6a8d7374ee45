"""Every text that a person may read, gathered from where it stands, and the catalogue that must hold it.

`python -m tests.catalogue` brings the catalogues up to date: new texts come in empty, texts that nothing says any more go.
"""

import ast
import re
import sys
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from pathlib import Path

import polib
from django.template.base import Lexer, Token, TokenType
from django.utils.text import smart_split
from django.utils.translation.template import trim_whitespace

from floorward import language, tables
from floorward.reports import wording

SOURCE = Path(__file__).parents[1] / "src" / "floorward"
TEMPLATES = SOURCE / "web" / "templates"
MARKED = {"_", "translated", "gettext", "gettext_lazy", "gettext_noop"}
IN_A_TAG = re.compile(r"""_\("([^"]+)"\)""")
A_DATE = re.compile(r"""\|date:"([^"]+)\"""")


@dataclass(frozen=True, slots=True)
class Text:
    """A text in English, what it is about where it has several meanings, its plural where it counts, and where it stands."""

    text: str
    context: str = ""
    plural: str = ""
    place: str = ""

    @property
    def key(self) -> tuple[str, str]:
        return self.context, self.text


def file_of(code: str) -> Path:
    return SOURCE / "locale" / code / "LC_MESSAGES" / "django.po"


@cache
def everything() -> dict[tuple[str, str], Text]:
    """Every text once, in the order in which they stand: pages, forms and views, sentences and words, the warning-sign questions."""
    found: dict[tuple[str, str], Text] = {}
    for text in (*_of_templates(), *_of_code(), *_of_wording(), *_of_screen(), Text(".", "decimal mark")):
        if text.key not in found or text.plural:
            found[text.key] = text
    return found


def tokens(file: Path) -> list[Token]:
    return Lexer(file.read_text(encoding="utf-8")).tokenize()


def _of_templates() -> Iterator[Text]:
    for file in sorted(TEMPLATES.rglob("*.html")):
        place = f"templates/{file.relative_to(TEMPLATES)}"
        for text in _of_template(tokens(file)):
            yield Text(text.text, text.context, text.plural, place)


def _of_template(stream: list[Token]) -> Iterator[Text]:
    waiting = iter(stream)
    for token in waiting:
        if token.token_type not in {TokenType.BLOCK, TokenType.VAR}:
            continue
        for form in A_DATE.findall(token.contents):
            yield Text(form, "date")
        for text in IN_A_TAG.findall(token.contents):
            yield Text(text)
        words = list(smart_split(token.contents))
        if token.token_type is TokenType.BLOCK and words[0] == "translate":
            yield Text(
                words[1][1:-1].replace("%", "%%"),
                words[words.index("context") + 1][1:-1] if "context" in words else "",
            )
        elif token.token_type is TokenType.BLOCK and words[0] == "blocktranslate":
            yield _block(waiting)


def _block(waiting: Iterator[Token]) -> Text:
    sides: list[list[str]] = [[]]
    for token in waiting:
        if token.token_type is TokenType.BLOCK:
            if token.contents != "plural":
                break
            sides.append([])
        elif token.token_type is TokenType.VAR:
            sides[-1].append(f"%({token.contents})s")
        else:
            sides[-1].append(token.contents.replace("%", "%%"))
    single, *plural = (trim_whitespace("".join(side)) for side in sides)
    return Text(single, "", plural[0] if plural else "")


def _of_code() -> Iterator[Text]:
    for file in sorted(SOURCE.rglob("*.py")):
        for node in ast.walk(ast.parse(file.read_text(encoding="utf-8"))):
            called = getattr(node, "func", None)
            name = getattr(called, "id", getattr(called, "attr", ""))
            if isinstance(node, ast.Call) and name in MARKED:
                texts = [
                    a.value if isinstance(a, ast.Constant) and isinstance(a.value, str) else ""
                    for a in node.args
                ]
                if texts and texts[0]:
                    yield Text(
                        texts[0],
                        texts[1] if name == "translated" and len(texts) > 1 else "",
                        place=str(file.relative_to(SOURCE)),
                    )


def _of_wording() -> Iterator[Text]:
    for code, text in wording.sentences().items():
        yield Text(text, place=f"sentence {code}")
    for group, entries in wording.groups().items():
        for code, text in entries.items():
            yield Text(text, group, place=f"word {group}.{code}")


def _of_screen() -> Iterator[Text]:
    table = tables.load("screen")
    for row in (*table["question"], *table["age"]):
        yield Text(row["text"], place="tables/screen.toml")
    for row in table["outcome"].values():
        for text in (row["title"], row["say"], *row["do"]):
            yield Text(text, place="tables/screen.toml")


def renew(code: str) -> polib.POFile:
    """The catalogue of a language as it should stand: what is known is kept, in the order in which it is said."""
    file = file_of(code)
    known = {(e.msgctxt or "", e.msgid): e for e in polib.pofile(str(file))} if file.exists() else {}
    book = polib.POFile(wrapwidth=0)
    book.metadata = {
        "Content-Type": "text/plain; charset=utf-8",
        "Content-Transfer-Encoding": "8bit",
        "Language": code,
        "Plural-Forms": "nplurals=2; plural=(n != 1);",
    }
    for key, text in everything().items():
        old = known.get(key)
        entry = polib.POEntry(msgid=text.text, msgctxt=text.context or None, comment=text.place)
        if text.plural:
            entry.msgid_plural = text.plural
            entry.msgstr_plural = old.msgstr_plural if old and old.msgstr_plural else {0: "", 1: ""}
        elif old:
            entry.msgstr = old.msgstr
        book.append(entry)
    return book


def main() -> None:
    for code in language.NAMES:
        if code != language.ENGLISH:
            file_of(code).parent.mkdir(parents=True, exist_ok=True)
            book = renew(code)
            book.save(str(file_of(code)))
            empty = len(book.untranslated_entries())
            sys.stdout.write(f"{code}: {len(book)} texts, {empty} without a translation\n")


if __name__ == "__main__":
    main()
