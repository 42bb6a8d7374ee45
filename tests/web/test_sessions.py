"""Planning a session and logging it in the browser, from the accepted load to the score within the hour."""

import re
from datetime import date
from decimal import Decimal

import pytest

from floorward.actions import lifters as lifter_actions
from floorward.actions import sessions
from floorward.storage.models import BarRow, DoneSet, Line, Trace
from tests.conftest import at
from tests.people import INES, a_gym, a_lifter
from tests.web.evening import accepted

pytestmark = pytest.mark.django_db


@pytest.fixture
def found(signed_in, lifter):
    """Abel after the search: 107.5 kg accepted, training at 95."""
    return accepted(signed_in, lifter)


@pytest.fixture
def planned(signed_in, lifter, found):
    """Today's session with its full-range line, the score before it given by the search."""
    signed_in.post(f"/lifters/{lifter.pk}/session")
    return lifter.sessions.get()


def page(client, session, query="") -> str:
    answer = client.get(f"/sessions/{session.pk}{query}")
    assert answer.status_code == 200
    return answer.content.decode()


def hidden(text: str) -> dict[str, str]:
    """What the pad of the page would send besides the key."""
    form = text[text.index('class="tell"') :]  # the pad's own form
    return dict(re.findall(r'type="hidden" name="(\w+)" value="([^"]*)"', form[: form.index("</form>")]))


def on_top(text: str) -> str:
    """The set to do now, without those that the page takes along."""
    return text[text.index('id="set-now"') :].split("<template", maxsplit=1)[0]


def tap(client, session, pain, query="", **more):
    """Press a pain key of the page as it stands."""
    return client.post(
        f"/sessions/{session.pk}", {**hidden(page(client, session, query)), "pain": pain, **more}
    )


def work(client, session, pain, **more):
    """Press a pain key, the warm-ups left out."""
    line = session.lines.first()
    return tap(client, session, pain, f"?line={line.pk}&work", **more)


def line_of(session):
    return session.lines.get().pk


def test_the_plan_begins_one_rung_under_what_was_accepted(signed_in, planned):
    line = planned.lines.get()
    assert (line.role, line.lift, line.load, line.unit) == ("full-range", "deadlift", Decimal(95), "kg")
    assert (line.sets, line.reps, line.height_mm) == (3, 5, 225)
    shown = signed_in.get(f"/sessions/{planned.pk}/plan").content.decode()
    assert "25 · 10 · 2.5 each side" in shown
    assert "no blocks, hands at 22.5 cm" in shown


def test_planning_twice_makes_one_line(signed_in, lifter, planned):
    signed_in.post(f"/lifters/{lifter.pk}/session")
    assert lifter.sessions.get().lines.count() == 1


def test_a_set_as_planned_is_one_press_of_a_pain_key(signed_in, planned):
    answer = work(signed_in, planned, "2")
    assert answer.status_code == 302
    done = planned.done_sets.get(kind="work")
    assert (done.load, done.reps, done.pain, done.acceptable, done.sore) == (Decimal(95), 5, 2, True, True)


def test_as_planned_says_that_the_effort_was_not_passed_and_keeps_it(signed_in, planned):
    assert "As planned, RPE 7 or under: worst pain" in page(
        signed_in, planned, f"?line={planned.lines.first().pk}&work"
    )
    work(signed_in, planned, "1")
    assert planned.done_sets.get(kind="work").rpe == 7


def test_three_sets_as_planned_are_three_presses(signed_in, planned):
    for number in (1, 2, 3):
        assert f"set {number} of 3" in page(signed_in, planned, f"?line={planned.lines.first().pk}&work")
        work(signed_in, planned, "1")
    assert "Every planned set is done" in page(signed_in, planned)


def test_the_same_press_is_stored_once(signed_in, planned):
    form = {**hidden(page(signed_in, planned, f"?line={planned.lines.first().pk}&work")), "pain": "2"}
    for _ in range(2):
        assert signed_in.post(f"/sessions/{planned.pk}", form).status_code == 302
    assert planned.done_sets.filter(kind="work").count() == 1


