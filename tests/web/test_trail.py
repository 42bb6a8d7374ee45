"""The trail: who saw or changed whose health answers, in lines that cannot be changed."""

import pytest
from django.db import DatabaseError, transaction
from django.test import Client
from django.urls import reverse

from floorward.storage.models import AuditEntry
from tests.training import sore_back

pytestmark = pytest.mark.django_db


def test_a_look_leaves_one_line_an_hour(signed_in, lifter, coach, clock):
    sore_back(lifter, coach)
    for time in ("18:10", "18:40", "19:30"):
        clock(f"2026-11-23 {time}")
        signed_in.get(reverse("progress", args=[lifter.pk]))
    rows = list(AuditEntry.objects.values_list("lifter_number", "staff_number", "kind", "changed"))
    assert rows == [(lifter.pk, coach.pk, "overview", False)] * 2


def test_every_change_leaves_a_line(signed_in, lifter, coach):
    episode = sore_back(lifter, coach)
    signed_in.post(reverse("close-episode", args=[episode.pk]))
    assert AuditEntry.objects.get().changed


@pytest.mark.parametrize("how", ["update", "delete"])
def test_no_line_is_changed_or_deleted(signed_in, lifter, how):
    signed_in.get(reverse("progress", args=[lifter.pk]))
    rows = AuditEntry.objects.all()
    with pytest.raises(DatabaseError, match="only ever added"), transaction.atomic():
        rows.update(kind="other") if how == "update" else rows.delete()
    assert AuditEntry.objects.get().kind == "overview"


def test_the_owner_reads_the_trail_and_it_holds_no_answer(signed_in, lifter, coach, owner):
    sore_back(lifter, coach)
    signed_in.get(reverse("lifter", args=[lifter.pk]))
    boss = Client()
    boss.force_login(owner, backend="django.contrib.auth.backends.ModelBackend")
    page = boss.get(reverse("trail")).content.decode()
    assert "<b>Bram Okello</b> saw the overview: Abel Norwood" in page
    assert "low back" not in page
