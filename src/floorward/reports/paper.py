"""What printed pages share: whatever a person typed travels as data and is set as plain text; one PDF out."""

import json
import re
import unicodedata
from collections.abc import Mapping
from functools import cache
from importlib import resources
from typing import Any

import typst

from floorward.errors import ContractError
from floorward.language import spoken

_UNBROKEN_MOST = 22
# the shipped face, then for names in other scripts what a machine may have; without them some face of one width would be taken
_SCRIPTS = ("Arabic", "Hebrew", "Devanagari", "Bengali", "Tamil", "Thai", "Georgian", "Armenian", "CJK SC")
FACES = (
    "Source Sans Pro",
    "Noto Sans",
    *(f"Noto Sans {name}" for name in _SCRIPTS),
    "DejaVu Sans",
    "Libertinus Serif",
)


def pdf(template: str, data: Mapping[str, Any]) -> bytes:
    """`data` set by `template` (a .typ file beside this module) as PDF, tagged for screen readers (PDF/UA-1).

    Letters that the shipped face lacks come from the machine's own faces, and the file then makes no promise of PDF/UA. The same
    data always gives the same bytes.
    """
    text = json.dumps({**data, "lang": spoken(), "faces": FACES}, ensure_ascii=False)
    try:
        return _compiled(template, text, tagged=True)
    except typst.TypstError:
        return _compiled(template, text, tagged=False)


def shown(text: str) -> str:
    """A person's words fit to be set: long unbroken runs may break, control and direction marks are gone."""
    return re.sub(rf"(\S{{{_UNBROKEN_MOST}}})(?=\S)", "\\1\u200b", plain_words(text))


def plain_words(text: str) -> str:
    """A person's words without control, direction and unassigned characters, single spaces between them."""
    kept = (c if unicodedata.category(c) not in {"Cc", "Cf", "Cs", "Co", "Cn"} else " " for c in text)
    return " ".join("".join(kept).split())


def _compiled(template: str, data: str, *, tagged: bool) -> bytes:
    faces = str(resources.files("font_source_sans_pro") / "files")
    # one compiler a page: it may not be shared between threads
    compiler = typst.Compiler(  # type: ignore[misc]  # its stub leaves a type variable open
        _template(template), font_paths=[faces], ignore_system_fonts=tagged, sys_inputs={"said": data}
    )
    made = compiler.compile(pdf_standards=["ua-1" if tagged else "1.7"])
    if not isinstance(made, bytes):
        raise ContractError(f"{template} must make one PDF")
    return made


@cache
def _template(name: str) -> bytes:
    return resources.files(__package__).joinpath(name).read_bytes()
