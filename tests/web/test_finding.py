import re
from datetime import date
from decimal import Decimal

import pytest

from floorward.actions.finding import accepted_of
from floorward.actions.results import one_rung_down_now
from floorward.storage.models import (
    BarRow,
    BlockRow,
    DoneSet,
    MeasuredStart,
    PinsRow,
    PlateRow,
    Search,
    Trace,
)
from tests.conftest import at
from tests.web.evening import begin, log, no_to_all, report, screened, shown

pytestmark = pytest.mark.django_db

EVENING = (
    ("180", "6", "no"),
    ("142.5", "5", "no"),
    ("20", "0", "yes"),
    ("45", "0", "yes"),
    ("70", "1", "yes"),
    ("95", "2", "yes"),
    ("107.5", "3", "yes"),
)


def asks_for(page: str, load: str, unit: str = "kg") -> bool:
    return f'<p class="load">{load}<small>{unit} × 3</small></p>' in page


def begins(page: str) -> str:
    """The direction that is chosen on the start page."""
    (chosen,) = re.findall(r'name="direction" value="(\w+)"[^>]* checked', page)
    return chosen


def test_the_worked_evening_goes_through_the_pages(signed_in, lifter):
    search = begin(signed_in, screened(signed_in, lifter))
    for load, pain, ok in EVENING:
        assert asks_for(shown(signed_in, search), load)
        assert log(signed_in, search, load, pain, ok).status_code == 302
    page = shown(signed_in, search)
    assert '<h1 class="load">107.5<small>kg</small></h1>' in page
    assert "Training starts at 95\u00a0kg, one rung under it" in page
    assert "at most 3 work sets of at most 5 repetitions" in page


def test_what_was_accepted_is_read_from_the_log(signed_in, lifter):
    episode = screened(signed_in, lifter)
    search = begin(signed_in, episode)
    assert accepted_of(episode, "deadlift") is None
    for load, pain, ok in EVENING:
        log(signed_in, search, load, pain, ok)
    found = accepted_of(episode, "deadlift")
    assert (found.load, found.unit, found.height_mm, found.full_range) == (Decimal("107.5"), "kg", 225, True)
    assert (found.training_load, found.pain, found.reps) == (Decimal(95), 3, 3)
    assert accepted_of(episode, "sumo-deadlift") is None


def test_each_step_says_the_plates_against_what_is_on_the_bar(signed_in, lifter):
    search = begin(signed_in, screened(signed_in, lifter))
    assert "Put 25, 25, 25 and 5 on each side." in shown(signed_in, search)
    log(signed_in, search, "180", "6", "no")
    assert "Each side: take off 5 and 25, put on 10 and 1.25." in shown(signed_in, search)
    log(signed_in, search, "142.5", "5", "no")
    page = shown(signed_in, search)
    assert "Take 1.25, 10, 25 and 25 off each side." in page
    assert "Under each side: 2 × 10 cm block: hands at 22.5 cm." in re.sub("<[^>]+>", "", page)


def test_a_pounds_lifter_is_searched_in_pounds_on_a_pound_bar(signed_in, lifter):
    lifter.unit = "lb"
    lifter.save()
    episode = screened(signed_in, lifter, load="405", usual_load="405", since="2026-11-23")
    page = signed_in.get(f"/episodes/{episode.pk}/find").content.decode()
    assert begins(page) == "up"
    search = begin(signed_in, episode, direction="up", rest_pain="0")
    assert asks_for(shown(signed_in, search), "45", "lb")
    log(signed_in, search, "45", "0")
    assert asks_for(shown(signed_in, search), "95", "lb")
    log(signed_in, search, "95", "1")
    assert asks_for(shown(signed_in, search), "145", "lb")
    log(signed_in, search, "145", "3")
    found = accepted_of(episode, "deadlift")
    assert (found.load, found.unit, found.training_load) == (145, "lb", 130)


@pytest.mark.parametrize(("since", "chosen"), [("2026-11-21", "up"), ("2026-11-20", "down")])
def test_the_first_days_begin_from_below(signed_in, lifter, since, chosen):
    episode = screened(signed_in, lifter, since=since)
    page = signed_in.get(f"/episodes/{episode.pk}/find").content.decode()
    assert begins(page) == chosen


