"""What a lifter may ask of those who keep their answers: what is held, all of it in a file, nothing shown any more, everything gone."""

import io
import json
import re
import zipfile
from collections.abc import Collection, Iterable
from dataclasses import dataclass
from datetime import datetime
from functools import partial

from django.contrib.sessions.models import Session as SignedIn
from django.db import transaction
from django.db.models import Q

from floorward.actions import audit, knocks
from floorward.actions.lifters import consent_of
from floorward.actions.links import token_of
from floorward.errors import Refused
from floorward.reports import csv_table
from floorward.reports.wording import sentence_for
from floorward.storage import belonging, erasures, exports, place, portable, scrubbing
from floorward.storage.models import AuditEntry, Consent, Import, Lifter, Receipt, Search, Staff
from floorward.storage.place import atomic

MESSAGES = "_messages"  # where a signed-in browser's next page finds what is to be said
FIXED = (1980, 1, 1, 0, 0, 0)
SHOWN = 40


@dataclass(frozen=True, slots=True, kw_only=True)
class Held:
    """What is held of a lifter, told by how much of it there is.

    Attributes:
        consent: the one in force, if any.
        consents: all that were given, newest first.
        counts: rows by table, in the order of the models; tables without rows are left out.
        seen: who looked at it or changed it, newest first.
    """

    consent: Consent | None
    consents: tuple[Consent, ...]
    counts: dict[str, int]
    seen: tuple[audit.Seen, ...]


def held_of(lifter: Lifter) -> Held:
    """What is held of this lifter."""
    found = belonging.rows_of(lifter, place.current())
    return Held(
        consent=consent_of(lifter),
        consents=tuple(lifter.consents.all()),
        counts={name: len(rows) for name, rows in found.items() if rows},
        seen=audit.trail_of(lifter.gym, lifter)[:SHOWN],
    )


def archive_of(lifter: Lifter, *, with_health: bool) -> bytes:
    """Everything of a lifter in one ZIP: a CSV for each table, one JSON with all of them, what each column means, who looked.

    Without `with_health` what tells of somebody's health is left out: rows of episodes, searches, mornings and decisions, and the
    scores of sessions and sets.
    """
    found = belonging.rows_of(lifter, place.current())
    if not with_health:
        found = {name: _without_health(name, rows) for name, rows in found.items()}
    found = {name: rows for name, rows in found.items() if rows}
    seen = [_seen_row(row) for row in audit.trail_of(lifter.gym, lifter)]
    meanings = [row for row in exports.dictionary() if row["table"] in found]
    files = {
        "README.txt": sentence_for("archive-read-me", {"name": lifter.name}),
        "data.json": json.dumps(found, ensure_ascii=False, indent=1),
        "dictionary.csv": csv_table.table(list(meanings[0]), meanings),
        "who-looked.csv": csv_table.table(["at", "who", "kind", "changed"], seen),
        **{f"{name}.csv": csv_table.table(list(rows[0]), rows) for name, rows in found.items()},
    }
    return _zipped(files)


def known_by_year(lifter: Lifter, year: int, *, door: str, now: datetime) -> None:
    """Nothing, if the lifter was born in `year`: what a link alone does not prove.

    Args:
        lifter: whose link was opened.
        year: as typed.
        door: what tells this link from another.
        now: the moment.

    Raises:
        Refused: `born-otherwise`, or `knocked-too-often` after too many other years.
    """
    tried = knocks.knock({"link": door}, now)
    if lifter.born_year != year:
        raise Refused("born-otherwise")
    knocks.opened(tried)


def ask_erasure(lifter: Lifter, now: datetime) -> None:
    """The lifter asks that everything of theirs be erased; owners see that they did."""
    with atomic():
        Lifter.objects.filter(pk=lifter.pk, erasure_asked_at=None).update(erasure_asked_at=now)


