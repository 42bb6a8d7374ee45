import re
from datetime import date, timedelta
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from floorward import tables
from floorward.core.findings import refused
from floorward.core.screen import (
    Answer,
    Outcome,
    Question,
    ScreenFacts,
    all_rows,
    clearance_findings,
    is_open,
    judge,
    outcome_words,
    questions,
    reminders,
    repeat_due,
    row_text,
    unanswered,
)

YES, NO, UNSURE = Answer.YES, Answer.NO, Answer.UNSURE
ADULT = ScreenFacts(age=35)
HURT = ScreenFacts(age=35, injury=True)
DAY = date(2026, 3, 2)
PAGE = Path(__file__).parents[2] / "docs/reference/screen.md"


def back(facts=ADULT, **answers):
    return judge("low-back", answers, facts)


def knee(facts=HURT, **answers):
    return judge("knee", answers, facts)


def hip(facts=ADULT, **answers):
    return judge("hip", answers, facts)


def asked(region, **facts):
    known = {"age": 35, "injury": False, "limb_symptoms": False} | facts
    return {question.id for question in questions(region, **known)}


# The table


def test_every_row_has_a_known_source_and_a_tier():
    known = set(tables.references()) | tables.OWN_SOURCES
    rows = (
        *tables.load("screen")["question"],
        *tables.load("screen")["age"],
        *tables.load("screen")["together"],
    )
    assert {row["source"] for row in rows} <= known
    assert {row["tier"] for row in rows} <= {"E", "S", "U", "R", "C", ""}


def test_ids_are_unique_and_parents_stand_before_their_sub_questions():
    ids = [question.id for question in all_rows()]
    assert len(ids) == len(set(ids))
    for place, question in enumerate(all_rows()):
        assert not question.parent or question.parent in ids[:place]


def test_rows_from_memory_await_a_clinicians_approval():
    awaiting = {question.id for question in all_rows() if question.awaits_approval}
    assert {"LB14", "LB15a", "LB15b", "EL2", "CH1"} <= awaiting
    assert not {"LB1", "K1a", "H1"} & awaiting


def test_no_word_names_a_cause():
    words = r"diagnos\w*|discs?|tears?|torn|tearing|strain\w*|sprain\w*|impinge\w*|treat\w*|cure\w*|prescri\w*|red flags?"
    texts = [question.text for question in all_rows()]
    for outcome in Outcome:
        said = outcome_words(outcome, "112")
        texts += [said.title, said.say, *said.do]
    for text in texts:
        assert not re.search(rf"\b({words})\b", text.replace("not a diagnosis", ""), re.IGNORECASE), text


def test_every_row_stands_on_the_page_for_clinicians():
    page = PAGE.read_text(encoding="utf-8")
    for row in (*tables.load("screen")["question"], *tables.load("screen")["age"]):
        assert f"| {row['id']} | {row['tier'] or '–'} | {row['text']}" in page


# What is asked


def test_a_sore_back_is_asked_for_saddle_bladder_bowel_and_legs():
    assert {"LB1", "LB2", "LB3", "LB4", "LB5", "LB6", "LB14"} <= asked("low-back")


@pytest.mark.parametrize("region", ["hip", "knee"])
def test_symptoms_in_a_leg_bring_the_back_questions_to_hip_and_knee(region):
    assert not {"LB1", "LB13"} & asked(region)
    assert {"LB1", "LB2", "LB3", "LB4", "LB5", "LB6", "LB13", "LB13a"} <= asked(region, limb_symptoms=True)


@pytest.mark.parametrize("region", ["low-back", "hip", "knee", "shoulder", "elbow"])
def test_every_region_is_asked_about_chest_and_belly_in_effort(region):
    assert "LB14" in asked(region)


