"""The gym's own pages: what may be owned, agreed and opened, and what is refused with a sentence."""

import re
from urllib.parse import urljoin

import pytest
from django.urls import reverse

from floorward.reports.drawings.sleeve import PLATE_COLOURS
from floorward.reports.wording import words
from floorward.storage.models import BarRow, Line, PlateRow, Session, Staff
from tests.conftest import at
from tests.people import a_gym


def added(client, shelf, **typed):
    return client.post(reverse("add-piece", args=[shelf]), typed)


BAR = {"name": "Bar 2", "kind": "straight", "mass": "20 kg", "sleeve_mm": "415"}
PLATE = {"mass": "0.5 kg", "count": "4", "diameter_mm": "135", "thickness_mm": "12"}


def test_a_bar_is_added_as_stamped(signed_in, gym):
    assert added(signed_in, "bars", **BAR | {"mass": "45 lb"}).status_code == 302
    assert str(gym.bars.get(name="Bar 2").unit) == "lb"


@pytest.mark.parametrize(
    ("kind", "typed", "says"),
    [
        ("bars", BAR | {"name": "Bar 1"}, "already a bar called"),
        ("bars", BAR | {"mass": "200 kg"}, "cannot be right here"),
        ("plates", PLATE | {"count": "5"}, "odd number"),
        ("plates", PLATE | {"mass": "twenty"}, "Write a mass"),
        ("plates", PLATE | {"thickness_mm": "0"}, "cannot be right here"),
        ("collars", {"mass": "60 kg"}, "cannot be right here"),
        ("boxes", {"name": "Tall", "height_mm": "400 cm"}, "cannot be right here"),
    ],
)
def test_what_cannot_be_is_said_and_what_was_typed_stays(signed_in, gym, kind, typed, says):
    answer = added(signed_in, kind, **typed)
    page = answer.content.decode()
    assert answer.status_code == 422
    assert says in page
    assert all(f'value="{text}"' in page for name, text in typed.items() if name in {"name", "mass", "count"})


@pytest.mark.parametrize(
    ("shelf", "typed"),
    [
        ("bars", BAR),
        ("plates", PLATE),
        ("collars", {"mass": "1.1 kg"}),
        ("blocks", {"name": "Mat", "thickness": "0.75 in", "pairs": "2"}),
        ("pins", {"first_mm": "250", "spacing_mm": "75", "holes": "15"}),
        ("boxes", {"name": "Tall", "height_mm": "50 cm"}),
    ],
)
def test_every_kind_of_piece_is_added_shown_and_taken_away(signed_in, gym, shelf, typed):
    assert added(signed_in, shelf, **typed).status_code == 302
    row = getattr(gym, shelf).order_by("pk").last()
    assert signed_in.get(reverse("change-piece", args=[shelf, row.pk])).status_code == 200
    assert (
        signed_in.post(reverse("change-piece", args=[shelf, row.pk]), typed | {"version": 1}).status_code
        == 302
    )
    assert signed_in.post(reverse("remove-piece", args=[shelf, row.pk])).status_code == 302
    assert not getattr(gym, shelf).filter(pk=row.pk).exists()


def test_an_odd_plate_is_asked_about_and_then_taken_as_pairs(signed_in, gym):
    added(signed_in, "plates", **PLATE | {"count": "5", "confirmed": "plate-odd"})
    assert gym.plates.get(mass="0.5").pairs == 2


def test_a_colour_is_chosen_by_its_name_for_the_plates_face(signed_in, gym):
    added(signed_in, "plates", **PLATE | {"colour": "red"})
    plate = gym.plates.get(mass="0.5")
    assert plate.colour == "red"
    page = signed_in.get(reverse("change-piece", args=["plates", plate.pk])).content.decode()
    assert '<option value="red" selected>red</option>' in page
    assert added(signed_in, "plates", **PLATE | {"mass": "0.75 kg", "colour": "mauve"}).status_code == 422


def test_every_colour_that_can_be_chosen_is_drawn():
    assert set(words("plate-colour")) <= set(PLATE_COLOURS)


