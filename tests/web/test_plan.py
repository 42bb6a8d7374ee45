"""Changing a plan: loads that can be loaded, limits of the first day, versions, order, unaffected lifts."""

import re
from datetime import date, timedelta
from decimal import Decimal

import pytest

from floorward.actions.decisions import decide, proposal_for
from floorward.actions.mornings import Answer, record_morning
from floorward.storage.models import BarRow, BestSet, DoneSet, Line, Screening, Session
from tests.conftest import at
from tests.training import searched, sore_back, trained
from tests.web.evening import accepted

pytestmark = pytest.mark.django_db


@pytest.fixture
def planned(signed_in, lifter):
    """Abel's session after the search: 95 kg, three sets of five."""
    accepted(signed_in, lifter)
    signed_in.post(f"/lifters/{lifter.pk}/session")
    return lifter.sessions.get()


def form(line, **more) -> dict[str, str]:
    """The line's form as its page shows it."""
    said = {
        "bar": line.bar_id,
        "load": f"{line.load} {line.unit}",
        "sets": line.sets,
        "reps": line.reps,
        "height_mm": line.height_mm,
        "version": line.version,
        "cue": line.cue,
    }
    return {name: value for name, value in {**said, **more}.items() if value is not None}


def save(client, line, **more):
    return client.post(f"/sessions/{line.session_id}/lines/{line.pk}", form(line, **more))


def refused(answer, *words) -> bool:
    text = answer.content.decode()
    return answer.status_code == 422 and all(word in text for word in words)


def test_a_lighter_load_that_can_be_loaded_is_planned(signed_in, planned):
    assert save(signed_in, planned.lines.get(), load="90").status_code == 302
    assert planned.lines.get().load == Decimal(90)


def test_a_load_between_two_offers_both(signed_in, planned):
    answer = save(signed_in, planned.lines.get(), load="91")
    assert refused(
        answer, "91 kg cannot be loaded on Bar 1: 90 or 92.5 kg can.", 'value="90 kg"', 'value="92.5 kg"'
    )
    assert 'name="load" value="91"' in answer.content.decode()
    assert save(signed_in, planned.lines.get(), load="91", take="90 kg").status_code == 302
    assert planned.lines.get().load == Decimal(90)


def test_less_than_the_bar_and_more_than_the_iron_are_told_apart(signed_in, planned):
    line = planned.lines.get()
    assert refused(save(signed_in, line, load="15"), "15 kg is less than Bar 1 weighs: 20 kg is the least.")
    assert refused(save(signed_in, line, load="500"), "500 kg is more than Bar 1 can carry here")


def test_pounds_are_not_loaded_on_a_kilogram_bar(signed_in, planned):
    answer = save(signed_in, planned.lines.get(), load="200 lb")
    assert refused(answer, "200 lb cannot be loaded on Bar 1: 90 or 92.5 kg can.")


def test_training_starts_one_rung_under_what_was_accepted_and_not_above(signed_in, planned):
    answer = save(signed_in, planned.lines.get(), load="97.5")
    assert refused(answer, "Training starts at 95 kg, one rung under the load that was accepted.")


def test_the_first_day_holds_three_sets_and_two_repetitions_more_than_tested(signed_in, planned):
    line = planned.lines.get()
    assert refused(save(signed_in, line, sets="4"), "On the first day at most 3 work sets.")
    assert refused(save(signed_in, line, reps="6"), "On the first day at most 5 repetitions")


def test_after_the_first_day_more_sets_may_be_planned(signed_in, lifter, planned, clock):
    line = planned.lines.get()
    DoneSet.objects.create(
        session=planned,
        line=line,
        kind="work",
        sore=True,
        lift="deadlift",
        height_mm=225,
        bar=line.bar,
        load=95,
        unit="kg",
        reps=5,
        pain=1,
        acceptable=True,
        at=at("2026-11-23 18:40"),
    )
    Session.objects.update(ended_at=at("2026-11-23 19:00"))
    clock("2026-11-25 18:10")
    signed_in.post(f"/lifters/{lifter.pk}/session")
    later = lifter.sessions.get(day="2026-11-25").lines.get()
    assert (later.load, later.sets, later.reps) == (95, 3, 5)
    assert save(signed_in, later, sets="4").status_code == 302
    assert refused(
        save(signed_in, later, load="100", version="2"), "There is no decision on the last session yet"
    )


def test_a_decision_says_the_load_and_height_of_the_next_line(signed_in, lifter, planned, clock):
    planned.episode.decisions.create(
        session=planned,
        lift="deadlift",
        rule="R8",
        proposed_change="forward",
        change="forward",
        load=Decimal("97.5"),
        unit="kg",
        height_mm=225,
        protocol_version=1,
        at=at("2026-11-24 09:00"),
    )
    Session.objects.update(ended_at=at("2026-11-23 19:00"))
    clock("2026-11-25 18:10")
    signed_in.post(f"/lifters/{lifter.pk}/session")
    assert lifter.sessions.get(day="2026-11-25").lines.get().load == Decimal("97.5")


