import re
from dataclasses import replace
from datetime import datetime
from io import BytesIO

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from pypdf import PdfReader

from floorward.core.records import Plate
from floorward.reports.card import Card, CardLine, PlateChange, called, card_pdf, set_up_words
from floorward.units import Unit, kg, lb

P25 = Plate(mass=kg(25), pairs=2, thickness_mm=58)
P15 = Plate(mass=kg(15), pairs=2, diameter_mm=400, thickness_mm=42)
P5 = Plate(mass=kg(5), pairs=2, diameter_mm=228, thickness_mm=26)

PULL = CardLine(
    lift="Deadlift",
    set_up="from the floor",
    load="110",
    work="4 × 5",
    sets=4,
    plates=(P25, P15, P5),
    implement="bar 20",
    warm_ups=("20 × 8", "60 × 5"),
    cue="Lower for 3 seconds.",
)
ROW = CardLine(lift="Row, chest on bench", set_up="as usual", load="50", work="3 × 10", plates=(P15,))
CARD = Card(
    name="Abel Norwood",
    starts=datetime(2026, 11, 10, 18, 30),
    coach="Sam Ferro",
    minutes=55,
    lines=(PULL, ROW),
    code_address="https://gym.lan/m/k3J9xQ2b",
)


def made(card):
    return PdfReader(BytesIO(card_pdf(card)))


def text(card):
    pages = (page.extract_text() for page in made(card).pages)
    return re.sub(r"[\s\u200b]+", " ", " ".join(pages))


def card(**changes):
    return Card(**{name: getattr(CARD, name) for name in CARD.__slots__} | changes)


def test_the_card_is_one_a5_page():
    reader = made(CARD)
    assert len(reader.pages) == 1
    width, height = (float(side) / 72 * 25.4 for side in reader.pages[0].mediabox[2:])
    assert (round(width), round(height)) == (148, 210)


@pytest.mark.parametrize(
    "said",
    [
        "Abel N.", "Tuesday 10 November, 18:30", "about 55 minutes", "coach Sam Ferro", "Deadlift", "from the floor", "110", "4 × 5",
        "25 · 15 · 5 each side, bar 20", "20 × 8 · 60 × 5", "Lower for 3 seconds.", "Row, chest on bench", "3 × 10",
        "Within the hour", "Next morning", "opens the morning check", "k3J9xQ2b", "not medical advice",
    ],
)  # fmt: skip
def test_the_card_says_what_to_do(said):
    assert said in text(CARD)


def test_the_head_has_a_first_name_and_an_initial_and_no_more():
    assert "Norwood" not in text(CARD)


@pytest.mark.parametrize("region", ["low back", "hip", "knee", "injury"])
def test_no_region_of_pain_is_on_the_card(region):
    assert region not in text(CARD).lower()


def test_stop_lines_name_the_limit_and_the_same_signs_on_every_card():
    said = text(card(limit=4))
    assert "pain goes over 4" in said
    assert "new numbness or weakness in legs or arms, or between the legs" in said
    assert "a change in bladder or bowel" in said
    assert "chest pain" in said


@pytest.mark.parametrize(
    ("given_reason", "said"), [("", "without a link"), ("No network here.", "No network here.")]
)
def test_a_card_without_a_code_says_why(given_reason, said):
    assert said in text(card(code_address="", no_code=given_reason))


def test_a_long_session_goes_over_to_a_second_page_with_its_head_and_number():
    reader = made(card(lines=(PULL, ROW) * 6))
    first, second = (page.extract_text() for page in reader.pages)
    assert "page 1 / 2" in first
    assert "page 2 / 2" in second
    assert "lift and plates" in second
    assert (first + second).count("Deadlift") == 6
    assert "get seen at once" in first
    assert "Stop everything" in second


def steps(*moves):
    return tuple(PlateChange(load=load, off=off, on=on, under=under) for load, off, on, under in moves)


UP_TO_70 = steps(
    ("20", (), (), "on 20 cm of blocks, bar at 22.5 cm"),
    ("27.5", (), ("2.5", "1.25"), "on 12 cm of blocks, bar at 21.5 cm"),
    ("40", ("1.25", "2.5"), ("10*",), ""),
    ("55", ("10*",), ("15*", "2.5"), ""),
    ("70", ("2.5",), ("10*",), ""),
)
LIFT = replace(
    PULL,
    load="70",
    work="3 × 5",
    sets=3,
    plates=(P15, P5),
    implement="Bar 1, 20 kg",
    warm_ups=("20 × 8", "27.5 × 5", "40 × 3", "55 × 2"),
    handling=UP_TO_70,
    cue="stop at RPE 7",
)
EVENING = (
    LIFT,
    replace(LIFT, lift="Romanian deadlift", sets=2, handling=UP_TO_70[2:]),
    replace(LIFT, lift="Bench press", sets=0, handling=UP_TO_70[2:], cue=""),
    CardLine(lift="Lat pulldown", set_up="as usual", load="65.5", work="3 × 8"),
    CardLine(lift="Leg curl", set_up="as usual", load="42", work="3 × 10"),
)
CAUTIONS = (
    "At 20, 27.5 kg there is no plate of full height: keep the bar at its height with what is named beside it.",
    "* Someone else lifts these. Keep plates at waist height, and leave on the bar what stays on.",
)