def test_a_sore_shoulder_and_a_sore_elbow_are_asked_for_the_heart_the_neck_and_what_tears_there():
    assert {"SH1", "SH2", "SH4", "SH5", "SH6", "SH7", "CH1"} <= asked("shoulder")
    assert {"ARM1", "ARM2", "ARM3", "ARM4", "ARM5", "ARM6"} <= asked("shoulder") & asked("elbow")
    assert {"EL1", "EL2", "EL3", "SH2", "SH4", "SH5", "SH6"} <= asked("elbow")
    assert not {"LB1", "H1", "K2"} & (
        asked("shoulder", limb_symptoms=True) | asked("elbow", limb_symptoms=True)
    )
    assert "SH3" in asked("shoulder", injury=True)


@pytest.mark.parametrize("region", ["shoulder", "elbow"])
def test_the_questions_about_neck_and_nerves_come_back_to_an_arm(region):
    again = questions(region, age=35, injury=True, limb_symptoms=True, repeat=True)
    assert [question.id for question in again] == ["ARM1", "ARM2", "ARM5"]


@pytest.mark.parametrize(
    ("region", "row", "outcome"),
    [
        ("shoulder", "SH6", Outcome.EMERGENCY),
        ("elbow", "SH6", Outcome.EMERGENCY),
        ("shoulder", "SH1", Outcome.SAME_DAY),
        ("elbow", "EL1", Outcome.SAME_DAY),
        ("elbow", "ARM1", Outcome.EMERGENCY),
        ("shoulder", "ARM2", Outcome.EMERGENCY),
        ("elbow", "ARM4", Outcome.SAME_DAY),
        ("shoulder", "CH1", Outcome.SOON),
        ("shoulder", "ARM6", Outcome.ROUTINE),
    ],
)
def test_what_a_yes_comes_to_in_an_arm(region, row, outcome):
    assert judge(region, {row: YES}, ADULT).outcome is outcome


def test_injury_questions_come_only_after_a_fall_blow_or_twist():
    assert not {"K1a", "K1b", "K7"} & asked("knee")
    assert {"K1a", "K1b", "K7"} <= asked("knee", injury=True)


def test_pregnancy_is_asked_where_it_could_be():
    assert "LB15b" in asked("low-back")
    assert "LB15b" not in asked("low-back", pregnancy_possible=False)


@pytest.mark.parametrize(("age", "is_asked"), [(19, True), (20, False), (None, False)])
def test_bending_backward_is_asked_of_the_young(age, is_asked):
    assert ("LB12" in asked("low-back", age=age)) is is_asked


def test_only_the_saddle_bladder_bowel_and_leg_questions_come_back():
    again = questions("low-back", age=35, injury=False, limb_symptoms=True, repeat=True)
    assert [question.id for question in again] == ["LB1", "LB2", "LB3", "LB4", "LB5"]
    assert questions("knee", age=35, injury=True, limb_symptoms=False, repeat=True) == ()


def test_a_sub_question_opens_with_a_yes_or_unsure_above_it():
    sub = Question(id="H1a", text="", tier="E", parent="H1", source="judgement")
    assert [is_open(sub, {"H1": answer}) for answer in (YES, UNSURE, NO)] == [True, True, False]
    assert not is_open(sub, {})


def test_what_still_wants_an_answer_is_named():
    hip_questions = questions("hip", age=35, injury=False, limb_symptoms=False)
    answers = dict.fromkeys((q.id for q in hip_questions if not q.parent), NO)
    assert unanswered(hip_questions, answers) == ()
    assert unanswered(hip_questions, answers | {"H1": YES}) == ("H1a", "H1b", "H1c")
    assert "H3" in unanswered(hip_questions, {})


# Tiers


@pytest.mark.parametrize(("answer", "outcome"), [(YES, Outcome.SAME_DAY), (UNSURE, Outcome.SAME_DAY)])
def test_unsure_counts_as_yes_for_the_same_day(answer, outcome):
    assert back(LB6=answer).outcome is outcome


def test_unsure_about_something_soon_asks_again_and_books_somebody():
    verdict = back(LB9=UNSURE)
    assert (verdict.outcome, verdict.reasons, verdict.ask_again) == (Outcome.ROUTINE, ("LB9",), ("LB9",))