def test_warm_up_sets_are_listed_and_logged_but_are_no_tests(signed_in, lifter):
    search = begin(signed_in, screened(signed_in, lifter))
    page = shown(signed_in, search)
    for line in ("20 kg × 8", "70 kg × 5", "107.5 kg × 3", "142.5 kg × 2"):
        assert line in page
    signed_in.post(f"/searches/{search.pk}/warm-up")
    warm_ups = search.tests.filter(kind="warm-up")
    assert [int(row.load) for row in warm_ups] == [20, 70, 107, 142]
    page = shown(signed_in, search)
    assert "Warm up first" not in page
    assert "find a load, test 1" in page
    assert "Each side: take off 1.25 and 10, put on 25 and 5." in page


def test_pain_above_five_called_acceptable_is_asked_about(signed_in, lifter):
    search = begin(signed_in, screened(signed_in, lifter))
    asked = log(signed_in, search, "180", "6", "yes")
    assert asked.status_code == 422
    assert "Pain 6, and acceptable to them?" in asked.content.decode()
    assert log(signed_in, search, "180", "6", "yes", confirmed="acceptable-but-high").status_code == 302
    assert asks_for(shown(signed_in, search), "142.5")


def test_another_load_shows_its_plates_and_counts(signed_in, lifter):
    search = begin(signed_in, screened(signed_in, lifter))
    page = signed_in.get(f"/searches/{search.pk}?load=160").content.decode()
    assert asks_for(page, "160")
    assert "your load" in page
    log(signed_in, search, "160", "5", "no")
    assert asks_for(shown(signed_in, search), "127.5")


def test_a_load_that_cannot_be_made_names_its_neighbours(signed_in, lifter):
    search = begin(signed_in, screened(signed_in, lifter))
    answer = signed_in.get(f"/searches/{search.pk}?load=161")
    assert answer.status_code == 422
    assert "161 kg cannot be loaded on Bar 1: 160 or 162.5 kg can." in answer.content.decode()
    assert log(signed_in, search, "161", "1").status_code == 422
    assert not search.tests.exists()


def test_a_load_heavier_than_proposed_is_asked_about(signed_in, lifter):
    search = begin(signed_in, screened(signed_in, lifter))
    answer = log(signed_in, search, "190", "1")
    assert "190 kg is heavier than the 180 kg proposed." in answer.content.decode()


def test_an_empty_answer_says_what_is_missing_and_keeps_the_rest(signed_in, lifter):
    search = begin(signed_in, screened(signed_in, lifter))
    answer = log(signed_in, search, "180", "", "")
    page = answer.content.decode()
    assert answer.status_code == 422
    assert "Tap a number from 0 to 10." in page
    assert "Ask them: was it acceptable?" in page
    kept = log(signed_in, search, "180", "4", "").content.decode()
    assert 'name="pain" value="4" checked' in kept


def test_a_test_logged_by_mistake_is_taken_back_and_leaves_a_trace(signed_in, lifter):
    search = begin(signed_in, screened(signed_in, lifter))
    log(signed_in, search, "180", "6", "no")
    log(signed_in, search, "142.5", "5", "no")
    mistake = search.tests.get(load="142.5")
    signed_in.post(f"/searches/{search.pk}/undo/{mistake.pk}")
    mistake.refresh_from_db()
    assert mistake.undone_at
    assert Trace.objects.filter(subject_id=mistake.pk).exists()
    assert asks_for(shown(signed_in, search), "142.5")
    log(signed_in, search, "142.5", "2", "yes")
    assert DoneSet.objects.filter(search=search, undone_at=None).count() == 2


def test_taking_the_last_test_back_opens_the_search_again(signed_in, lifter):
    episode = screened(signed_in, lifter)
    search = begin(signed_in, episode)
    log(signed_in, search, "180", "3", "yes")
    assert accepted_of(episode, "deadlift").load == 180
    signed_in.post(f"/searches/{search.pk}/undo/{search.tests.get().pk}")
    search.refresh_from_db()
    assert search.ended_at is None
    assert accepted_of(episode, "deadlift") is None
    assert asks_for(shown(signed_in, search), "180")