def take_back_asking(lifter: Lifter) -> None:
    """The lifter asks no longer."""
    Lifter.objects.filter(pk=lifter.pk).update(erasure_asked_at=None)


def erase(lifter: Lifter, *, by: Staff | None, now: datetime) -> None:
    """Delete every row of a lifter and every number that leads to them, and write the database anew without what was deleted.

    Left is one line of the trail: that somebody was erased, when, and by whom (None: by themselves). Backups from before hold the
    lifter until they are rotated away.
    """
    with atomic():
        row = Lifter.objects.select_for_update().get(pk=lifter.pk)
        belonging.traces_of(row, place.current()).delete()
        _forget_receipts(row)
        waiting = set(row.gym.imports.filter(state="open").values_list("pk", flat=True))
        row.gym.imports.filter(state="open").update(state="undone", kept="")  # a waiting table may name them
        AuditEntry.objects.filter(lifter_number=row.pk).update(lifter_number=0)
        erasures.remember([erasures.mark_of(row)], place.current())
        theirs = Q(past_sets__lifter=row) | Q(best_sets__lifter=row) | Q(brought__lifter=row)
        brought = set(Import.objects.filter(theirs).values_list("pk", flat=True))
        row.delete()
        _forget_files(brought, waiting)
        audit.note_erasure(lifter.gym, by=by, now=now)
        _forget_messages()
        transaction.on_commit(partial(scrubbing.scrub, place.current()), using=place.current())


def erase_again(marks: Collection[str], *, now: datetime) -> int:
    """Erase whoever a restored backup brought back, and keep the marks; how many they were."""
    everybody = {*marks, *(erasures.known(place.current()) or ())}
    back = erasures.back_again(everybody, place.current())
    for lifter in back:
        erase(lifter, by=None, now=now)
    erasures.remember(everybody, place.current())
    return len(back)


def _without_health(name: str, rows: Iterable[portable.Row]) -> list[portable.Row]:
    return [kept for row in rows if (kept := belonging.without_health(name, row)) is not None]


def _seen_row(row: audit.Seen) -> portable.Row:
    return {"at": row.at.isoformat(), "who": row.who, "kind": row.kind, "changed": row.changed}


def _zipped(files: dict[str, str]) -> bytes:
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, text in files.items():
            archive.writestr(zipfile.ZipInfo(name, FIXED), text, zipfile.ZIP_DEFLATED)
    return out.getvalue()


def _forget_receipts(lifter: Lifter) -> None:
    """Receipts lead to pages of the lifter's sessions and searches, or carry their links."""
    numbers = {
        "lifters": {lifter.pk},
        "sessions": set(lifter.sessions.values_list("pk", flat=True)),
        "searches": set(Search.objects.filter(session__lifter=lifter).values_list("pk", flat=True)),
        "episodes": set(lifter.episodes.values_list("pk", flat=True)),
    }
    links = {f"/l/{token_of(link)}/" for link in lifter.links.all()}
    for receipt in Receipt.objects.all():
        named = re.match(r"/(\w+)/(\d+)", receipt.leads_to)
        own = named is not None and int(named[2]) in numbers.get(named[1], ())
        if own or receipt.leads_to.startswith(tuple(links) or "\0"):
            receipt.delete()


def _forget_files(brought: Collection[int], waiting: Collection[int]) -> None:
    """The name of a file may name anybody: it goes, and the import itself with its last row."""
    empty = {"past_sets": None, "best_sets": None, "brought": None}
    Import.objects.filter(pk__in=brought, **empty).delete()
    Import.objects.filter(pk__in={*brought, *waiting}).update(name="")


def _forget_messages() -> None:
    """What signed-in browsers would be told next may name anybody."""
    for row in SignedIn.objects.all():
        said = row.get_decoded()
        if MESSAGES in said:
            del said[MESSAGES]
            row.session_data = SignedIn.objects.encode(said)
            row.save(update_fields=["session_data"])
