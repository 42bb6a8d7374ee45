"""A training log brought in through the browser."""

import base64

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse

from floorward.storage.models import Import, PastSet
from tests.actions.test_imports import LOG
from tests.conftest import at
from tests.people import a_gym, a_lifter

pytestmark = pytest.mark.django_db
OPEN = 'Date,Athlete,Exercise,Weight,Reps\n3/11/2026,Abel Norwod,pull,"1,250",5\n'


@pytest.fixture(autouse=True)
def _december(clock):
    clock("2026-12-01 12:00")


def sent(client, text, name="log.csv"):
    content = text if isinstance(text, bytes) else text.encode()
    answer = client.post(reverse("imports"), {"file": SimpleUploadedFile(name, content)})
    if answer.status_code != 302:
        return answer
    return client.get(answer.url)


def filled(page, **said):
    """The page's form as it stands, with the tick and `said`."""
    form = page.context["form"]
    values = {name: form[name].value() or "" for name in form.fields if name != "right"}
    return {**values, "right": "on", **said}


def test_a_log_is_sent_looked_at_taken_and_undone(signed_in, lifter):
    page = sent(signed_in, LOG)
    address = page.request["PATH_INFO"]
    looked = signed_in.post(address, filled(page, do="look"))
    said = looked.content.decode()
    assert looked.status_code == 200
    assert "3 sets would come in" in said
    assert "1 line left out" in said
    assert not PastSet.objects.exists()
    taken = signed_in.post(address, filled(page, do="take"))
    assert (taken.status_code, PastSet.objects.count()) == (302, 2)
    row = Import.objects.get()
    assert (row.state, row.kept, row.count, row.by.name) == ("taken", "", 3, "Bram Okello")
    assert signed_in.post(address, filled(page, do="take")).status_code == 404
    assert "taken in, 3 sets" in signed_in.get(reverse("imports")).content.decode()
    signed_in.post(reverse("import-undo", args=[row.pk]))
    assert not PastSet.objects.exists()
    assert signed_in.post(reverse("import-undo", args=[row.pk])).status_code == 409


def test_what_can_be_read_in_two_ways_is_asked(signed_in, lifter):
    page = sent(signed_in, OPEN)
    address = page.request["PATH_INFO"]
    asked = signed_in.post(address, {**filled(page), "right": ""})
    said = asked.content.decode()
    assert asked.status_code == 422
    for words in (
        "kilograms or pounds",
        "day first or month first",
        "1¼ (a decimal comma) or 1250",
        "tick that they are",
    ):
        assert words in said, words
    assert "nearly the same name" in said
    form = page.context["form"]
    lift = next(name for name in form.fields if name.startswith("lift-"))
    answers = filled(page, unit="lb", days="day", mark="point", do="take", **{lift: "deadlift"})
    signed_in.post(address, {**answers, "mark": "comma"})
    row = PastSet.objects.get()
    assert (row.day.isoformat(), float(row.load), row.unit, row.lift) == (
        "2026-11-03",
        1.25,
        "lb",
        "deadlift",
    )


def test_another_column_brings_other_names_to_confirm(signed_in, lifter):
    page = sent(signed_in, "When,Whoever,Lift,Load,Reps\n2026-11-03,Abel Norwood,deadlift,100 kg,5\n")
    address = page.request["PATH_INFO"]
    assert "Say which column is the lifter" in signed_in.post(address, filled(page)).content.decode()
    again = signed_in.post(address, filled(page, **{"column-lifter": "1"}))
    assert again.status_code == 422
    assert [one.name for one, _ in again.context["form"].people] == ["Abel Norwood"]
    form = again.context["form"]
    values = {
        name: form[name].initial if name.startswith(("person-", "lift-", "seen")) else form[name].value()
        for name in form.fields
    }
    done = signed_in.post(address, {**values, "right": "on", "do": "take"})
    assert (done.status_code, PastSet.objects.get().lifter_id) == (302, lifter.pk)


def test_wrong_lines_are_shown_by_number_and_cannot_be_taken(signed_in, lifter):
    page = sent(signed_in, LOG + "25.11.2026;Abel Norwood;deadlift;<b>=cmd|x</b>;5;\n")
    looked = signed_in.post(page.request["PATH_INFO"], filled(page, do="look"))
    said = looked.content.decode()
    assert "1 line cannot be read" in said
    assert "Line 6" in said
    assert "&lt;b&gt;=cmd|x" in said
    assert "Take them in" not in said
    assert signed_in.post(page.request["PATH_INFO"], filled(page, do="take")).status_code == 409
    assert not PastSet.objects.exists()


@pytest.mark.parametrize(
    ("content", "said"),
    [
        (b"PK\x03\x04 nothing", "damaged"), (b"\xd0\xcf\x11\xe0" + b"\0" * 99, "old kind"),
        (b"a,b\n" + b"x" * 5_000_001, "larger than 5 MB"), (b"a,b\n" + b"x" * 200_000, "more than 10000 characters"),
        (b"\0\0\0\0\0\0", "no table as text"),
    ],
)  # fmt: skip
def test_a_hostile_file_is_refused_in_a_sentence_and_not_kept(signed_in, content, said):
    answer = sent(signed_in, content)
    assert answer.status_code == 422
    assert said in answer.content.decode()
    assert not Import.objects.exists()


def test_a_dropped_file_is_forgotten(signed_in, lifter):
    sent(signed_in, LOG)
    row = Import.objects.get()
    assert base64.b64decode(row.kept).decode() == LOG
    signed_in.post(reverse("import-drop", args=[row.pk]))
    assert not Import.objects.exists()


def test_nobody_is_matched_with_another_gyms_lifter(signed_in, lifter):
    stranger = a_lifter(a_gym("Elsewhere", at("2026-11-01 09:00")), None, at("2026-11-01 09:30"), "Ines Falk")
    page = sent(signed_in, LOG)
    form = page.context["form"]
    person = [name for name in form.fields if name.startswith("person-")][1]
    answer = signed_in.post(page.request["PATH_INFO"], filled(page, do="take", **{person: str(stranger.pk)}))
    assert answer.status_code == 422
    assert not PastSet.objects.exists()


def test_the_empty_table_is_one_that_is_read(signed_in, lifter):
    table = signed_in.get(reverse("import-template"))
    page = sent(signed_in, table.content)
    signed_in.post(page.request["PATH_INFO"], filled(page, days="day", mark="point", do="take"))
    row = PastSet.objects.get()
    assert (row.lift, float(row.load), row.reps, row.sets, row.lifter_id) == (
        "deadlift",
        102.5,
        5,
        3,
        lifter.pk,
    )
