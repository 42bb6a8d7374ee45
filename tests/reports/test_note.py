import re
from dataclasses import replace
from io import BytesIO

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from pypdf import PdfReader

from floorward.reports.hand_off import Act
from floorward.reports.note import note_pdf
from tests.reports.notes import HOSTILE, LONG, NOTE, ONSET, evening, lifted, scores, screened

NEVER = ("disc", "tear", "strain", "sprain", "impingement", "treat", "cure", "prescribe", "red flag")


def made(note):
    return PdfReader(BytesIO(note_pdf(note)))


def text(note):
    return re.sub(r"[\s\u200b]+", " ", " ".join(page.extract_text() for page in made(note).pages))


def much():
    """Everything as long as it can be: two years of evenings, a name and a question of full length, every answer a yes."""
    every = {one.id: "unsure" for one in screened().answers}
    return replace(
        NOTE,
        name=LONG[:80],
        coach=LONG[:80],
        gym=LONG[:80],
        question=(HOSTILE + " word " * 200)[:600],
        said=tuple(f"Eases it: {'x' * 190}." for _ in range(4)),
        screens=(replace(screened(**every), cleared="c" * 300), *(screened(n) for n in range(9))),
        evenings=tuple(evening(n, lift=LONG) for n in range(200)),
        scores=scores(700),
        accepted=tuple(lifted(f"a{n}", "107.5", 3, lift=LONG) for n in range(30)),
        acts=tuple(Act(day=ONSET, text=f"{LONG} {n}") for n in range(60)),
    )


def test_the_note_says_what_is_on_record():
    said = text(NOTE)
    for words in (
        "Note to a clinician about Abel Norwood", "born 1991", "176 cm", "May he pull from blocks?",
        "Pain in the low back since 2 November 2026 (21 days).",
        "First reported: deadlift, 200 kg × 3, pain 7.", "Usual load of that lift: 200 kg.", "Eases it: walking.",
        "Asked on 2 November 2026 at 18:10 by Bram Okello.", "deadlift, 107.5 kg × 3, pain 3", "97.5 kg 3 × 5 1 3 2 1",
        "Forward: deadlift, 97.5 kg.", "not a diagnosis", "Written by Bram Okello, strength coach, Canal Street Iron",
        "with the consent of the lifter", "week 1: 1, week 2: 1",
    ):  # fmt: skip
        assert words in said, words


def test_every_answer_stands_on_the_note_with_its_question():
    said = text(NOTE)
    for one in NOTE.screens[0].answers:
        assert re.sub(r"\s+", " ", one.text) in said
    yes = next(one for one in NOTE.screens[0].answers if one.answer == "yes")
    assert f"Yes: {yes.text}" in said


def test_a_repeat_of_some_questions_does_not_hide_the_answers_to_all():
    repeat = replace(screened(3), answers=screened().answers[:2])
    said = text(replace(NOTE, screens=(repeat, *NOTE.screens)))
    assert "Asked on 5 November 2026" in said
    assert "Asked on 2 November 2026" in said
    assert re.sub(r"\s+", " ", NOTE.screens[0].answers[-1].text) in said


def test_each_sentence_is_a_paragraph_of_its_own_for_whoever_has_it_read_aloud():
    document = tree(made(NOTE).trailer["/Root"]["/StructTreeRoot"])["k"][0]
    kinds = [node["/S"] for node in document["k"]]
    assert set(kinds) == {"/H1", "/H2", "/P", "/L", "/Table"}
    assert kinds[:4] == ["/H1", "/P", "/H2", "/P"]  # whose, and the question
    assert kinds[4:9] == [
        "/H2",
        "/P",
        "/P",
        "/P",
        "/P",
    ]  # what happened: began, first report, usual load, what eases it


def test_the_note_is_tagged_titled_and_in_a_language():
    reader = made(NOTE)
    root = reader.trailer["/Root"]
    assert root["/MarkInfo"]["/Marked"]
    assert root["/Lang"] == "en"
    assert reader.metadata.title == "Note to a clinician about Abel Norwood"
    assert root["/ViewerPreferences"]["/DisplayDocTitle"]
    assert b"pdfuaid:part" in root["/Metadata"].get_data()
    kinds = set(re.findall(r"/S'?: '?(/\w+)", str(tree(root["/StructTreeRoot"]))))
    assert {"/H1", "/H2", "/Table", "/TH", "/TD", "/L", "/LI"} <= kinds


def tree(node):
    node = node.get_object() if hasattr(node, "get_object") else node
    if isinstance(node, list):
        return [tree(one) for one in node]
    if not isinstance(node, dict):
        return None
    return {"/S": node.get("/S"), "k": tree(node.get("/K"))}


def test_however_much_there_is_to_tell_it_stays_one_page_and_counts_what_it_leaves_out():
    reader = made(much())
    said = re.sub(r"[\s\u200b]+", " ", reader.pages[0].extract_text())
    assert len(reader.pages) == 1
    assert "188 earlier ones are not shown." in said
    assert "50 earlier ones are not shown." in said
    assert "not a diagnosis" in said


def test_the_same_note_gives_the_same_bytes():
    assert note_pdf(NOTE) == note_pdf(NOTE)


def test_what_a_person_typed_is_words_and_nothing_else():
    reader = made(replace(NOTE, question=HOSTILE, name=HOSTILE[:80]))
    assert len(reader.pages) == 1
    said = reader.pages[0].extract_text()
    assert "#eval(1)" in said
    assert "\u202e" not in said


@pytest.mark.parametrize("word", NEVER)
def test_no_word_of_ours_names_a_cause(word):
    from floorward.reports.wording import sentences, words

    ours = [text for code, text in sentences().items() if code.startswith(("note-", "record-"))]
    assert not [line for line in (*ours, *words("note").values()) if re.search(rf"\b{word}", line.lower())]


@settings(max_examples=4)
@given(typed=st.text(max_size=600))
def test_any_question_makes_one_page(typed):
    assert len(made(replace(NOTE, question=typed)).pages) == 1
