"""One catalogue for everything that is said: English is the key, what has no text stays English."""

from decimal import Decimal

from floorward import language
from floorward.core.findings import Finding
from floorward.reports.wording import sentence, word


def test_english_needs_no_catalogue():
    assert language.spoken() == "en"
    assert language.translated("Back") == "Back"
    assert language.number("142.5") == "142.5"


def test_a_language_nobody_wrote_is_english(spanish):
    with language.speaking("xx"):
        assert language.spoken() == "en"
    assert language.spoken() == "es"


def test_what_has_no_text_stays_as_it_is(spanish):
    assert language.translated("No such sentence stands anywhere.") == "No such sentence stands anywhere."


def test_one_word_has_a_text_for_each_meaning(spanish):
    assert word("change", "back") == "Retroceder"
    assert word("region", "low-back") == "zona lumbar"


def test_loads_are_written_with_a_comma_and_stay_exact(spanish):
    assert language.number("142.5") == "142,5"
    finding = Finding(code="over-decided", numbers={"most": "142.5 kg"})
    assert "142,5 kg" in sentence(finding)
    assert "1,5" in sentence(Finding(code="line-worth", numbers={"worth": 1.5}))
    assert sentence(Finding(code="note-week", numbers={"week": 2, "score": Decimal("3.5")})).endswith("3,5")