def test_another_key_on_the_same_page_changes_nothing_and_says_so(signed_in, planned):
    form = hidden(page(signed_in, planned, f"?line={planned.lines.first().pk}&work"))
    signed_in.post(f"/sessions/{planned.pk}", {**form, "pain": "2"})
    answer = signed_in.post(f"/sessions/{planned.pk}", {**form, "pain": "4"}, follow=True)
    assert planned.done_sets.get(kind="work").pain == 2
    assert "The second press changed nothing" in answer.content.decode()


def test_undo_takes_the_last_set_back_and_leaves_a_trace(signed_in, planned):
    work(signed_in, planned, "2")
    signed_in.post(f"/sessions/{planned.pk}/undo")
    done = planned.done_sets.get(kind="work")
    assert done.undone_at is not None
    trace = Trace.objects.get(what="set-undone")
    assert (trace.subject, trace.subject_id, trace.before["pain"]) == ("set", done.pk, 2)
    assert "set 1 of 3" in page(signed_in, planned, f"?line={planned.lines.first().pk}&work")


def test_a_high_score_is_asked_about_before_it_is_kept(signed_in, planned):
    answer = work(signed_in, planned, "7")
    assert answer.status_code == 422
    assert "Pain 7, and acceptable to them?" in answer.content.decode()
    assert not planned.done_sets.filter(kind="work").exists()


def test_a_high_score_that_was_not_acceptable_needs_no_question(signed_in, planned):
    assert work(signed_in, planned, "7", acceptable="no").status_code == 302
    assert planned.done_sets.get(kind="work").acceptable is False


def test_a_high_score_called_acceptable_twice_is_kept_so(signed_in, planned):
    assert work(signed_in, planned, "6", confirmed="acceptable-but-high").status_code == 302
    assert planned.done_sets.get(kind="work").acceptable is True


def test_a_set_over_the_limit_offers_one_rung_down_now(signed_in, planned):
    work(signed_in, planned, "6", acceptable="no")
    shown = page(signed_in, planned)
    assert "Pain 6 is over 5" in shown
    assert "85 kg for the rest" in shown
    signed_in.post(f"/sessions/{planned.pk}/lines/{planned.lines.first().pk}/do/lower")
    assert planned.lines.get().load == Decimal(85)
    assert "85<small>kg × 5</small>" in page(signed_in, planned, f"?line={planned.lines.first().pk}&work")


def log_elsewhere(client, session, load, pain, **more):
    """A work set from a phone that was away."""
    said = {"line": line_of(session), "kind": "work", "load": load, "unit": "kg", "reps": "5", "pain": pain}
    client.post(f"/sessions/{session.pk}", {**said, "client_id": f"{load} kg elsewhere", **more})
    assert session.done_sets.filter(kind="work", load=load).exists()


def test_a_lighter_set_from_a_phone_that_was_away_does_not_bring_back_the_load_that_hurt(signed_in, planned):
    work(signed_in, planned, "7", acceptable="no")
    log_elsewhere(signed_in, planned, "85", "2")
    shown = page(signed_in, planned)
    assert "Pain 7 is over 5" in shown
    assert "85 kg for the rest" in shown
    signed_in.post(f"/sessions/{planned.pk}/lines/{line_of(planned)}/do/lower")
    assert "85<small>kg × 5</small>" in page(signed_in, planned)


def test_of_two_sets_that_were_too_much_the_lighter_one_is_gone_under(signed_in, planned):
    for load in ("95", "85"):
        log_elsewhere(signed_in, planned, load, "6", acceptable="no")
    assert "75 kg for the rest" in page(signed_in, planned)


def test_a_lift_that_is_not_sore_is_eased_too_once_it_hurts_too_much(signed_in, planned):
    planned.lines.update(role="usual")
    work(signed_in, planned, "7", acceptable="no")
    assert "85 kg for the rest" in page(signed_in, planned)


def test_a_phone_takes_along_what_is_a_rung_under_each_lift(signed_in, planned):
    lowered = page(signed_in, planned).split('<template class="ahead-lower"')[1]
    assert f'data-line="{line_of(planned)}"' in lowered
    assert "85<small>kg × 5</small>" in lowered
    assert 'name="load" value="85"' in lowered


