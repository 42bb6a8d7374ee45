"""The catalogue is whole: every text that a person may read is marked, and each has its text in every language."""

import ast
import re

import polib
import pytest

from floorward import language
from tests import catalogue

LANGUAGES = sorted(set(language.NAMES) - {language.ENGLISH})
# letters that stand on a page without being words of English
NO_WORDS = {
    "floorward": "the name",
    "PUBLIC_ADDRESS": "a setting's own name",
    "RPE": "the same in every language of the sport",
    "serve": "a command",
    "lan": "a command",
    **dict.fromkeys(("kg", "lb", "cm", "mm", "min"), "units"),
}
SPOKEN_ATTRIBUTES = r"""\b(?:aria-label|placeholder|title|alt|data-busy)="([^"]*)\""""


def book(code):
    return polib.pofile(str(catalogue.file_of(code)), wrapwidth=0)


def bare_words(file):
    """Letters on a page that no tag hands to the catalogue."""
    text = re.sub(
        r"\{% blocktranslate.*?endblocktranslate %\}|\{% block main_class %\}.*?\{% endblock %\}",
        "",
        file.read_text(),
        flags=re.DOTALL,
    )
    text = re.sub(r"\{%.*?%\}|\{\{.*?\}\}|\{#.*?#\}", "\0", text)
    spoken = " ".join(re.findall(SPOKEN_ATTRIBUTES, text))
    seen = re.sub(r"<[^>]*>|&\w+;", " ", text)
    return sorted({word for word in re.findall(r"[^\W\d]+", f"{seen} {spoken}") if word not in NO_WORDS})


def test_a_page_says_nothing_that_is_not_in_the_catalogue():
    found = {
        str(f.relative_to(catalogue.TEMPLATES)): bare_words(f) for f in catalogue.TEMPLATES.rglob("*.html")
    }
    assert {name: words for name, words in found.items() if words} == {}


def test_a_form_says_nothing_that_is_not_in_the_catalogue():
    bare = []
    for file in sorted((catalogue.SOURCE / "web").rglob("*.py")):
        for node in ast.walk(ast.parse(file.read_text())):
            named = [k.value for k in getattr(node, "keywords", []) if k.arg in {"label", "help_text"}]
            called = getattr(getattr(node, "func", None), "attr", "")
            wrong = list(getattr(node, "args", []))[:1] if called == "ValidationError" else []
            bare += [
                f"{file.name}: {text.value}"
                for text in (*named, *wrong)
                if isinstance(text, ast.Constant) and text.value and text.value not in NO_WORDS
            ]
    assert bare == []


@pytest.mark.parametrize("code", LANGUAGES)
def test_the_catalogue_holds_every_text_and_none_besides(code):
    held = {(entry.msgctxt or "", entry.msgid) for entry in book(code)}
    said = set(catalogue.everything())
    assert (sorted(said - held), sorted(held - said)) == ([], []), "make words"


@pytest.mark.parametrize("code", LANGUAGES)
def test_every_text_is_translated_and_nobody_is_unsure_of_it(code):
    assert [entry.msgid for entry in book(code).untranslated_entries()] == []
    assert [entry.msgid for entry in book(code) if entry.fuzzy or entry.obsolete] == []


def filled_in(text):
    """What is filled in, and what must stay as it is: placeholders with their form, tags, doubled percent signs."""
    return sorted(re.findall(r"%\(\w+\)s|\{[^}]*\}|%%|</?\w+>", text))


@pytest.mark.parametrize("code", LANGUAGES)
def test_the_same_is_filled_in_on_both_sides(code):
    pairs = []
    for entry in book(code):
        if entry.msgid_plural:
            pairs += [
                (entry.msgid, entry.msgstr_plural[0]),
                (entry.msgid_plural, entry.msgstr_plural[1]),
            ]
        else:
            pairs.append((entry.msgid, entry.msgstr))
    assert [(one, other) for one, other in pairs if filled_in(one) != filled_in(other)] == []


@pytest.mark.parametrize("code", LANGUAGES)
def test_edges_of_a_text_are_kept(code):
    """A space or a line's end at the edge of a text glues it to what stands beside it."""
    wrong = [
        e.msgid
        for e in book(code)
        if e.msgstr
        and (e.msgid[0].isspace(), e.msgid[-1].isspace()) != (e.msgstr[0].isspace(), e.msgstr[-1].isspace())
    ]
    assert wrong == []
