"""The pages of the mechanics in a browser without scripts."""

import re

import pytest

from floorward.actions import lifters
from floorward.storage.models import Lifter, MeasuredStart, Search
from tests.conftest import at
from tests.people import a_gym
from tests.web.evening import accepted, begin, log, screened

pytestmark = pytest.mark.django_db


def get(client, address):
    """A page; spaces that hold a number and its unit together are spaces."""
    answer = client.get(address)
    assert answer.status_code == 200
    return answer.content.decode().replace("\N{NO-BREAK SPACE}", " ")


@pytest.fixture
def found(signed_in, lifter):
    """Abel with 107.5 kg accepted from the floor."""
    return accepted(signed_in, lifter)


def body_form(lifter, **tape):
    empty = dict.fromkeys(("span_m", "crotch_m", "sitting_height_m", "knee_height_m", "sleeve_m"), "")
    return {**empty, "version": lifter.version, **tape}


def test_the_body_page_shows_the_line_the_figure_and_the_doubt(signed_in, lifter):
    text = get(signed_in, f"/lifters/{lifter.pk}/body")
    assert text.count('class="line-of-ten"') == 7
    assert "One of several postures" in text
    assert "In a line of ten men" in text
    assert "/help/science/body" in text


def test_the_best_measure_stands_first_with_its_field(signed_in, lifter):
    text = get(signed_in, f"/lifters/{lifter.pk}/body")
    fields = re.findall(r'name="(\w+_m)"', text)
    assert fields[0] == "crotch_m"
    assert sorted(fields) == ["crotch_m", "knee_height_m", "sitting_height_m", "sleeve_m", "span_m"]


def test_a_measure_is_entered_on_the_spot_in_any_spelling(signed_in, lifter):
    answer = signed_in.post(f"/lifters/{lifter.pk}/body", body_form(lifter, span_m="1.84 m"))
    assert answer.status_code == 302
    assert Lifter.objects.get().span_m == pytest.approx(1.84)
    assert "1 of 5 tape measures known" in get(signed_in, f"/lifters/{lifter.pk}/body")


def test_a_measure_out_of_range_is_refused_beside_its_field_and_kept(signed_in, lifter):
    answer = signed_in.post(f"/lifters/{lifter.pk}/body", body_form(lifter, span_m="18", crotch_m="84"))
    assert answer.status_code == 422
    text = answer.content.decode()
    assert "18 cm cannot be right here" in text
    assert 'value="84"' in text
    assert Lifter.objects.get().crotch_m is None


def test_a_measure_that_hardly_anybody_has_is_asked_about_once(signed_in, lifter):
    form = body_form(lifter, span_m="210")
    answer = signed_in.post(f"/lifters/{lifter.pk}/body", form)
    assert answer.status_code == 422
    assert "Arm span of 210 cm is hardly ever seen at this height" in answer.content.decode()
    answer = signed_in.post(f"/lifters/{lifter.pk}/body", {**form, "confirmed": "tape-unlikely"})
    assert answer.status_code == 302


def test_a_colleagues_change_meanwhile_is_shown_beside_yours(signed_in, lifter):
    stale = body_form(lifter, span_m="184")
    signed_in.post(f"/lifters/{lifter.pk}/body", body_form(lifter, span_m="186"))
    answer = signed_in.post(f"/lifters/{lifter.pk}/body", stale)
    assert answer.status_code == 422
    assert "A colleague changed this while your page was open" in answer.content.decode()
    assert Lifter.objects.get().span_m == pytest.approx(1.86)


def test_a_measure_can_be_taken_back(signed_in, lifter):
    signed_in.post(f"/lifters/{lifter.pk}/body", body_form(lifter, span_m="184"))
    lifter.refresh_from_db()
    signed_in.post(f"/lifters/{lifter.pk}/body", body_form(lifter))
    assert Lifter.objects.get().span_m is None


def test_the_overview_leads_to_the_body(signed_in, lifter):
    assert f'/lifters/{lifter.pk}/body"' in get(signed_in, f"/lifters/{lifter.pk}")