def test_where_nothing_is_lighter_a_phone_takes_no_rung_along(signed_in, planned):
    planned.lines.update(load=20)
    assert "ahead-lower" not in page(signed_in, planned)


def test_someone_else_loads_for_a_sore_back_where_there_is_something_to_load(signed_in, planned):
    first = on_top(page(signed_in, planned, f"?line={line_of(planned)}&work"))
    assert "Someone else lifts the" in first
    work(signed_in, planned, "1")
    second = on_top(page(signed_in, planned))
    assert "The bar stays as it is." in second
    assert "Someone else" not in second


def test_a_set_keeps_the_plates_that_the_page_told(signed_in, planned):
    work(signed_in, planned, "1")
    changed = page(signed_in, planned, f"?line={line_of(planned)}&work")
    address = re.search(r'href="(/sessions/[^"]*kind=work[^"]*)"', changed)[1].replace("&amp;", "&")
    form = signed_in.get(address).content.decode()
    told = re.search(r'name="side" value="([^"]*)"', form)[1]
    signed_in.post(address, {"load": "95 kg", "reps": "4", "pain": "1", "side": told})
    assert list(planned.done_sets.filter(kind="work").values_list("side", flat=True)) == ["25 10 2.5"] * 2


@pytest.mark.parametrize("side", ["<b>25", "25  10", "-25", "25," * 60, ""])
def test_no_set_is_lost_for_what_stands_where_its_plates_should(signed_in, planned, side):
    assert work(signed_in, planned, "1", side=side).status_code == 302
    assert planned.done_sets.get(kind="work").side == ""
    assert page(signed_in, planned)


@pytest.mark.parametrize("side", ["25 25 25", "7 7 7", "999999999999999999999999999999"])
def test_plates_that_do_not_make_the_load_are_passed_over(signed_in, planned, side):
    assert work(signed_in, planned, "1", side=side).status_code == 302
    assert "25 · 10 · 2.5 each side" in page(signed_in, planned)


def test_a_lift_can_be_left_for_the_day_and_taken_up_again(signed_in, planned):
    line = planned.lines.get()
    signed_in.post(f"/sessions/{planned.pk}/lines/{line.pk}/do/leave")
    assert "Every planned set is done" in page(signed_in, planned)
    signed_in.post(f"/sessions/{planned.pk}/lines/{line.pk}/do/resume")
    assert "95<small>kg × 5</small>" in page(signed_in, planned, f"?line={line.pk}&work")


def test_spreading_stops_the_lift_and_leads_to_the_questions(signed_in, planned):
    work(signed_in, planned, "3", spreading="on")
    shown = page(signed_in, planned)
    assert "the symptoms spread" in shown
    assert f"/episodes/{planned.episode_id}/screen" in shown
    assert planned.done_sets.get(kind="work").acceptable is False


@pytest.mark.parametrize("said", [{"pain": "7", "acceptable": "no"}, {"pain": "2", "acceptable": "no"}])
def test_after_a_warm_up_that_hurt_too_much_nothing_heavier_is_asked_for(signed_in, planned, said):
    line = planned.lines.get()
    tap(signed_in, planned, kind="warm-up", load="60", **said)
    shown = page(signed_in, planned)
    assert 'id="rest"' not in shown  # nothing says when the next set is due
    assert "Pain 7 is over 5" in shown or "That set was not acceptable" in shown
    assert '<form class="tell"' not in on_top(shown)  # no set is on offer
    assert "52.5" in re.search(r"([\d.]+) <?[^>]*kg for the rest", shown)[0]
    signed_in.post(f"/sessions/{planned.pk}/lines/{line.pk}/do/lower")
    line.refresh_from_db()
    assert line.load < 60
    after = page(signed_in, planned)
    assert "kg for the rest" not in after
    assert '<form class="tell"' in after


def test_spreading_in_a_warm_up_stops_the_lift_too(signed_in, planned):
    tap(signed_in, planned, "1", kind="warm-up", load="60", spreading="on")
    assert planned.done_sets.get(kind="warm-up", load=60).spreading
    assert "the symptoms spread" in page(signed_in, planned)