def test_a_colour_of_a_gyms_own_stays_when_the_plate_is_changed(signed_in, gym):
    added(signed_in, "plates", **PLATE)
    plate = gym.plates.get(mass="0.5")
    gym.plates.filter(pk=plate.pk).update(colour="#aa0000")
    assert b'value="#aa0000" selected' in signed_in.get(f"/gym/equipment/plates/{plate.pk}").content
    signed_in.post(f"/gym/equipment/plates/{plate.pk}", PLATE | {"colour": "#aa0000", "version": 1})
    assert gym.plates.get(pk=plate.pk).colour == "#aa0000"


def planned(gym, lifter):
    session = Session.objects.create(
        lifter=lifter, day=at("2026-11-23 18:00").date(), started_at=at("2026-11-23 18:00")
    )
    bar = gym.bars.get(name="Bar 1")
    return Line.objects.create(
        session=session,
        order=1,
        role="usual",
        lift="deadlift",
        bar=bar,
        load="107.5",
        unit="kg",
        sets=3,
        reps=5,
        height_mm=225,
    )


def test_a_bar_in_a_plan_is_not_removed_and_the_plan_is_named(signed_in, gym, lifter):
    planned(gym, lifter)
    answer = signed_in.post(reverse("remove-piece", args=["bars", gym.bars.get(name="Bar 1").pk]))
    assert answer.status_code == 409
    assert "Abel Norwood" in answer.content.decode()
    assert BarRow.objects.filter(name="Bar 1").exists()


def test_plates_that_a_planned_load_cannot_do_without_stay(signed_in, gym, lifter):
    planned(gym, lifter)
    small, middle = (gym.plates.get(mass=mass, unit="kg") for mass in ("1.25", "15"))
    assert signed_in.post(reverse("remove-piece", args=["plates", small.pk])).status_code == 409
    assert signed_in.post(reverse("remove-piece", args=["plates", middle.pk])).status_code == 302
    assert PlateRow.objects.filter(pk=small.pk).exists()


def test_two_coaches_who_count_the_same_plates_see_both_counts_before_one_is_kept(signed_in, gym):
    added(signed_in, "plates", **PLATE)
    page = reverse("change-piece", args=["plates", gym.plates.get(mass="0.5").pk])
    opened = {field.name: field.value() or "" for field in signed_in.get(page).context["form"]}
    assert signed_in.post(page, opened | {"count": "8"}).status_code == 302
    answer = signed_in.post(page, opened | {"count": "2"})
    assert answer.status_code == 422
    assert "A colleague changed this" in answer.content.decode()
    [differs] = answer.context["theirs"]
    assert (differs["stored"], differs["typed"]) == ("8", "2")
    assert gym.plates.get(mass="0.5").pairs == 4
    again = answer.context["form"].data["version"]
    assert signed_in.post(page, opened | {"count": "2", "version": again}).status_code == 302
    assert gym.plates.get(mass="0.5").pairs == 1


def test_another_gyms_iron_is_not_there(signed_in, gym):

    other = a_gym("Elsewhere", at("2026-11-01 09:00"))
    bar = BarRow.objects.create(gym=other, name="Theirs", mass=20)
    assert signed_in.get(reverse("change-piece", args=["bars", bar.pk])).status_code == 404


PROTOCOL = {
    "ceiling_finding": "3",
    "ceiling_set": "5",
    "after_max": "5",
    "forward_percent": "5",
    "rung_percent": "10",
    "emergency_number": "999",
    "version": "1",
}


@pytest.fixture
def as_owner(client, owner, clock):
    client.force_login(owner, backend="django.contrib.auth.backends.ModelBackend")
    return client


def test_an_owner_lowers_a_ceiling_and_the_version_counts_up(as_owner, gym):
    as_owner.post(reverse("protocol"), PROTOCOL | {"ceiling_set": "4"})
    gym.refresh_from_db()
    assert (gym.ceiling_set, gym.protocol_version) == (4, 2)


@pytest.mark.parametrize(
    ("name", "typed"), [("ceiling_set", "6"), ("ceiling_finding", "4"), ("forward_percent", "11")]
)
def test_a_ceiling_is_never_raised(as_owner, gym, name, typed):
    assert as_owner.post(reverse("protocol"), PROTOCOL | {name: typed}).status_code == 422
    gym.refresh_from_db()
    assert gym.protocol_version == 1


