"""Two colleagues on one page: what differs is shown in the page's own words."""

import re
from datetime import date

import pytest
from django.urls import reverse

from floorward.actions import lifters

pytestmark = pytest.mark.django_db
ABEL = {
    "name": "Abel Norwood",
    "born_year": "1991",
    "sex": "male",
    "stature_m": "176 cm",
    "mass": "85 kg",
    "unit": "kg",
    "sumo_allowed": "on",
    "version": "1",
}


def test_both_versions_of_a_lifter_are_shown_and_saving_again_keeps_yours(signed_in, lifter, coach):
    lifters.change_lifter(lifter, seen_version=1, changes={"mass_kg": 90.0, "sex": "undeclared"})
    page = reverse("change-lifter", args=[lifter.pk])
    yours = ABEL | {"coach": str(coach.pk)}
    answer = signed_in.post(page, yours)
    shown = answer.content.decode()
    assert answer.status_code == 422
    assert "<td>90 kg</td><td>85 kg</td>" in shown
    assert "<td>not said</td><td>male</td>" in shown
    assert "Bram" not in shown.split("</table>")[0].split("<tbody>")[1]
    assert signed_in.post(page, yours | {"version": "2"}).status_code == 302
    lifter.refresh_from_db()
    assert (lifter.mass_kg, lifter.sex) == (85.0, "male")


def test_what_is_wanted_beside_the_lifts_is_kept_and_can_be_taken_off(signed_in, lifter, coach):
    page = reverse("change-lifter", args=[lifter.pk])
    said = ABEL | {"coach": str(coach.pk), "conditioning_minutes": "40", "grip_sets": "6"}
    assert signed_in.post(page, said).status_code == 302
    lifter.refresh_from_db()
    assert (lifter.conditioning_minutes, lifter.grip_sets) == (40, 6)
    assert 'name="conditioning_minutes" value="40"' in signed_in.get(page).content.decode()
    said |= {"conditioning_minutes": "", "grip_sets": "", "version": "2"}
    assert signed_in.post(page, said).status_code == 302
    lifter.refresh_from_db()
    assert (lifter.conditioning_minutes, lifter.grip_sets) == (0, 0)


def test_the_contest_day_stands_in_its_field_and_is_not_lost_by_saving_another_change(signed_in, lifter):
    lifters.change_lifter(lifter, seen_version=1, changes={"contest_day": date(2027, 3, 4)})
    shown = signed_in.get(reverse("change-lifter", args=[lifter.pk])).content.decode()
    field = re.search(r'<input type="date" name="contest_day" value="([^"]*)"', shown)
    assert field[1] == "2027-03-04"  # the one spelling that a browser takes
    typed = ABEL | {"version": "2", "mass": "86 kg", "contest_day": field[1]}
    assert signed_in.post(reverse("change-lifter", args=[lifter.pk]), typed).status_code == 302
    lifter.refresh_from_db()
    assert (lifter.mass_kg, lifter.contest_day) == (86, date(2027, 3, 4))
