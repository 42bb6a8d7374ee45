"""People with their measures, and the gym's equipment, brought in from tables through the browser."""

import io
from decimal import Decimal

import pytest
from django.urls import reverse
from openpyxl import Workbook

from floorward.actions.access import coaches_of
from floorward.storage.models import BarRow, BlockRow, BoxRow, Import, Lifter, PlateRow
from tests.training import sore_back
from tests.web.test_imports import filled

pytestmark = pytest.mark.django_db

PEOPLE = """Name;Born;Sex;Height (cm);Weight (lb);Span
Abel Norwood;1991;m;176;187,5;181 cm
Ines Falk;1988;f;5'5";141;
"""
IRON = """What,Name,Weight,Unit,Count,Diameter,Thickness,Height
Bar,Bar by the door,15,kg,,,,
bumper,,17.5,kg,4,450 mm,60 mm,
mat,Grey mat,,,2,,20 mm,
box,Box 35,,,,,,35 cm
"""


@pytest.fixture(autouse=True)
def _december(clock):
    clock("2026-12-01 12:00")


def sent(client, what, content, name="table.csv"):
    file = io.BytesIO(content if isinstance(content, bytes) else content.encode())
    file.name = name
    answer = client.post(reverse("imports"), {"what": what, "file": file})
    return client.get(answer.url) if answer.status_code == 302 else answer


def asked(client, page, **said):
    return client.post(page.request["PATH_INFO"], filled(page, **said))


def test_people_are_looked_at_then_taken_and_who_is_here_keeps_the_rest(signed_in, lifter, coach):
    page = sent(signed_in, "bodies", PEOPLE)
    looked = asked(signed_in, page, do="look")
    said = looked.content.decode()
    assert looked.status_code == 200
    assert "1 new, 1 changed" in said
    assert "height 1.651 m" in said
    assert "mass 85 kg" in said  # as it stands, before the arrow
    assert Lifter.objects.count() == 1
    assert asked(signed_in, page, do="take").status_code == 302
    abel, ines = Lifter.objects.order_by("name")
    assert (abel.pk, round(abel.mass_kg, 2), abel.span_m, abel.version) == (
        lifter.pk,
        85.05,
        1.81,
        lifter.version + 1,
    )
    assert (ines.born_year, ines.sex, round(ines.stature_m, 3), ines.coach) == (1988, "female", 1.651, coach)
    assert coaches_of(ines) == (coach,)
    assert not ines.consents.exists()
    assert "taken in, 2 people" in signed_in.get(reverse("imports")).content.decode()


def test_the_same_table_brings_nothing_the_second_time(signed_in, lifter):
    asked(signed_in, sent(signed_in, "bodies", PEOPLE), do="take")
    page = sent(signed_in, "bodies", PEOPLE)
    looked = asked(signed_in, page, do="look").content.decode()
    assert "Nothing in it is new" in looked
    assert "2 there already" in looked
    assert asked(signed_in, page, do="take").status_code == 409


def test_undoing_puts_measures_back_and_takes_new_people_out_unless_they_trained(signed_in, lifter, coach):
    asked(signed_in, sent(signed_in, "bodies", PEOPLE), do="take")
    signed_in.post(reverse("import-undo", args=[Import.objects.get().pk]))
    (abel,) = Lifter.objects.all()
    assert (abel.mass_kg, abel.span_m) == (lifter.mass_kg, lifter.span_m)
    asked(signed_in, sent(signed_in, "bodies", PEOPLE), do="take")
    ines = Lifter.objects.get(name="Ines Falk")
    ines.sessions.create(day="2026-12-01", started_at="2026-12-01T10:00Z")
    Lifter.objects.filter(pk=abel.pk).update(mass_kg=90)
    page = signed_in.post(
        reverse("import-undo", args=[Import.objects.first().pk]), follow=True
    ).content.decode()
    assert "2 of them were used or changed since, and stay as they are" in page
    assert Lifter.objects.get(pk=abel.pk).mass_kg == 90
    assert Lifter.objects.filter(pk=ines.pk).exists()


