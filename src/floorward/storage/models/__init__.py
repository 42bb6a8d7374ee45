"""Rows, by noun. Nothing outside `storage` and `actions` sees one being queried."""

from floorward.storage.models.audit import AuditEntry, Erased
from floorward.storage.models.door import Knock, RecoveryCode, SecondKey
from floorward.storage.models.episode import Clearance, Episode, MorningCheck, Review, Screening
from floorward.storage.models.gym import BarRow, BlockRow, BoxRow, CollarRow, Gym, PinsRow, PlateRow, Staff
from floorward.storage.models.past import Brought, Import, PastSet
from floorward.storage.models.person import Assignment, BestSet, Consent, Lifter, MeasuredStart, PersonalLink
from floorward.storage.models.receipt import Receipt
from floorward.storage.models.session import Build, Decision, DoneSet, Line, Search, Session
from floorward.storage.models.trace import Trace

__all__ = [
    "Assignment",
    "AuditEntry",
    "BarRow",
    "BestSet",
    "BlockRow",
    "BoxRow",
    "Brought",
    "Build",
    "Clearance",
    "CollarRow",
    "Consent",
    "Decision",
    "DoneSet",
    "Episode",
    "Erased",
    "Gym",
    "Import",
    "Knock",
    "Lifter",
    "Line",
    "MeasuredStart",
    "MorningCheck",
    "PastSet",
    "PersonalLink",
    "PinsRow",
    "PlateRow",
    "Receipt",
    "RecoveryCode",
    "Review",
    "Screening",
    "Search",
    "SecondKey",
    "Session",
    "Staff",
    "Trace",
]