def test_a_stop_leaves_the_sore_lift_out_and_says_why(signed_in, lifter, planned, clock):
    planned.episode.decisions.create(
        session=planned,
        lift="deadlift",
        rule="R1",
        proposed_change="stop",
        change="stop",
        protocol_version=1,
        at=at("2026-11-24 09:00"),
    )
    Session.objects.update(ended_at=at("2026-11-23 19:00"))
    clock("2026-11-25 18:10")
    answer = signed_in.post(f"/lifters/{lifter.pk}/session", follow=True)
    assert not lifter.sessions.get(day="2026-11-25").lines.exists()
    assert "The last decision stopped this lift" in answer.content.decode()


def test_a_start_that_the_gym_can_no_longer_raise_is_no_small_matter(signed_in, gym, planned):
    """Planned from blocks that somebody took home: the same load from the floor was never accepted."""
    line = planned.lines.get()
    line.height_mm = 425
    line.save()
    pages = (f"/sessions/{planned.pk}/plan", f"/sessions/{planned.pk}")
    for page in pages:
        assert "lower than" not in signed_in.get(page).content.decode()
    gym.blocks.all().delete()
    gym.pins.all().delete()
    for page in pages:
        text = " ".join(re.sub("<[^>]+>", " ", signed_in.get(page).content.decode()).split())
        assert "no blocks, hands at 22.5 cm . That is 20 cm lower than what they take" in text


def test_a_colleagues_change_is_shown_beside_yours(signed_in, planned):
    line = planned.lines.get()
    Line.objects.filter(pk=line.pk).update(load=80, version=2)
    answer = save(signed_in, line, load="90")
    text = answer.content.decode()
    assert answer.status_code == 422
    assert "A colleague changed this while your page was open" in text
    assert "<td>80 kg</td><td>90</td>" in text
    assert save(signed_in, line, load="90", version="2").status_code == 302


def test_what_was_typed_stays_on_a_refused_page(signed_in, planned):
    text = save(signed_in, planned.lines.get(), load="91", cue="push the floor away").content.decode()
    assert 'value="push the floor away"' in text


def test_zero_repetitions_are_refused(signed_in, planned):
    assert save(signed_in, planned.lines.get(), reps="0").status_code == 422


def test_the_bar_may_be_changed_to_one_of_the_same_kind_only(signed_in, planned):
    line = planned.lines.get()
    pounds, trap = BarRow.objects.get(name="Pound bar"), BarRow.objects.get(name="Trap bar")
    assert refused(save(signed_in, line, bar=trap.pk), "Select a valid choice")
    assert save(signed_in, line, bar=pounds.pk, load="205 lb").status_code == 302
    line.refresh_from_db()
    assert (line.bar, line.load, line.unit) == (pounds, 205, "lb")


def test_lines_change_places_and_go(signed_in, planned):
    first = planned.lines.get()
    second = Line.objects.create(
        session=planned, order=2, role="usual", lift="dip", load=20, unit="kg", sets=3, reps=8
    )
    signed_in.post(f"/sessions/{planned.pk}/lines/{second.pk}/do/up")
    assert [line.pk for line in planned.lines.all()] == [second.pk, first.pk]
    signed_in.post(f"/sessions/{planned.pk}/lines/{second.pk}/do/remove")
    assert [line.pk for line in planned.lines.all()] == [first.pk]


def test_unaffected_lifts_come_from_the_last_session_else_from_the_best_set(signed_in, lifter, planned):
    BestSet.objects.create(lifter=lifter, lift="bench-press", load=120, unit="kg", reps=5, day="2026-10-30")
    BestSet.objects.create(lifter=lifter, lift="overhead-press", load=70, unit="kg", reps=5, day="2026-10-30")
    earlier = Session.objects.create(
        lifter=lifter, day=planned.day - timedelta(days=3), started_at=at("2026-11-20 18:00")
    )
    for _ in range(4):
        DoneSet.objects.create(
            session=earlier,
            kind="work",
            lift="chest-supported-row",
            load=60,
            unit="kg",
            reps=10,
            at=at("2026-11-20 18:30"),
        )
    text = signed_in.get(f"/sessions/{planned.pk}/plan").content.decode()
    said = re.sub(r"<[^>]+>", "", text)
    assert "Chest-supported row 60 kg, 4 × 10" in said
    assert "Bench press 112.5 kg, 3 × 5" in said
    assert "Overhead press</b>" not in text
    signed_in.post(f"/sessions/{planned.pk}/plan/usual", {"lift": "all"})
    assert [line.lift for line in planned.lines.filter(role="usual")] == [
        "chest-supported-row",
        "bench-press",
    ]