def test_equipment_is_added_and_changed_and_undone(signed_in, gym):
    plates = gym.plates.get(mass=20)
    page = sent(signed_in, "iron", IRON + "plate,,20,kg,6,,,\n")
    looked = asked(signed_in, page, do="look").content.decode()
    assert "4 new, 1 changed" in looked
    assert f"pairs {plates.pairs} → 3" in looked
    assert "kind straight bar;" in looked
    assert asked(signed_in, page, do="take").status_code == 302
    assert (BarRow.objects.get(name="Bar by the door").mass, PlateRow.objects.get(mass="17.5").pairs) == (
        15,
        2,
    )
    assert (
        BlockRow.objects.get(name="Grey mat").thickness_mm,
        BlockRow.objects.get(name="Grey mat").pairs,
    ) == (Decimal(20), 1)
    assert BoxRow.objects.get(name="Box 35").height_mm == 350
    assert PlateRow.objects.get(pk=plates.pk).pairs == 3
    again = asked(signed_in, sent(signed_in, "iron", IRON), do="look").content.decode()
    assert "4 there already" in again
    signed_in.post(reverse("import-undo", args=[Import.objects.last().pk]))
    assert not BarRow.objects.filter(name="Bar by the door").exists()
    assert PlateRow.objects.get(pk=plates.pk).pairs == plates.pairs


@pytest.mark.parametrize(
    ("what", "line", "said"),
    [
        ("bodies", "Ott Reinholt;1990;m;17;90;", "17 cm cannot be right here"),
        ("bodies", "Ott Reinholt;;m;180;90;", "Year of birth: This is still needed"),
        ("bodies", "Ott Reinholt;1990;m;tall;90;", "height: “tall” is no number"),
        ("bodies", "Ines Falk;1988;f;170;141;", "Line 3 says something else about the same"),
        ("iron", "bumper,,17.5,kg,3,450 mm,60 mm,", "odd"),
        ("iron", "bumper,,17.5,kg,90,450 mm,60 mm,", "At most 80."),
        ("iron", "bumper,,17.5,stone,4,450 mm,60 mm,", "neither kg nor lb"),
        ("iron", "Bar,Heavy bar,900,kg,,,,", "cannot be right here"),
        ("iron", "bumper,,12.5,kg,2.5,450 mm,60 mm,", "how many: “2.5” is no whole number"),
    ],
)  # fmt: skip
def test_a_line_that_a_page_would_refuse_stops_the_table_and_is_named(signed_in, lifter, what, line, said):
    table = {"bodies": PEOPLE, "iron": IRON}[what]
    page = sent(signed_in, what, table + line + "\n")
    looked = asked(signed_in, page, do="look").content.decode()
    assert f"Line {len(table.splitlines()) + 1}" in looked
    assert said in looked
    assert "Take them in" not in looked
    before = Lifter.objects.count(), BarRow.objects.count()
    assert asked(signed_in, page, do="take").status_code == 409
    assert (Lifter.objects.count(), BarRow.objects.count()) == before


def test_what_a_page_would_ask_about_is_shown_and_taken_when_confirmed(signed_in, lifter):
    page = sent(signed_in, "bodies", PEOPLE + "Ott Reinholt;1990;m;180;75 lb;\n")
    looked = asked(signed_in, page, do="look").content.decode()
    assert "Look twice" in looked
    assert "Line 4" in looked
    assert asked(signed_in, page, do="take").status_code == 302
    assert round(Lifter.objects.get(name="Ott Reinholt").mass_kg) == 34


def test_units_that_nothing_tells_are_asked(signed_in, gym):
    page = sent(signed_in, "bodies", "name,born,height,mass,span\nOtt Reinholt,1990,180,90,185\n")
    assert page.context["form"]["length"].value() == "cm"  # nobody is 180 of anything else
    refused = asked(signed_in, page, do="look")
    assert refused.status_code == 422
    assert "Say whether masses are kilograms or pounds" in refused.content.decode()
    page = sent(signed_in, "iron", "what,mass,count,thickness\nplate,7.5 kg,2,20\n")
    assert "Say in which unit lengths are" in asked(signed_in, page, do="look").content.decode()