@pytest.mark.parametrize("row", ["LB11b", "LB13"])
def test_unsure_about_something_lesser_only_asks_again(row):
    verdict = back(**{row: UNSURE})
    assert (verdict.outcome, verdict.ask_again) == (Outcome.GO_ON, (row,))


def test_all_no_goes_on():
    answers = dict.fromkeys((question.id for question in all_rows()), NO)
    for region in ("low-back", "hip", "knee"):
        verdict = judge(region, answers, ADULT)
        assert (verdict.outcome, verdict.reasons, verdict.locks) == (Outcome.GO_ON, (), "none")


@pytest.mark.parametrize(
    ("answers", "outcome", "locks"),
    [
        ({"LB1": YES}, Outcome.EMERGENCY, "person"),
        ({"LB10a": YES}, Outcome.SAME_DAY, "region"),
        ({"LB10b": YES}, Outcome.SOON, "region"),
        ({"LB13": YES}, Outcome.ROUTINE, "none"),
        ({"LB11b": YES}, Outcome.GO_ON, "none"),
        ({"LB15a": YES}, Outcome.SOON, "region"),
        ({"LB15b": YES}, Outcome.ROUTINE, "none"),
        ({"LB14": UNSURE}, Outcome.EMERGENCY, "person"),
    ],
)
def test_each_tier_has_its_outcome_and_lock(answers, outcome, locks):
    verdict = back(**answers)
    assert (verdict.outcome, verdict.locks) == (outcome, locks)


def test_the_most_urgent_answer_decides_and_the_others_are_kept():
    verdict = back(LB13=YES, LB6=YES, LB10b=YES)
    assert (verdict.outcome, verdict.reasons) == (Outcome.SAME_DAY, ("LB6",))
    assert verdict.also == ("LB10b", "LB13")


@pytest.mark.parametrize("sub", ["LB7a", "LB7b", "LB7c"])
def test_a_fall_on_the_back_is_same_day_and_an_emergency_when_they_cannot_stand_or_legs_change(sub):
    assert back(LB7=YES).outcome is Outcome.SAME_DAY
    assert back(LB7=YES, **{sub: YES}).outcome is Outcome.EMERGENCY
    assert back(LB7=YES, **{sub: UNSURE}).outcome is Outcome.EMERGENCY


@pytest.mark.parametrize("sub", ["H1a", "H1b", "H1c"])
def test_a_fall_on_the_hip_likewise(sub):
    assert hip(H1=YES).outcome is Outcome.SAME_DAY
    assert hip(H1=YES, **{sub: YES}).outcome is Outcome.EMERGENCY


def test_a_sub_question_says_nothing_once_its_parent_is_a_no():
    assert hip(H1=NO, H1a=YES).outcome is Outcome.GO_ON


def test_leg_pain_below_the_knee_is_routine_and_soon_when_it_spreads():
    assert back(LB13=YES).outcome is Outcome.ROUTINE
    assert back(LB13=YES, LB13a=YES).outcome is Outcome.SOON


def test_groin_pain_under_load_counts_with_a_jump_in_training_or_little_food():
    assert hip(H2=YES).outcome is Outcome.GO_ON
    assert hip(H2=YES, H2a=YES).outcome is hip(H2=YES, H2b=YES).outcome is Outcome.SOON


def test_a_testicle_is_same_day_and_a_lump_soon():
    assert hip(H4a=YES).outcome is Outcome.SAME_DAY
    assert hip(H4=YES).outcome is Outcome.SOON


def test_a_first_dislocation_of_the_kneecap_is_same_day_a_later_one_soon():
    assert knee(K6=YES, K6a=YES).outcome is Outcome.SAME_DAY
    assert knee(K6=YES, K6a=NO).outcome is Outcome.SOON


def test_a_pop_at_the_elbow_is_same_day():
    assert judge("elbow", {"EL1": YES}, ADULT).outcome is Outcome.SAME_DAY


def test_an_answer_to_a_question_of_another_region_says_nothing():
    assert knee(LB9=YES).outcome is Outcome.GO_ON