def test_a_lift_that_loads_the_sore_place_is_added_as_a_variation(signed_in, planned):
    page = signed_in.get(f"/sessions/{planned.pk}/lines/add?lift=high-bar-squat")
    assert page.status_code == 200
    bar = BarRow.objects.get(name="Bar 1")
    said = {"lift": "high-bar-squat", "bar": bar.pk, "load": "60", "sets": "2", "reps": "5"}
    assert signed_in.post(f"/sessions/{planned.pk}/lines/add", said).status_code == 302
    assert planned.lines.get(lift="high-bar-squat").role == "variation"


def test_under_a_lock_only_what_does_not_load_the_region_is_planned(signed_in, lifter, planned):
    Screening.objects.create(
        episode=planned.episode,
        at=at("2026-11-23 18:05"),
        answers={},
        outcome="soon",
        locks="region",
        reasons=[],
    )
    bar = BarRow.objects.get(name="Bar 1")
    said = {"lift": "high-bar-squat", "bar": bar.pk, "load": "60", "sets": "2", "reps": "5"}
    assert (
        "locked until a clinician has cleared it"
        in signed_in.post(f"/sessions/{planned.pk}/lines/add", said).content.decode()
    )
    bench = {"lift": "bench-press", "bar": bar.pk, "load": "60", "sets": "2", "reps": "5"}
    assert signed_in.post(f"/sessions/{planned.pk}/lines/add", bench).status_code == 302
    assert [line.lift for line in planned.lines.all()] == ["deadlift", "bench-press"]


def test_an_emergency_leaves_nothing_heavy_to_plan(signed_in, lifter, planned):
    planned.lines.all().delete()
    Screening.objects.create(
        episode=planned.episode,
        at=at("2026-11-23 18:05"),
        answers={},
        outcome="emergency",
        locks="person",
        reasons=[],
    )
    answer = signed_in.post(f"/lifters/{lifter.pk}/session", follow=True)
    assert "no heavy work for Abel Norwood" in answer.content.decode()
    bench = {
        "lift": "bench-press",
        "bar": BarRow.objects.get(name="Bar 1").pk,
        "load": "60",
        "sets": "2",
        "reps": "5",
    }
    assert signed_in.post(f"/sessions/{planned.pk}/lines/add", bench).status_code == 422
    assert not planned.lines.exists()


def test_without_a_pain_a_session_is_planned_from_usual_lifts_alone(signed_in, lifter):
    BestSet.objects.create(lifter=lifter, lift="deadlift", load=200, unit="kg", reps=3, day="2026-10-30")
    answer = signed_in.post(f"/lifters/{lifter.pk}/session", follow=True)
    assert "Deadlift</b>" in answer.content.decode()
    session = lifter.sessions.get()
    signed_in.post(f"/sessions/{session.pk}/plan/usual", {"lift": "deadlift"})
    assert session.lines.get().role == "usual"


def test_a_lift_that_loads_any_sore_place_is_not_as_usual(signed_in, lifter, planned):
    BestSet.objects.create(lifter=lifter, lift="leg-curl", load=50, unit="kg", reps=8, day="2026-10-30")
    assert "Leg curl</b>" in signed_in.get(f"/sessions/{planned.pk}/plan").content.decode()
    lifter.episodes.create(
        region="knee", since="2026-11-01", started_at=at("2026-11-01 18:00"), lift="high-bar-squat", load=100,
        usual_load=120, unit="kg",
    )  # fmt: skip
    assert "Leg curl</b>" not in signed_in.get(f"/sessions/{planned.pk}/plan").content.decode()


def test_the_plan_leads_within_two_presses_to_the_sets_that_weighed_most_and_to_the_page_of_science(
    signed_in, lifter, coach, clock
):
    episode = searched(sore_back(lifter, coach))
    session = trained(episode, "2026-11-26", "95", (1, 2, 1))
    record_morning(episode, Answer(day=date(2026, 11, 27), score=1), now=at("2026-11-27 07:00"))
    clock("2026-11-27 18:00")
    now = at("2026-11-27 18:00")
    decide(session, "deadlift", seen=proposal_for(episode, "deadlift", now).seen, by=coach, now=now)
    signed_in.post(f"/lifters/{lifter.pk}/session")
    plan = signed_in.get(f"/sessions/{lifter.sessions.latest('pk').pk}/plan").content.decode()
    assert "Pain at most 2, morning 1, before it 1." in plan
    why = re.search(r'href="(/decide/\d+/deadlift)[^"]*">Why this load\?', plan)[1]
    page = signed_in.get(why).content.decode()
    assert "What weighed most" in page
    shut = page[page.index("<details") : page.index("</details>")]
    assert "/help/science/tolerance" in page
    assert "/help/science/tolerance" not in shut


def test_a_load_that_was_only_found_leads_to_its_search(signed_in, lifter):
    accepted(signed_in, lifter)
    signed_in.post(f"/lifters/{lifter.pk}/session")
    plan = signed_in.get(f"/sessions/{lifter.sessions.latest('pk').pk}/plan").content.decode()
    search = re.search(r'href="(/searches/\d+/result)">Why this load\?', plan)[1]
    assert "/help/science/finding" in signed_in.get(search).content.decode()