def test_the_same_press_twice_is_one_test(signed_in, lifter):
    search = begin(signed_in, screened(signed_in, lifter))
    for _ in range(2):
        assert log(signed_in, search, "180", "6", "no", seen="0").status_code == 302
    assert search.tests.count() == 1


def test_a_page_that_missed_a_colleagues_test_is_refused_and_shows_both(signed_in, lifter):
    search = begin(signed_in, screened(signed_in, lifter))
    log(signed_in, search, "180", "6", "no")
    stale = log(signed_in, search, "180", "2", "yes", seen="0")
    page = stale.content.decode()
    assert stale.status_code == 409
    assert "A set was logged meanwhile: 180 kg, pain 6." in page
    assert 'name="pain" value="2" checked' in page
    assert 'name="seen" value="1"' in page
    assert search.tests.count() == 1


def test_when_the_lightest_load_fails_a_height_is_found(signed_in, lifter):
    episode = screened(signed_in, lifter, since="2026-11-23", load="60", usual_load="180")
    search = begin(signed_in, episode, direction="up", rest_pain="2")
    log(signed_in, search, "20", "5", "no")
    page = shown(signed_in, search)
    assert asks_for(page, "20")
    assert "once more" in page
    log(signed_in, search, "20", "4", "no")
    page = shown(signed_in, search)
    assert "raised start" in page
    assert "Under each side: 2 × 10 cm block and 2 × 5 cm block and 2 × 2 cm block" not in page
    heights = []
    for pain, ok in (("1", "yes"), ("2", "yes"), ("5", "no")):
        log(signed_in, search, "20", pain, ok)
        heights.append(search.tests.order_by("id").last().height_mm)
    search.refresh_from_db()
    assert search.ended_at
    assert heights[0] > heights[1] > 225
    found = accepted_of(episode, "deadlift")
    assert (found.load, found.height_mm, found.full_range) == (20, heights[1], False)
    page = shown(signed_in, search)
    assert f"hands at {heights[1] / 10:g} cm" in page


def test_pain_at_rest_at_the_ceiling_searches_nothing_and_offers_the_lightest(signed_in, lifter):
    episode = screened(signed_in, lifter)
    search = begin(signed_in, episode, rest_pain="4")
    page = shown(signed_in, search)
    assert "no search today" in page
    assert "Unloaded movement" in page
    assert asks_for(page, "20")
    assert "limit for any set: 5" in page
    assert "ceiling today" not in page
    log(signed_in, search, "20", "5", "yes")
    found = accepted_of(episode, "deadlift")
    assert (found.load, found.reason) == (20, "rest-pain")
    assert "Acceptable today" in shown(signed_in, search)
    assert search.session.before == 4


def test_pain_at_rest_and_too_much_at_the_lightest_ends_the_day(signed_in, lifter):
    episode = screened(signed_in, lifter)
    search = begin(signed_in, episode, rest_pain="4")
    log(signed_in, search, "20", "6", "no")
    page = shown(signed_in, search)
    assert "No load today" in page
    assert accepted_of(episode, "deadlift") is None


def test_spreading_stops_the_search(signed_in, lifter):
    episode = screened(signed_in, lifter)
    search = begin(signed_in, episode)
    log(signed_in, search, "180", "2", "yes", spreading="yes")
    search.refresh_from_db()
    assert search.ended_at
    page = shown(signed_in, search)
    assert "Stopped: symptoms spread" in page
    assert f'href="/episodes/{episode.pk}/screen"' in page
    assert accepted_of(episode, "deadlift") is None


def test_three_unacceptable_sets_are_enough_also_over_two_bars(signed_in, lifter, gym):
    light = BarRow.objects.create(gym=gym, name="Light bar", kind="straight", mass=Decimal(15), unit="kg")
    episode = screened(signed_in, lifter)
    first = begin(signed_in, episode)
    log(signed_in, first, "180", "6", "no")
    log(signed_in, first, "142.5", "5", "no")
    second = begin(signed_in, episode, bar=light.pk)
    assert asks_for(shown(signed_in, second), "15")
    log(signed_in, second, "15", "7", "no")
    page = shown(signed_in, second)
    assert "No load today" in page


