import pytest

from floorward.actions import episodes
from floorward.errors import Refused
from floorward.storage.models import Episode
from tests.conftest import at
from tests.people import a_gym
from tests.web.evening import REPORT, no_to_all, report

pytestmark = pytest.mark.django_db


def test_a_first_report_starts_an_episode_and_leads_to_the_questions(signed_in, lifter):
    answer = signed_in.post(
        f"/lifters/{lifter.pk}/episode/new", {**REPORT, "was_warm_up": "on", "belt": "on"}
    )
    episode = lifter.episodes.get()
    assert answer["Location"] == f"/episodes/{episode.pk}/screen"
    assert (episode.region, episode.load, episode.unit, episode.pain) == ("low-back", 200, "kg", 7)
    assert episode.was_warm_up
    assert episode.belt
    assert episode.started_by.name == "Bram Okello"


def test_both_loads_are_kept_in_the_unit_of_the_one_that_hurt(signed_in, lifter):
    episode = report(signed_in, lifter, load="405 lb", usual_load="405 lb")
    assert (episode.load, episode.unit, episode.usual_load) == (405, "lb", 405)


@pytest.mark.parametrize(
    ("field", "typed", "said"),
    [
        ("since", "2026-11-24", "This day has not come yet."),
        ("since", "1996-11-24", "more than ten years ago"),
        ("load", "900", "900 kg cannot be right here"),
        ("reps", "0", "At least 1."),
        ("pain", "11", "Tap a number from 0 to 10."),
        ("region", "", "This is still needed."),
    ],
)
def test_a_slip_is_told_beside_its_field_and_what_was_typed_stays(signed_in, lifter, field, typed, said):
    answer = signed_in.post(
        f"/lifters/{lifter.pk}/episode/new", {**REPORT, "shoes": "flat ones", field: typed}
    )
    assert answer.status_code == 422
    assert said in answer.content.decode()
    assert 'value="flat ones"' in answer.content.decode()
    assert not Episode.objects.exists()


def test_pounds_typed_as_kilograms_are_asked_about(signed_in, lifter):
    typed = {**REPORT, "load": "405", "usual_load": "185"}
    asked = signed_in.post(f"/lifters/{lifter.pk}/episode/new", typed)
    assert asked.status_code == 422
    assert "Is it 405 lb rather than 405 kg?" in asked.content.decode()
    taken = signed_in.post(f"/lifters/{lifter.pk}/episode/new", {**typed, "confirmed": "unit-slip"})
    assert taken.status_code == 302
    assert lifter.episodes.get().load == 405


def test_a_light_warm_up_set_is_no_slip_of_the_unit(signed_in, lifter):
    episode = report(signed_in, lifter, load="90", usual_load="200", was_warm_up="on")
    assert episode.load == 90


def test_a_best_set_tells_a_slip_too(signed_in, lifter):
    lifter.best_sets.create(lift="deadlift", load=185, unit="kg", reps=3, day=at("2026-10-01 12:00").date())
    asked = signed_in.post(
        f"/lifters/{lifter.pk}/episode/new", {**REPORT, "load": "405", "usual_load": "405"}
    )
    assert "Is it 405 lb rather than 405 kg?" in asked.content.decode()


def test_without_consent_nothing_is_stored_and_the_questions_can_still_be_asked(signed_in, lifter):
    lifter.consents.update(withdrawn_at=at("2026-11-22 09:00"))
    page = signed_in.get(f"/lifters/{lifter.pk}/episode/new").content.decode()
    assert "has not agreed that health answers are kept" in page
    assert f"/lifters/{lifter.pk}/screen" in page
    answer = signed_in.post(f"/lifters/{lifter.pk}/episode/new", REPORT)
    assert answer.status_code == 422
    assert not Episode.objects.exists()


def test_a_region_has_one_open_episode_and_the_next_is_linked_to_it(signed_in, lifter, coach):
    first = report(signed_in, lifter)
    again = signed_in.post(f"/lifters/{lifter.pk}/episode/new", REPORT)
    assert again.status_code == 422
    assert "has an open episode of this region already" in again.content.decode()
    signed_in.post(f"/episodes/{first.pk}/close")
    second = report(signed_in, lifter)
    assert second.previous == first
    with pytest.raises(Refused, match="episode-open"):
        episodes.reopen_episode(first)


def test_a_closed_episode_can_be_reopened(signed_in, lifter):
    episode = report(signed_in, lifter)
    signed_in.post(f"/episodes/{episode.pk}/close")
    episode.refresh_from_db()
    assert episode.closed_at
    signed_in.post(f"/episodes/{episode.pk}/reopen")
    episode.refresh_from_db()
    assert episode.closed_at is None


def test_a_locked_episode_is_not_closed(signed_in, lifter):
    episode = report(signed_in, lifter)
    signed_in.post(f"/episodes/{episode.pk}/screen", no_to_all(LB6="yes"))
    answer = signed_in.post(f"/episodes/{episode.pk}/close")
    assert answer.status_code == 409
    assert "locked until a clinician has cleared it" in answer.content.decode()


def test_a_colleagues_change_meanwhile_is_shown_beside_yours(signed_in, lifter):
    episode = report(signed_in, lifter)
    page = signed_in.get(f"/episodes/{episode.pk}/change").content.decode()
    assert 'value="200 kg"' in page
    episodes.change_episode(episode, seen_version=1, changes={"eases": "walking"})
    typed = {**REPORT, "load": "190", "version": "1"}
    answer = signed_in.post(f"/episodes/{episode.pk}/change", typed)
    assert answer.status_code == 422
    both = answer.content.decode()
    assert "A colleague changed this while your page was open" in both
    assert "walking" in both
    assert 'value="190"' in both
    assert signed_in.post(f"/episodes/{episode.pk}/change", {**typed, "version": "2"}).status_code == 302
    episode.refresh_from_db()
    assert (episode.load, episode.version) == (190, 3)


def test_another_gyms_episode_is_not_there(client, signed_in, lifter, owner):
    from floorward.actions import gyms

    episode = report(signed_in, lifter)
    elsewhere = a_gym("Mill Lane", at("2026-11-01 09:00"))
    stranger = gyms.add_staff(
        elsewhere, name="Odile Ferris", sign_in_name="odile", role="coach", password=None
    )
    client.force_login(stranger, backend="django.contrib.auth.backends.ModelBackend")
    for page in ("screen", "find", "clearance", "change"):
        assert client.get(f"/episodes/{episode.pk}/{page}").status_code == 404