def test_a_back_older_than_seventy_is_looked_at_soon():
    assert back(ScreenFacts(age=71)).outcome is Outcome.SOON
    assert back(ScreenFacts(age=70)).outcome is Outcome.GO_ON


def test_three_weak_signs_make_it_soon():
    assert back(LB11b=YES, LB11c=YES).outcome is Outcome.ROUTINE
    verdict = back(ScreenFacts(age=58), LB11b=YES, LB11c=YES)
    assert (verdict.outcome, verdict.reasons) == (Outcome.SOON, ("LB11b", "LB11c", "LB12-older"))


def test_a_young_back_that_hurts_bending_backward_is_routine():
    assert back(ScreenFacts(age=17), LB12=YES).outcome is Outcome.ROUTINE
    assert back(ScreenFacts(age=17)).outcome is Outcome.GO_ON


def test_a_repeat_leaves_out_what_the_age_said_at_first():
    assert judge("low-back", {}, ScreenFacts(age=72), repeat=True).outcome is Outcome.GO_ON


ids = [question.id for question in all_rows()]
order = list(Outcome)


@given(
    st.dictionaries(st.sampled_from(ids), st.sampled_from(Answer)),
    st.sampled_from(ids),
    st.sampled_from(["low-back", "hip", "knee"]),
    st.integers(12, 90),
    st.booleans(),
)
def test_one_more_yes_never_makes_an_outcome_less_urgent(answers, more, region, age, injury):
    facts = ScreenFacts(age=age, injury=injury, limb_symptoms=injury)
    before, after = judge(region, answers, facts), judge(region, answers | {more: YES}, facts)
    assert order.index(after.outcome) <= order.index(before.outcome)


@given(st.dictionaries(st.sampled_from(ids), st.sampled_from(Answer)), st.integers(12, 90))
def test_an_outcome_that_stops_always_says_why(answers, age):
    verdict = judge("low-back", answers, ScreenFacts(age=age, injury=True))
    assert bool(verdict.reasons) is (verdict.outcome is not Outcome.GO_ON)
    assert all(row_text(reason) for reason in verdict.reasons)


# Words, reminders, repeats, clearances


@pytest.mark.parametrize("outcome", list(Outcome))
def test_each_outcome_says_what_to_say_and_do(outcome):
    words = outcome_words(outcome, "112")
    assert words.title
    assert words.say
    assert words.do
    assert "{" not in "".join(words.do)


def test_an_emergency_names_the_countrys_number():
    assert "999" in outcome_words(Outcome.EMERGENCY, "999").do[0]


def test_reminders_come_after_two_and_seven_days_when_soon_and_fourteen_when_routine():
    assert [(day - DAY).days for day in reminders(Outcome.SOON, DAY)] == [2, 7]
    assert [(day - DAY).days for day in reminders(Outcome.ROUTINE, DAY)] == [14]


@pytest.mark.parametrize(
    ("days", "legs", "due"),
    [(0, True, False), (1, True, True), (1, False, False), (6, False, False), (7, False, True)],
)
def test_questions_return_each_session_day_with_limb_symptoms_and_weekly_without(days, legs, due):
    assert repeat_due(DAY, legs, DAY + timedelta(days=days)) is due


def test_a_lifter_never_screened_is_due():
    assert repeat_due(None, limb_symptoms=False, today=DAY)


@pytest.mark.parametrize(
    ("days", "role", "codes"),
    [
        (0, "physiotherapist", []),
        (-1, "physiotherapist", ["clearance-before-answer"]),
        (5, "physiotherapist", ["clearance-in-future"]),
        (0, "  ", ["clearance-without-role"]),
    ],
)
def test_a_clearance_is_dated_after_the_answer_and_given_by_somebody(days, role, codes):
    findings = clearance_findings(DAY, DAY + timedelta(days=days), role, DAY + timedelta(days=2))
    assert [finding.code for finding in findings] == codes
    assert refused(findings) is bool(codes)
