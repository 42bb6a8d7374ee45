"""Which language somebody is spoken to in: one catalogue for pages, sentences, drawings and printed sheets.

The English text is the key. What a language has no text for stays English. Which language is meant holds for one task (a request,
a sheet) and ends with it.
"""

import gettext
import io
from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from functools import cache
from importlib import resources

ENGLISH = "en"
NAMES = {
    ENGLISH: "English",
    "es": "Español",
}  # every language that there is a catalogue for, as its speakers call it
OFFERED = (ENGLISH,)  # those that are whole

_spoken: ContextVar[str] = ContextVar("spoken", default=ENGLISH)


@contextmanager
def speaking(code: str) -> Iterator[None]:
    """Speak the language `code` within this block; English where it is not offered."""
    before = _spoken.set(code if code in OFFERED else ENGLISH)
    try:
        yield
    finally:
        _spoken.reset(before)


def spoken() -> str:
    """The code of the language that is spoken now."""
    return _spoken.get()


def translated(text: str, context: str = "") -> str:
    """`text` in the language that is spoken now.

    Args:
        text: in English.
        context: which meaning of it, where one English word has several.
    """
    if spoken() == ENGLISH or not text:
        return text
    book = catalogue(spoken())
    return book.pgettext(context, text) if context else book.gettext(text)


def number(text: str) -> str:
    """A plain decimal with the mark of the language that is spoken now: 142.5 is 142,5 in Spanish."""
    return text.replace(".", translated(".", "decimal mark"))


@cache
def catalogue(code: str) -> gettext.GNUTranslations:
    """All texts of a language, read once."""
    import polib

    file = resources.files("floorward").joinpath("locale", code, "LC_MESSAGES", "django.po")
    return gettext.GNUTranslations(io.BytesIO(polib.pofile(file.read_text(encoding="utf-8")).to_binary()))