def test_a_search_under_way_is_gone_on_with(signed_in, lifter):
    episode = screened(signed_in, lifter)
    first = begin(signed_in, episode)
    log(signed_in, first, "180", "6", "no")
    page = signed_in.get(f"/episodes/{episode.pk}/find").content.decode()
    assert "search under way" in page
    assert f'href="/searches/{first.pk}"' in page
    assert begin(signed_in, episode) == first
    assert Search.objects.count() == 1


def test_small_plates_that_nothing_brings_up_ask_before_the_bar_starts_lower(signed_in, lifter, gym):
    BlockRow.objects.all().delete()
    PinsRow.objects.all().delete()
    PlateRow.objects.filter(unit="kg", diameter_mm=450).update(diameter_mm=230)
    search = begin(signed_in, screened(signed_in, lifter))
    page = shown(signed_in, search)
    assert "Lower than full height" in page
    assert "the bar starts 11 cm lower than a full pull" in page
    assert "Log 180 kg" not in page
    signed_in.post(f"/searches/{search.pk}/lower-start")
    assert "Log 180 kg" in shown(signed_in, search)
    log(signed_in, search, "180", "6", "no")
    assert search.tests.get().height_mm == 115


def test_nothing_is_logged_while_locked(signed_in, lifter, clock):
    episode = screened(signed_in, lifter)
    search = begin(signed_in, episode)
    clock("2026-11-23 18:20")
    signed_in.post(f"/episodes/{episode.pk}/screen", no_to_all(LB6="yes", whole="1"))
    answer = log(signed_in, search, "180", "1")
    assert answer.status_code == 409
    assert "locked until a clinician has cleared it" in answer.content.decode()
    assert not search.tests.exists()


def test_without_consent_no_search_is_stored(signed_in, lifter):
    episode = screened(signed_in, lifter)
    lifter.consents.update(withdrawn_at=at("2026-11-23 18:11"))
    form = {
        "rest_pain": "1",
        "lift": "deadlift",
        "bar": BarRow.objects.first().pk,
        "direction": "up",
        "hurt_load": "200",
        "usual_load": "200",
    }
    answer = signed_in.post(f"/episodes/{episode.pk}/find", form)
    assert answer.status_code == 422
    assert "has not agreed that health answers are kept" in answer.content.decode()
    assert not Search.objects.exists()


def test_a_search_of_yesterday_is_only_looked_at(signed_in, lifter, clock):
    search = begin(signed_in, screened(signed_in, lifter))
    log(signed_in, search, "180", "6", "no")
    clock("2026-11-24 03:30")
    assert "test 2" in shown(signed_in, search)
    clock("2026-11-24 09:00")
    assert "The sets" in shown(signed_in, search)
    late = log(signed_in, search, "142.5", "1")
    assert late.status_code == 409
    assert "This search belongs to another day." in late.content.decode()


def test_a_bar_of_the_wrong_kind_and_collars_of_the_other_unit_are_refused(signed_in, lifter, gym):
    episode = report(signed_in, lifter)
    signed_in.post(f"/episodes/{episode.pk}/screen", no_to_all())
    form = {"rest_pain": "1", "lift": "deadlift", "direction": "up", "hurt_load": "200", "usual_load": "200"}
    trap = gym.bars.get(kind="trap")
    answer = signed_in.post(f"/episodes/{episode.pk}/find", {**form, "bar": trap.pk})
    assert "Trap bar is not the kind of bar that this lift takes." in answer.content.decode()
    pounds = gym.bars.get(unit="lb")
    answer = signed_in.post(
        f"/episodes/{episode.pk}/find", {**form, "bar": pounds.pk, "collar": gym.collars.first().pk}
    )
    assert "These collars are not in lb, as Pound bar is." in answer.content.decode()


def test_ending_early_keeps_what_was_accepted_so_far(signed_in, lifter):
    episode = screened(signed_in, lifter)
    search = begin(signed_in, episode, direction="up")
    log(signed_in, search, "20", "0")
    log(signed_in, search, "45", "1")
    signed_in.post(f"/searches/{search.pk}/end")
    found = accepted_of(episode, "deadlift")
    assert (found.load, found.training_load) == (45, 40)
    assert '<h1 class="load">45<small>kg</small></h1>' in shown(signed_in, search)