def test_four_set_ups_stand_side_by_side_with_figures_bars_words_and_limits(signed_in, lifter, found):
    text = get(signed_in, f"/lifters/{lifter.pk}/compare")
    assert text.count('class="side-by"') == 4
    assert text.count('class="band"') == 8
    assert "Same load, less for your low back to hold" in text
    assert "no study has measured what blocks take off" in text
    assert "Equal demand is no first set" in text
    assert "One figure of several" in text


def test_no_sentence_says_that_a_block_spares_the_back_or_does_not(signed_in, lifter, found):
    text = get(signed_in, f"/lifters/{lifter.pk}/compare?a=deadlift:225&b=deadlift:325&c=deadlift:425")
    said = re.findall(r"<blockquote[^>]*>(.*?)</blockquote>", text, re.DOTALL)
    assert len(said) == 3
    assert not [one for one in said[1:] if "back" in one or "hold" in one]
    assert "spare" not in text


def test_the_choice_is_in_the_address_and_kept_in_the_form(signed_in, lifter, found):
    text = get(
        signed_in, f"/lifters/{lifter.pk}/compare?a=sumo-deadlift:225&b=high-bar-squat:0&load=100&region=hip"
    )
    assert "100 kg for the hip" in text
    assert 'value="sumo-deadlift:225" selected' in text
    assert "Find it anew" in text
    assert f'/episodes/{found.pk}/find?lift=high-bar-squat"' in text


@pytest.mark.parametrize("asked", ["a=moon-walk:225", "load=heavy", "region=elbow", "load=9000"])
def test_an_address_that_makes_no_sense_shows_what_is_usual_and_says_what_is_wrong(
    signed_in, lifter, found, asked
):
    text = get(signed_in, f"/lifters/{lifter.pk}/compare?{asked}")
    assert text.count('class="side-by"') == 4
    assert 'class="slip-up"' in text


def test_without_an_episode_set_ups_can_be_compared_all_the_same(signed_in, lifter):
    text = get(signed_in, f"/lifters/{lifter.pk}/compare")
    assert "85 kg for the low back" in text
    assert "/way-back" not in text


def test_a_gym_without_bars_leads_to_its_equipment(signed_in, lifter, gym):
    gym.bars.all().delete()
    assert "No bar to compare with" in get(signed_in, f"/lifters/{lifter.pk}/compare")


def test_variations_lead_to_both_pages(signed_in, lifter, found):
    text = get(signed_in, f"/lifters/{lifter.pk}/variations")
    assert f'/lifters/{lifter.pk}/compare"' in text
    assert f'/lifters/{lifter.pk}/way-back"' in text


def test_progress_leads_to_the_way_back(signed_in, lifter, found):
    assert f'/lifters/{lifter.pk}/way-back"' in get(signed_in, f"/lifters/{lifter.pk}/progress")


def test_the_way_is_drawn_as_stairs_and_written_as_a_table(signed_in, lifter, found):
    text = get(signed_in, f"/lifters/{lifter.pk}/way-back?from=trap-bar-high:445")
    assert text.count('class="stairs"') == 2
    assert "Trap bar, high handles, +10 cm" in text
    assert "Deadlift, from the floor, the full lift" in text
    assert "common practice, no source" in text
    assert "/help/science/demand" in text


def test_a_squats_way_names_holes_and_depths(signed_in, lifter):
    episode = screened(signed_in, lifter, lift="high-bar-squat", load="120", usual_load="130")
    search = begin(signed_in, episode, direction="down")
    for load, pain, ok in (("130", "6", "no"), ("20", "0", "yes"), ("60", "3", "yes")):
        log(signed_in, search, load, pain, ok)
    Search.objects.update(depth_deg=25)
    text = get(signed_in, f"/lifters/{lifter.pk}/way-back")
    assert "while the squat goes deeper, the load stays" in text
    assert re.search(r"High-bar squat, \d+° above level", text)
    assert re.search(r"pins in hole \d+: the bar down to \d+", text)
    assert "look at the thigh, not at the hole" in text


def test_at_full_range_it_says_that_load_is_left(signed_in, lifter, found):
    assert "what is left is load" in get(signed_in, f"/lifters/{lifter.pk}/way-back")