def test_spreading_in_the_last_set_is_not_passed_over_for_the_next_lift(signed_in, planned):
    Line.objects.create(
        session=planned, order=9, role="usual", lift="leg-curl", load=42, unit="kg", sets=3, reps=10
    )
    for pain, spreading in (("1", {}), ("1", {}), ("2", {"spreading": "on"})):
        work(signed_in, planned, pain, **spreading)
    shown = page(signed_in, planned)
    assert "Stop this lift: the symptoms spread</h2><p>Ask the warning-sign questions now" in shown
    assert ">Leave it</button>" not in shown
    line = planned.lines.first()
    signed_in.post(f"/sessions/{planned.pk}/lines/{line.pk}/do/leave")
    left = page(signed_in, planned)
    assert "Leg curl" in left
    assert "stopped for today" in left
    assert "Go on" not in left  # nothing of it is on offer any more


def test_nobody_is_asked_to_plan_for_a_lifter_who_is_stopped(signed_in, lifter, coach, found):
    lifter.sessions.all().delete()
    lifter.episodes.get().screenings.create(
        at=at("2026-11-23 17:00"), asked_by=coach, answers={}, outcome="soon", locks="person"
    )
    shown = signed_in.get(f"/lifters/{lifter.pk}/session").content.decode()
    assert "Stopped: no heavy work for Abel Norwood" in shown
    assert "Plan today" not in shown


def test_no_set_after_it_takes_back_that_symptoms_spread(signed_in, planned):
    line = planned.lines.get()
    open_elsewhere = hidden(page(signed_in, planned, f"?line={line.pk}&work"))
    for pain, spreading in (("1", {}), ("1", {}), ("2", {"spreading": "on"})):
        work(signed_in, planned, pain, **spreading)
    shown = page(signed_in, planned)
    assert "One more" not in shown
    later = {**open_elsewhere, "client_id": "a-phone-that-was-away", "pain": "1"}
    signed_in.post(f"/sessions/{planned.pk}", later)
    said = planned.done_sets.filter(kind="work").order_by("pk").values_list("spreading", flat=True)
    assert list(said) == [False, False, True, False]
    assert "Stop this lift: the symptoms spread" in page(signed_in, planned)


def test_a_changed_set_keeps_what_was_done(signed_in, planned):
    line = planned.lines.get()
    form = {"load": "90", "reps": "4", "rpe": "8", "pain": "3", "acceptable": "yes"}
    assert signed_in.post(f"/sessions/{planned.pk}/lines/{line.pk}/set", form).status_code == 302
    done = planned.done_sets.get(kind="work")
    assert (done.load, done.reps, done.rpe, done.pain, done.target_reps) == (90, 4, 8, 3, 5)


def test_a_load_between_two_is_refused_with_both_neighbours(signed_in, planned):
    line = planned.lines.get()
    form = {"load": "91", "reps": "4", "pain": "3", "acceptable": "yes"}
    answer = signed_in.post(f"/sessions/{planned.pk}/lines/{line.pk}/set", form)
    shown = answer.content.decode()
    assert answer.status_code == 422
    assert "91 kg cannot be loaded on Bar 1: 90 or 92.5 kg can." in shown
    assert 'name="take" value="90 kg"' in shown
    assert (
        signed_in.post(f"/sessions/{planned.pk}/lines/{line.pk}/set", {**form, "take": "92.5 kg"}).status_code
        == 302
    )
    assert planned.done_sets.get(kind="work").load == Decimal("92.5")


def test_pounds_typed_for_kilograms_are_not_swallowed(signed_in, planned):
    line = planned.lines.get()
    answer = signed_in.post(
        f"/sessions/{planned.pk}/lines/{line.pk}/set",
        {"load": "210", "reps": "5", "pain": "2", "acceptable": "yes"},
    )
    assert answer.status_code == 422
    assert "210 kg is a long way from the 95 kg that was planned" in answer.content.decode()


