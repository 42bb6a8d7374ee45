"""An open episode as bare numbers, for the lists that read hundreds of them."""

from datetime import date
from typing import NamedTuple

from floorward.storage.models import Episode


class Opened(NamedTuple):
    """What tells one open episode from another in a list. Names and meanings are those of the episode's row."""

    pk: int
    lifter_id: int
    region: str
    since: date
    after_injury: bool
    pain: int | None


AnEpisode = Opened | Episode