def test_nothing_of_the_episode_is_shown_without_consent(signed_in, lifter, found):
    lifter.episodes.update(region="knee")
    lifters.withdraw_consent(lifter, now=at("2026-11-23 18:00"))
    for page in ("compare", "way-back", "body"):
        text = get(signed_in, f"/lifters/{lifter.pk}/{page}")
        assert "107.5 kg" not in text
        assert "knee, since" not in text
    assert "Nothing is shown without consent" in get(signed_in, f"/lifters/{lifter.pk}/way-back")


def test_while_nothing_is_accepted_the_way_leads_to_a_search(signed_in, lifter):
    episode = screened(signed_in, lifter)
    text = get(signed_in, f"/lifters/{lifter.pk}/way-back")
    assert f'/episodes/{episode.pk}/find"' in text


@pytest.mark.parametrize("page", ["body", "compare", "way-back"])
def test_another_gyms_lifter_is_not_there(signed_in, page):
    other = a_gym("Elsewhere", at("2026-11-01 09:00"))
    stranger = lifters.add_lifter(
        other,
        coach=None,
        now=at("2026-11-01 09:30"),
        name="Stranger",
        born_year=1990,
        sex="female",
        stature_m=1.7,
        mass_kg=70.0,
        unit="kg",
    )
    assert signed_in.get(f"/lifters/{stranger.pk}/{page}").status_code == 404


def angles(start="deadlift:225", **typed):
    return {"start": start, "knee_deg": "", "trunk_deg": "", **typed}


def as_opened(client, lifter) -> str:
    """What the page carries of the starts that it shows."""
    found = re.search(r'name="version" value="([\d: ]*)" id="id_version"', angles_part(client, lifter))
    return found[1] if found else ""


def angles_part(client, lifter) -> str:
    return get(client, f"/lifters/{lifter.pk}/body").split('id="angles"')[1]


def measure(client, lifter, **typed):
    typed = {"version": as_opened(client, lifter), **typed}
    answer = client.post(f"/lifters/{lifter.pk}/angles", angles(**typed))
    assert answer.status_code == 302, answer.content.decode()
    return MeasuredStart.objects.get()


def test_a_measured_angle_is_kept_with_its_start_and_rules_on_every_page(signed_in, lifter, found):
    row = measure(signed_in, lifter, knee_deg="105", trunk_deg="30")
    assert (row.lift, row.height_mm, row.knee_deg, row.trunk_deg) == ("deadlift", 225, 105, 30)
    body = get(signed_in, f"/lifters/{lifter.pk}/body")
    assert "As measured: knee 105°, trunk 30°" in body
    compared = get(signed_in, f"/lifters/{lifter.pk}/compare")
    assert "as measured: knee 105°, trunk 30°" in compared
    assert "the trunk is as likely at 30° over level as at 30°" in compared
    for page in ("way-back?from=deadlift:325", "variations"):
        assert "Deadlift, from the floor (knee 105°, trunk 30°)" in get(
            signed_in, f"/lifters/{lifter.pk}/{page}"
        )


def test_a_second_measure_of_a_start_takes_the_place_of_the_first(signed_in, lifter):
    measure(signed_in, lifter, knee_deg="105", trunk_deg="30")
    row = measure(signed_in, lifter, trunk_deg="42.5")
    assert (row.knee_deg, row.trunk_deg) == (None, 42.5)
    assert "trunk 42.5°" in get(signed_in, f"/lifters/{lifter.pk}/body")


def test_of_two_coaches_who_measure_one_start_at_once_the_second_is_shown_both(signed_in, lifter):
    opened = as_opened(signed_in, lifter)
    measure(signed_in, lifter, knee_deg="105")
    typed = angles(knee_deg="110", version=opened)
    answer = signed_in.post(f"/lifters/{lifter.pk}/angles", typed)
    shown = answer.content.decode().split('id="angles"')[1]
    assert answer.status_code == 422
    assert "A colleague changed this while your page was open" in shown
    assert re.search(r'<th scope="row">Knee</th><td>105</td><td>110</td>', shown)
    assert "Trunk</th>" not in shown  # neither has measured it
    assert MeasuredStart.objects.get().knee_deg == 105
    now = re.search(r'name="version" value="([\d: ]+)" id="id_version"', shown)[1]
    assert signed_in.post(f"/lifters/{lifter.pk}/angles", typed | {"version": now}).status_code == 302
    assert MeasuredStart.objects.get().knee_deg == 110