def test_what_to_put_on_and_take_off_is_said_for_this_set_and_the_next(signed_in, planned):
    line = planned.lines.get()
    Line.objects.create(
        session=planned,
        order=9,
        role="usual",
        lift="bench-press",
        bar=line.bar,
        load=70,
        unit="kg",
        sets=1,
        reps=5,
    )
    first = page(signed_in, planned, f"?line={line.pk}&work")
    assert "Leave it loaded" in first
    for _ in range(2):
        work(signed_in, planned, "1")
    assert "Take 2.5, 10 and 25 off each side." in page(signed_in, planned, f"?line={line.pk}&work")


def test_warm_ups_come_first_and_are_logged_as_such(signed_in, lifter, found):
    search = found.sessions.get().searches.get()
    search.tests.update(undone_at=at("2026-11-23 19:00"))
    line = Line.objects.create(
        session=found.sessions.get(),
        order=1,
        role="full-range",
        lift="deadlift",
        height_mm=225,
        bar=BarRow.objects.get(name="Bar 1"),
        load=95,
        unit="kg",
        sets=1,
        reps=5,
    )
    session = line.session
    assert "warm-up 1 of 4" in page(signed_in, session)
    tap(signed_in, session, "1")
    done = session.done_sets.get(kind="warm-up")
    assert (done.load, done.reps, done.target_reps) == (20, 8, None)
    assert "warm-up 2 of 4" in page(signed_in, session)
    assert "set 1 of 1" in page(signed_in, session, f"?line={line.pk}&work")


def test_a_raised_stack_is_named_when_the_plates_are_small(signed_in, planned):
    planned.lines.update(load=30)
    shown = page(signed_in, planned, f"?line={planned.lines.get().pk}&work")
    assert "under each side 10 cm block" in re.sub(r"<[^>]+>", "", shown)


def test_the_lifters_of_today_are_one_tap_apart(signed_in, planned, gym, coach):
    other = second_lifter(gym, coach)
    signed_in.post(f"/lifters/{other.pk}/session")
    session = other.sessions.get()
    assert f'href="/sessions/{session.pk}"' in page(signed_in, planned)


def second_lifter(gym, coach):
    return a_lifter(
        gym,
        coach,
        at("2026-11-01 10:00"),
        name="Priya Venn",
        born_year=1995,
        sex="female",
        stature_m=1.64,
        mass_kg=62.0,
        unit="kg",
    )


def test_a_set_on_the_wrong_lifter_is_moved_to_the_one_who_did_it(signed_in, planned, gym, coach):
    other = second_lifter(gym, coach)
    signed_in.post(f"/lifters/{other.pk}/session")
    theirs = Line.objects.create(
        session=other.sessions.get(),
        order=1,
        role="usual",
        lift="bench-press",
        bar=BarRow.objects.get(name="Bar 1"),
        load=95,
        unit="kg",
        sets=3,
        reps=5,
    )
    work(signed_in, planned, "2")
    done = planned.done_sets.get(kind="work")
    assert (
        "Priya Venn: bench press, 95 kg"
        in signed_in.get(f"/sessions/{planned.pk}/sets/{done.pk}").content.decode()
    )
    signed_in.post(f"/sessions/{planned.pk}/sets/{done.pk}/move", {"line": theirs.pk})
    done.refresh_from_db()
    assert (done.session, done.line, done.lift, done.sore) == (theirs.session, theirs, "bench-press", False)
    assert Trace.objects.get(what="set-moved").before["session"] == planned.pk


def test_an_unaffected_lift_is_logged_without_a_score(signed_in, planned):
    line = Line.objects.create(
        session=planned,
        order=9,
        role="usual",
        lift="bench-press",
        bar=BarRow.objects.get(name="Bar 1"),
        load=80,
        unit="kg",
        sets=1,
        reps=5,
    )
    form = hidden(page(signed_in, planned, f"?line={line.pk}&work"))
    assert signed_in.post(f"/sessions/{planned.pk}", form).status_code == 302
    done = planned.done_sets.get(line=line)
    assert (done.pain, done.acceptable, done.sore) == (None, None, False)


