import re
import tomllib
from importlib import resources
from string import Formatter

import pytest

from floorward.core.findings import Finding
from floorward.core.lifts import catalogue
from floorward.errors import ContractError
from floorward.reports.wording import sentence, sentence_for, word, words

FILES = sorted(
    (f for f in resources.files("floorward.reports").iterdir() if re.fullmatch(r"wording\w*\.toml", f.name)),
    key=lambda f: f.name,
)
TEXTS = {f.name: tomllib.loads(f.read_text(encoding="utf-8")) for f in FILES}
SENTENCES = [
    (name, code, text) for name, texts in TEXTS.items() for code, text in texts.get("sentences", {}).items()
]
# What the tool never says: it is no clinician. "not a diagnosis" says exactly that.
NEVER = r"\b(diagnos\w*|discs?|tears?|torn|strain\w*|sprain\w*|impinge\w*|treat\w*|cures?|prescri\w*|red flags?)\b"


@pytest.mark.parametrize("lift", catalogue().values(), ids=lambda lift: lift.key)
def test_every_lift_of_the_catalogue_and_what_it_trains_has_a_word_that_can_be_translated(lift):
    called = {**words("lift"), **words("other-lift"), **words("offered-lift")}
    assert lift.key in called
    assert {*lift.direct, *lift.indirect} <= set(words("muscle"))


@pytest.mark.parametrize(("name", "code", "text"), SENTENCES)
def test_a_sentence_about_a_step_names_the_unit_of_every_load(name, code, text):
    assert re.findall(r"\{(?:ruled|next)_load\}(?! \{unit\})", text) == []


def test_a_finding_becomes_its_sentence_with_its_numbers():
    assert sentence(Finding(code="drawn-ceiling", numbers={"score": 3})) == "ceiling 3"


@pytest.mark.parametrize(("code", "numbers"), [("no-such-code", {}), ("drawn-ceiling", {})])
def test_a_code_without_sentence_or_number_is_our_mistake(code, numbers):
    with pytest.raises(ContractError, match=code):
        sentence_for(code, numbers)


def test_a_word_that_is_missing_is_our_mistake():
    with pytest.raises(ContractError, match="sideways"):
        word("drawing", "sideways")


def test_words_keep_the_order_of_their_file():
    assert next(iter(words("weekday"))) == "monday"
    assert len(words("month")) == 12


def test_no_code_has_two_sentences():
    codes = [code for _, code, _ in SENTENCES]
    assert sorted({code for code in codes if codes.count(code) > 1}) == []


def test_every_placeholder_has_a_plain_name():
    names = {
        (code, name)
        for _, code, text in SENTENCES
        for _, name, _, _ in Formatter().parse(text)
        if name is not None
    }
    assert (
        sorted((code, name) for code, name in names if not re.fullmatch(r"[A-Za-z][A-Za-z0-9_]*", name)) == []
    )


def test_no_sentence_says_what_only_a_clinician_may():
    def is_said(text):
        return re.search(NEVER, re.sub(r"not an? (medical )?diagnosis", "", text), flags=re.IGNORECASE)

    assert [(name, code) for name, code, text in SENTENCES if is_said(text)] == []