def test_another_start_that_a_colleague_measured_meanwhile_is_in_nobodys_way(signed_in, lifter):
    opened = as_opened(signed_in, lifter)
    measure(signed_in, lifter, knee_deg="105")
    typed = angles(start="deadlift:325", knee_deg="120", version=opened)
    assert signed_in.post(f"/lifters/{lifter.pk}/angles", typed).status_code == 302
    assert MeasuredStart.objects.count() == 2


@pytest.mark.parametrize("version", ["٣:١", "1:", ":", "-1:1", "x", "9" * 40 + ":1"])
def test_a_page_that_carries_nonsense_has_seen_nothing(signed_in, lifter, version):
    measure(signed_in, lifter, knee_deg="105")
    answer = signed_in.post(f"/lifters/{lifter.pk}/angles", angles(knee_deg="110", version=version))
    assert (answer.status_code, MeasuredStart.objects.get().knee_deg) == (422, 105)


def test_what_a_colleague_measured_again_is_not_taken_back_unseen(signed_in, lifter):
    row = measure(signed_in, lifter, trunk_deg="38")
    measure(signed_in, lifter, trunk_deg="41")
    take_back = f"/lifters/{lifter.pk}/angles/{row.pk}/remove"
    answer = signed_in.post(take_back, {"version": "1"})
    assert answer.status_code == 422
    assert "A colleague measured this again while your page was open" in answer.content.decode()
    assert signed_in.post(take_back, {"version": "2"}).status_code == 302
    assert not MeasuredStart.objects.exists()


def test_a_measure_is_taken_back(signed_in, lifter):
    row = measure(signed_in, lifter, trunk_deg="38")
    page = f"/lifters/{lifter.pk}/angles/{row.pk}/remove"
    assert signed_in.post(page, {"version": row.version}).status_code == 302
    assert "As measured" not in get(signed_in, f"/lifters/{lifter.pk}/body")


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ({}, "Measure at least one of the two"),
        ({"knee_deg": "straight"}, "Enter a number"),
        ({"knee_deg": "300"}, "At most 180."),
        ({"knee_deg": "nan"}, "Enter a number"),
        ({"trunk_deg": "-5"}, "At least 0."),
        ({"start": "leg-press:0", "knee_deg": "90"}, "not one of the available choices"),
        ({"start": "high-bar-squat:0", "knee_deg": "150"}, "They cannot stand so in this set-up"),
        ({"trunk_deg": "40", "start": "high-bar-squat:0", "knee_deg": "140"}, "They cannot stand so"),
        ({"knee_deg": "118", "trunk_deg": "38"}, "With this knee the trunk would be near"),
    ],
)
def test_angles_that_cannot_be_are_refused_with_the_reason_and_kept_in_the_form(
    signed_in, lifter, typed, said
):
    answer = signed_in.post(f"/lifters/{lifter.pk}/angles", angles(**typed))
    assert answer.status_code == 422
    text = answer.content.decode()
    assert said in text
    assert all(f'value="{value}"' in text for name, value in typed.items() if name != "start")
    assert not MeasuredStart.objects.exists()


def test_a_bend_typed_for_the_angle_is_asked_about_once(signed_in, lifter):
    typed = angles(knee_deg="62")
    answer = signed_in.post(f"/lifters/{lifter.pk}/angles", typed)
    assert answer.status_code == 422
    assert "the angle between thigh and shin, 180° when straight" in answer.content.decode()
    answer = signed_in.post(f"/lifters/{lifter.pk}/angles", {**typed, "confirmed": "knee-unlikely"})
    assert answer.status_code == 302


def test_a_measure_of_another_gyms_lifter_is_not_there(signed_in, lifter):
    other = a_gym("Elsewhere", at("2026-11-01 09:00"))
    row = measure(signed_in, lifter, trunk_deg="38")
    Lifter.objects.filter(pk=lifter.pk).update(gym=other)
    assert signed_in.post(f"/lifters/{lifter.pk}/angles/{row.pk}/remove").status_code == 404
    assert signed_in.post(f"/lifters/{lifter.pk}/angles", angles(trunk_deg="40")).status_code == 404
    assert MeasuredStart.objects.get().trunk_deg == 38