def test_the_score_within_the_hour_is_one_press(signed_in, planned, clock):
    work(signed_in, planned, "2")
    assert signed_in.post(f"/sessions/{planned.pk}/end").url == f"/sessions/{planned.pk}/after"
    clock("2026-11-23 18:50")
    signed_in.post(f"/sessions/{planned.pk}/after", {"score": "1"})
    planned.refresh_from_db()
    assert (planned.after, planned.after_at) == (1, at("2026-11-23 18:50"))


def test_a_score_long_after_is_asked_about(signed_in, planned, clock):
    work(signed_in, planned, "2")
    clock("2026-11-23 21:00")
    answer = signed_in.post(f"/sessions/{planned.pk}/after", {"score": "1"})
    assert answer.status_code == 422
    assert "Is this the pain within the hour after it?" in answer.content.decode()
    planned.refresh_from_db()
    assert planned.after is None
    signed_in.post(f"/sessions/{planned.pk}/after", {"score": "1", "confirmed": "after-late"})
    planned.refresh_from_db()
    assert planned.after == 1


def test_a_session_that_runs_past_midnight_stays_on_its_evening(signed_in, lifter, found, clock):
    found.sessions.all().delete()
    clock("2026-11-23 23:30")
    signed_in.post(f"/lifters/{lifter.pk}/session")
    session = lifter.sessions.get()
    clock("2026-11-24 00:40")
    signed_in.post(f"/lifters/{lifter.pk}/session")
    assert lifter.sessions.get() == session
    assert session.day == date(2026, 11, 23)


def test_without_consent_the_set_is_kept_and_its_score_is_not(signed_in, lifter, planned):
    lifter_actions.withdraw_consent(lifter, now=at("2026-11-23 18:00"))
    answer = work(signed_in, planned, "2")
    done = planned.done_sets.get(kind="work")
    assert (done.load, done.pain, done.acceptable) == (95, None, None)
    assert "the scores are not kept" in signed_in.get(answer.url).content.decode()


def test_without_consent_what_to_do_is_still_said(signed_in, lifter, planned):
    lifter_actions.withdraw_consent(lifter, now=at("2026-11-23 18:00"))
    answer = work(signed_in, planned, "7", acceptable="no")
    assert "Pain 7: one rung down now" in signed_in.get(answer.url).content.decode()
    assert planned.done_sets.get(kind="work").pain is None


def test_without_consent_spreading_is_answered_with_a_stop_and_not_with_a_lighter_load(
    signed_in, lifter, planned
):
    lifter_actions.withdraw_consent(lifter, now=at("2026-11-23 18:00"))
    answer = work(signed_in, planned, "7", spreading="on", acceptable="no")
    shown = signed_in.get(answer.url).content.decode()
    assert "Stop this lift: the symptoms spread. Ask the warning-sign questions now" in shown
    assert "one rung down now" not in shown
    assert not planned.done_sets.get(kind="work").spreading


def test_a_session_of_another_gym_is_not_there(client, signed_in, planned):
    from floorward.actions import gyms

    elsewhere = a_gym("Quayside Barbell", at("2026-11-01 09:00"))
    stranger = gyms.add_staff(
        elsewhere, name="Odd Lund", sign_in_name="odd", role="owner", password="quiet lever arms"
    )
    client.force_login(stranger, backend="django.contrib.auth.backends.ModelBackend")
    for path in ("", "/plan", "/card", "/card.pdf", "/after"):
        assert client.get(f"/sessions/{planned.pk}{path}").status_code == 404


def test_the_region_lock_leaves_the_sore_lift_shut_and_the_others_open(signed_in, lifter, planned):
    from floorward.storage.models import Screening

    Screening.objects.create(
        episode=planned.episode,
        at=at("2026-11-23 18:05"),
        answers={},
        outcome="soon",
        locks="region",
        reasons=[],
    )
    line = Line.objects.create(
        session=planned,
        order=9,
        role="usual",
        lift="bench-press",
        bar=BarRow.objects.get(name="Bar 1"),
        load=80,
        unit="kg",
        sets=1,
        reps=5,
    )
    shown = page(signed_in, planned)
    assert "The sore lift is locked" in shown
    assert "80<small>kg × 5</small>" in page(signed_in, planned, f"?line={line.pk}&work")
    form = {
        "line": planned.lines.first().pk,
        "kind": "work",
        "load": "95",
        "unit": "kg",
        "reps": "5",
        "pain": "1",
    }
    assert signed_in.post(f"/sessions/{planned.pk}", form).status_code == 409
    assert not DoneSet.objects.filter(kind="work").exists()


