"""Masses and centres of segments against the published tables.

Sources: de Leva 1996 (J Biomech 29:1223), Dumas 2007 (J Biomech 40:543), Zatsiorsky 2002 (Tables A2.6, A2.7), and the
segment table after Dempster in Winter 1990 as a cross-check.
"""

import pytest

from floorward import tables
from floorward.core.body import body_of, masses
from floorward.core.records import Person, Sex

PAIRS = ("upper_arm", "forearm", "hand", "thigh", "shank", "foot")


@pytest.mark.parametrize(("sex", "trunk", "total"), [("male", 43.46, 100.0), ("female", 42.57, 99.99)])
def test_the_limbs_head_and_trunk_of_de_leva_are_a_whole(sex, trunk, total):
    """6.94 + 43.46 + 2·(2.71 + 1.62 + 0.61 + 14.16 + 4.33 + 1.37) = 100.0, women 99.99."""
    mass = tables.value("segments", sex, "mass")
    assert 100 * (mass["head"] + 2 * sum(mass[name] for name in PAIRS)) + trunk == pytest.approx(
        total, abs=0.02
    )


@pytest.mark.parametrize(("sex", "above"), [(Sex.MALE, 0.494), (Sex.FEMALE, 0.451)])
def test_the_mass_above_l5s1_is_near_that_of_dumas(sex, above):
    """Torso, head and arms: 0.494 of the body in men, 0.451 in women (Dumas 2007)."""
    body = body_of(Person(stature_m=1.70, mass_kg=70, sex=sex))
    assert (body.torso_kg + body.head_kg + body.arms_kg)[0] / 70 == pytest.approx(above, rel=0.03)


@pytest.mark.parametrize(("sex", "mass_kg", "stature_m"), [("male", 73.0, 1.741), ("female", 61.9, 1.735)])
def test_the_regressions_for_heavy_people_add_up_at_the_reference_person(sex, mass_kg, stature_m):
    """Sum of the regressions: 73.1 kg for 73.0 (men), 62.7 for 61.9 (women)."""
    rows = tables.value("segments", "heavy", sex)
    found = {name: a + b * mass_kg + c * stature_m * 100 for name, (a, b, c) in rows.items()}
    whole = sum(kg * (2 if name in PAIRS else 1) for name, kg in found.items())
    assert whole == pytest.approx(mass_kg, rel=0.02)


def test_the_segment_table_after_dempster_is_a_whole():
    """Head, arms and trunk 0.678; above L4/L5 0.355 + 0.081 + 2·0.050 = 0.536; legs 2·0.161; in all 1.000."""
    row = tables.value("segments", "dempster", "mass")
    assert row["above_l4l5"] == pytest.approx(
        row["thorax_abdomen"] + row["head_neck"] + 2 * row["arm"], abs=1e-9
    )
    assert row["head_arms_trunk"] + 2 * row["leg"] == pytest.approx(1.0, abs=1e-9)
    assert row["trunk_head"] + 2 * row["arm"] == pytest.approx(row["head_arms_trunk"], abs=1e-9)


def test_our_upper_body_is_near_dempsters():
    """Head, arms and trunk, pelvis included: 0.678 after Dempster; living people of de Leva carry less of their mass there."""
    mass = masses(Person(stature_m=1.75, mass_kg=75, sex=Sex.MALE))
    upper = (
        mass["head"]
        + mass["torso"]
        + mass["pelvis"]
        + 2 * (mass["upper_arm"] + mass["forearm"] + mass["hand"])
    )
    assert upper / 75 == pytest.approx(
        tables.value("segments", "dempster", "mass")["head_arms_trunk"], rel=0.12
    )