def test_one_rung_down_now_is_for_a_set_over_the_limit_only(signed_in, lifter):
    search = begin(signed_in, screened(signed_in, lifter))
    assert one_rung_down_now(search, Decimal(95), 5) is None
    assert one_rung_down_now(search, Decimal(95), 6) == 85
    assert one_rung_down_now(search, Decimal(20), 6) == 20


def test_a_squat_is_searched_without_blocks(signed_in, lifter):
    lifter.best_sets.create(lift="high-bar-squat", load=160, unit="kg", reps=3, day=date(2026, 10, 1))
    episode = screened(signed_in, lifter)
    page = signed_in.get(f"/episodes/{episode.pk}/find?lift=high-bar-squat").content.decode()
    assert 'value="160 kg"' in page
    search = begin(
        signed_in, episode, lift="high-bar-squat", hurt_load="160", usual_load="160", direction="up"
    )
    page = shown(signed_in, search)
    assert "Under each side" not in page
    assert "full height" not in page
    log(signed_in, search, "20", "0")
    assert asks_for(shown(signed_in, search), "40")


def test_a_trap_bar_is_pulled_by_its_high_handles(signed_in, lifter, gym):
    episode = screened(signed_in, lifter)
    trap = gym.bars.get(kind="trap")
    search = begin(signed_in, episode, lift="trap-bar-high", bar=trap.pk, direction="up")
    assert search.height_mm == 345
    assert "hands at 34.5 cm" in shown(signed_in, search)
    log(signed_in, search, "25", "3")
    assert accepted_of(episode, "trap-bar-high").full_range


def test_a_session_with_sets_of_another_spell_is_left_to_that(signed_in, lifter):
    back = screened(signed_in, lifter)
    log(signed_in, begin(signed_in, back), "180", "6", "no")
    knee = screened(signed_in, lifter, region="knee")
    form = {"rest_pain": "1", "lift": "deadlift", "bar": BarRow.objects.first().pk, "direction": "up"}
    answer = signed_in.post(f"/episodes/{knee.pk}/find", {**form, "hurt_load": "200", "usual_load": "200"})
    assert answer.status_code == 422
    assert "holds sets of another spell of pain" in answer.content.decode()


def test_an_older_open_episode_is_searched_in_a_session_of_its_own(signed_in, lifter):
    back = screened(signed_in, lifter)
    screened(signed_in, lifter, region="knee")
    search = begin(signed_in, back)
    assert search.session.episode == back


def test_a_load_typed_in_the_other_unit_is_asked_about_and_what_was_said_before_is_not(signed_in, lifter):
    episode = screened(signed_in, lifter, load="100 lb", usual_load="225 lb", was_warm_up="on")
    assert begin(signed_in, episode)
    form = {"rest_pain": "1", "lift": "deadlift", "bar": BarRow.objects.first().pk, "direction": "up"}
    asked = signed_in.post(
        f"/episodes/{episode.pk}/find", {**form, "hurt_load": "225 kg", "usual_load": "225 lb"}
    )
    assert "Is it 225 lb rather than 225 kg?" in asked.content.decode()


def test_pain_at_rest_and_nothing_tried_is_kept_as_ended(signed_in, lifter):
    episode = screened(signed_in, lifter)
    search = begin(signed_in, episode, rest_pain="5")
    page = signed_in.post(f"/searches/{search.pk}/end", follow=True).content.decode()
    assert "No load today" in page
    assert "It hurts 5 at rest" in page
    assert accepted_of(episode, "deadlift") is None


def test_a_start_that_was_measured_is_named_beside_the_search(signed_in, lifter):
    MeasuredStart.objects.create(
        lifter=lifter, lift="deadlift", height_mm=225, trunk_deg=32, day=at("2026-11-20 18:00").date()
    )
    episode = screened(signed_in, lifter)
    search = begin(signed_in, episode, direction="down")
    said = "Measured angles rule over the model where they were taken: Deadlift, from the floor (trunk 32°)."
    assert said in shown(signed_in, search)