def test_a_second_press_on_undo_takes_nothing_more_back(signed_in, planned):
    work(signed_in, planned, "1")
    work(signed_in, planned, "2")
    path = re.search(r'formaction="(/sessions/\d+/sets/\d+/undo)"', page(signed_in, planned)).group(1)
    for _ in range(2):
        signed_in.post(path)
    assert [done.pain for done in planned.done_sets.filter(kind="work", undone_at=None)] == [1]


def test_a_second_press_on_one_rung_down_goes_no_further(signed_in, planned):
    work(signed_in, planned, "6", acceptable="no")
    for _ in range(2):
        signed_in.post(f"/sessions/{planned.pk}/lines/{planned.lines.first().pk}/do/lower")
    assert planned.lines.get().load == Decimal(85)


def test_new_symptoms_of_the_morning_shut_the_sore_lift(signed_in, planned):
    planned.episode.mornings.create(day="2026-11-23", score=2, new_symptoms="yes", at=at("2026-11-23 18:15"))
    assert "New symptoms were reported this morning" in page(signed_in, planned)
    form = {
        "line": planned.lines.first().pk,
        "kind": "work",
        "load": "95",
        "unit": "kg",
        "reps": "5",
        "pain": "1",
    }
    assert signed_in.post(f"/sessions/{planned.pk}", form).status_code == 409


def test_once_consent_is_taken_back_no_score_is_shown(signed_in, lifter, planned):
    work(signed_in, planned, "4")
    done = planned.done_sets.get(kind="work")
    assert "pain 4" in page(signed_in, planned)
    lifter_actions.withdraw_consent(lifter, now=at("2026-11-23 18:30"))
    shown = page(signed_in, planned)
    assert "pain 4" not in shown
    assert ">4</text>" not in shown
    mended = signed_in.get(f"/sessions/{planned.pk}/sets/{done.pk}").content.decode()
    assert 'value="4" checked' not in mended


def rest_of(client, session):
    """What the page says of the rest: gone, of how much, and when the next set is due; None while nobody rests."""
    found = re.search(r'<section id="rest".*?</section>', page(client, session), re.DOTALL)
    if not found or " hidden>" in found[0].split("<p")[0]:
        return None
    return tuple(re.search(rf"data-{name}>([^<]*)<", found[0])[1] for name in ("gone", "length", "next"))


def test_the_rest_runs_from_the_last_set_and_says_when_the_next_is_due(signed_in, planned, clock):
    assert rest_of(signed_in, planned) is None
    clock("2026-11-23 18:40")
    tap(signed_in, planned, "0", kind="warm-up", load="60")
    assert rest_of(signed_in, planned) == ("0:00", "0:45", "18:40")  # a warm-up
    clock("2026-11-23 18:44")
    work(signed_in, planned, "2")
    clock("2026-11-23 18:46")
    assert rest_of(signed_in, planned) == ("2:00", "1:30", "18:45")  # 95 kg is half of what is usual
    assert "Rested" in page(signed_in, planned)
    clock("2026-11-23 19:10")
    assert rest_of(signed_in, planned) is None  # nobody rests that long
    clock("2026-11-23 18:46")
    signed_in.post(f"/sessions/{planned.pk}/sets/{planned.done_sets.last().pk}/undo")
    assert rest_of(signed_in, planned)[1] == "0:45"


def test_a_set_of_another_lifter_starts_no_rest_here(signed_in, planned, coach, gym, clock):
    other = a_lifter(gym, coach, at("2026-11-01 09:00"), name="Ines Halloran", **INES)
    theirs = sessions.open_session(other, by=coach, now=at("2026-11-23 18:00"))
    line = planned.lines.get()
    line.pk, line.session = None, theirs
    line.save()
    tap(signed_in, theirs, "0")
    assert rest_of(signed_in, theirs) is not None
    assert rest_of(signed_in, planned) is None