def test_an_evening_of_five_lifts_three_on_the_bar_fits_one_page():
    assert len(made(card(lines=EVENING, cautions=CAUTIONS)).pages) == 1


def test_the_hands_read_one_load_after_another_and_no_run_of_figures():
    said = text(card(lines=EVENING[:1]))
    assert "40 −1.25 −2.5 +10* 55 −10* +15* +2.5 70 −2.5 +10*" in said
    assert "20 bar alone on 20 cm of blocks, bar at 22.5 cm" in said
    assert " · 55" not in said.replace("40 × 3 · 55", "")


def test_what_does_not_fit_goes_over_whole():
    pages = [page.extract_text() for page in made(card(lines=EVENING + EVENING, cautions=CAUTIONS)).pages]
    assert len(pages) == 2
    for page in pages:  # no lift without its changes of plates
        assert page.count("Warm-up") == len(re.findall("Each side,\\s+set by set", page))
    first, second = pages
    assert "Stop this lift and tell" not in first
    assert "Stop this lift and tell" in second
    assert "opens the morning check" in second


def test_the_same_card_is_the_same_bytes():
    assert card_pdf(CARD) == card_pdf(CARD)


def test_the_card_promises_pdf_ua_and_has_a_title():
    reader = made(CARD)
    assert "Session of Abel N., Tuesday 10 November" in reader.metadata.title
    assert b"pdfuaid" in card_pdf(CARD) or "/StructTreeRoot" in reader.trailer["/Root"]


@pytest.mark.parametrize(
    "name",
    [
        '#read("/etc/passwd")',
        "#panic()",
        "$x^2$ *bold* _it_",
        "<label> @ref",
        "\\u{1F4A9} // comment /* */",
        "[] {} #{",
        "Łukasz Żółć",
    ],
)
def test_a_hostile_name_comes_out_as_plain_text(name):
    said = text(card(name=name, coach=name, lines=(CardLine(lift=name, cue=name),)))
    assert said.count(re.sub(r"\s+", " ", name)) >= 3


def test_letters_that_the_face_lacks_do_not_stop_the_card():
    assert len(made(card(name="李小龍 王")).pages) == 1


@settings(max_examples=12)
@given(st.text(max_size=60), st.text(max_size=200))
def test_whatever_is_typed_gives_a_card(name, cue):
    assert card_pdf(card(name=name, lines=(CardLine(lift=name, cue=cue, sets=3),))).startswith(b"%PDF")


@pytest.mark.parametrize(
    ("name", "short"),
    [
        ("Abel Norwood", "Abel N."), ("Cher", "Cher"), ("  ", "Lifter"), ("Mary Jane van der Berg", "Mary B."),
        ("x" * 80 + " y", "x" * 22 + "… Y."), ("\u202eevil\x00 name", "evil N."),
    ],
)  # fmt: skip
def test_a_name_is_shortened_to_a_first_name_and_an_initial(name, short):
    assert called(name) == short


@pytest.mark.parametrize(
    ("where", "said"),
    [
        ((225,), "from the floor"),
        ((325, 100), "on 10 cm of blocks, bar at 32.5 cm"),
        ((450, 0, True), "from the pins, bar at 45 cm"),
        ((345,), "hands at 34.5 cm"),
        ((0,), ""),
    ],
)
def test_a_set_up_is_said_in_words(where, said):
    assert set_up_words(*where) == said


def test_pounds_stand_over_the_loads_of_a_gym_in_pounds():
    line = CardLine(lift="Deadlift", load="245", work="3 × 5", sets=3, plates=(Plate(mass=lb(45), pairs=2),))
    said = text(card(unit=Unit.LB, lines=(line,)))
    assert " lb " in said
    assert "45 each side" in said


def test_an_empty_bar_is_said_and_a_plank_has_no_bar():
    said = text(
        card(lines=(CardLine(lift="Press", load="20", plates=()), CardLine(lift="Plank", work="3 × 40 s")))
    )
    assert said.count("empty bar") == 1