def test_a_workbook_is_read_like_a_table(signed_in, gym):
    book, out = Workbook(), io.BytesIO()
    book.active.append(["Name", "Year of birth", "Stature (m)", "Body mass (kg)"])
    book.active.append(["=cmd|'x'!A1", 1990, 1.8, 90])
    book.active.append(["Ott Reinholt", 1990, 1.75, 82.5])
    book.save(out)
    page = sent(signed_in, "bodies", out.getvalue(), "people.xlsx")
    assert asked(signed_in, page, mark="point", do="take").status_code == 302
    assert sorted(Lifter.objects.values_list("name", "stature_m")) == [
        ("=cmd|'x'!A1", 1.8),
        ("Ott Reinholt", 1.75),
    ]


@pytest.mark.parametrize("what", ["bodies", "iron"])
@pytest.mark.parametrize(
    ("content", "said"),
    [
        (b"PK\x03\x04 nothing", "damaged"),
        (b"name,what\n" + b"x" * 200_000, "more than 10000 characters"),
        (b"\0\0\0\0\0\0", "no table as text"),
        (b"name,what,mass\n" + b"a,plate,1\n" * 50_001, "more than 50000 lines"),
    ],
)  # fmt: skip
def test_a_hostile_file_is_refused_and_not_kept(signed_in, what, content, said):
    answer = sent(signed_in, what, content)
    assert answer.status_code == 422
    assert said in answer.content.decode()
    assert not Import.objects.exists()


@pytest.mark.parametrize(
    "cells",
    [
        "\u202egnirts\u202c;1990;m;180;90;",
        "\x00\x01;1990;m;180;90;",
        "<script>alert(1)</script>;1990;m;" + "9" * 150 + ";1e9;",
        "Ott;١٩٩٠;m;½;0x10;",
    ],
)
def test_signs_that_nobody_types_are_refused_or_shown_as_text(signed_in, lifter, cells):
    page = sent(signed_in, "bodies", PEOPLE + cells + "\n")
    if page.status_code == 422:
        assert "no table as text" in page.content.decode()
        return
    looked = asked(signed_in, page, do="look").content.decode()
    assert "Line 4" in looked
    assert "<script>alert" not in looked
    assert "Take them in" not in looked


def test_erasing_somebody_takes_what_a_table_said_of_them(signed_in, lifter, owner):
    from floorward.actions import rights
    from tests.conftest import at

    asked(signed_in, sent(signed_in, "bodies", PEOPLE, "log of abel.csv"), do="take")
    rights.erase(lifter, by=owner, now=at("2026-12-01 13:00"))
    row = Import.objects.get()
    assert (row.name, row.brought.count()) == ("", 1)
    signed_in.post(reverse("import-undo", args=[row.pk]))
    assert not Lifter.objects.exists()


def test_a_lifter_of_another_gym_cannot_be_changed(signed_in, lifter):
    from tests.conftest import at
    from tests.people import a_gym, a_lifter

    stranger = a_lifter(a_gym("Elsewhere", at("2026-11-01 09:00")), None, at("2026-11-01 09:30"), "Ines Falk")
    page = sent(signed_in, "bodies", PEOPLE)
    person = [name for name in page.context["form"].fields if name.startswith("person-")][1]
    assert asked(signed_in, page, do="take", **{person: str(stranger.pk)}).status_code == 422


def test_the_empty_tables_are_ones_that_are_read(signed_in, gym):
    for what, count in (("bodies", 1), ("iron", 4)):
        table = signed_in.get(f"{reverse('import-template')}?what={what}").content
        page = sent(signed_in, what, table)
        looked = asked(signed_in, page, do="look").content.decode()
        assert "cannot be taken" not in looked
        assert asked(signed_in, page, do="take").status_code == 302
        assert Import.objects.first().count == count


def test_measures_that_came_with_a_table_leave_the_pain_alone(signed_in, lifter, coach):
    episode = sore_back(lifter, coach)
    asked(signed_in, sent(signed_in, "bodies", PEOPLE), do="take")
    assert lifter.episodes.get() == episode