def test_the_rules_step_forward_more_willingly_only_where_an_owner_says_so(as_owner, gym):
    assert gym.profile == "steady"
    as_owner.post(reverse("protocol"), PROTOCOL | {"profile": "assertive"})
    gym.refresh_from_db()
    assert (gym.profile, gym.protocol_version) == ("assertive", 2)
    as_owner.post(reverse("protocol"), PROTOCOL | {"ceiling_set": "4", "version": "2"})
    gym.refresh_from_db()
    assert (gym.profile, gym.ceiling_set) == ("assertive", 4)


def test_a_profile_that_nobody_knows_is_refused(as_owner, gym):
    assert as_owner.post(reverse("protocol"), PROTOCOL | {"profile": "bold"}).status_code == 422


def test_a_coach_reads_the_protocol_and_cannot_change_it(signed_in, gym):
    assert signed_in.get(reverse("protocol")).status_code == 200
    assert signed_in.post(reverse("protocol"), PROTOCOL | {"ceiling_set": "4"}).status_code == 403


def test_two_owners_at_once_see_both_versions(as_owner, gym):
    as_owner.post(reverse("protocol"), PROTOCOL | {"ceiling_set": "4"})
    answer = as_owner.post(reverse("protocol"), PROTOCOL | {"ceiling_set": "3"})
    assert answer.status_code == 422
    assert "A colleague changed this" in answer.content.decode()
    gym.refresh_from_db()
    assert gym.ceiling_set == 4


def test_an_owner_is_told_what_comes_first_until_there_is_a_bar_and_plates(as_owner, gym):
    first = "The emergency number and the ceilings"
    assert first not in as_owner.get(reverse("gym")).content.decode()
    gym.plates.all().delete()
    assert first in as_owner.get(reverse("gym")).content.decode()


def test_a_coach_is_not_asked_to_set_the_gym_up(signed_in, gym):
    gym.plates.all().delete()
    assert "The emergency number and the ceilings" not in signed_in.get(reverse("gym")).content.decode()


def test_a_colleague_gets_a_door_and_can_lose_it(as_owner, gym):
    as_owner.post(
        reverse("new-person"),
        {"name": "Oda Lunde", "sign_in_name": "oda", "role": "coach", "password": "quiet lever arms"},
    )
    oda = Staff.objects.get(sign_in_name="oda")
    as_owner.post(reverse("switch-person", args=[oda.pk]))
    oda.refresh_from_db()
    assert not oda.is_active


def test_an_owner_cannot_close_their_own_door(as_owner, owner):
    assert as_owner.post(reverse("switch-person", args=[owner.pk])).status_code == 409
    owner.refresh_from_db()
    assert owner.is_active


def test_help_shows_the_pages_of_the_documentation(client, db):
    assert client.get(reverse("help")).status_code == 200
    assert "CLOCK_<wbr>FILE" in client.get(reverse("help-page", args=["reference/settings"])).content.decode()
    assert client.get(reverse("help-page", args=["../pyproject"])).status_code == 404


def test_a_number_leads_to_its_unit_and_source(client, db):
    page = client.get(reverse("help-page", args=["reference/tables"])).content.decode()
    assert 'href="/help/tables/rules"' in page
    rules = client.get("/help/tables/rules").content.decode()
    assert "Spine 2005;30:1331" in rules
    sources = client.get("/help/tables/references").content.decode()
    assert "Spine 2005;30:1331" in sources
    assert client.get("/help/tables/nothing").status_code == 404


def test_no_page_of_help_leads_to_a_page_that_is_not_there(client, db):
    asked, seen = ["/help"], set()
    while asked:
        address = asked.pop()
        if address in seen:
            continue
        seen.add(address)
        answer = client.get(address)
        assert answer.status_code == 200, address
        for href in re.findall(r'href="([^"#]+)', answer.content.decode().split("<main")[1]):
            if "://" not in href and not href.startswith("mailto:"):
                there = urljoin(address, href)
                if there.startswith("/help"):
                    asked.append(there)
    assert len(seen) > 90
