"""The lanes of Today: lists of lifters by what is needed next. Records only; `today` fills them."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date

from floorward.actions.board import Newest
from floorward.actions.links import LinkView
from floorward.actions.locks import Lock
from floorward.actions.proposals import Proposal
from floorward.core.clock import Review
from floorward.reports.drawings.svg import Drawing
from floorward.storage.models import Episode, Lifter, MorningCheck, Session, Staff


@dataclass(frozen=True, slots=True, kw_only=True)
class Who:
    """Whose slip it is.

    Attributes:
        kept: whether anything about health may be shown; where not, `mark` is empty.
        trains_today: whether a session of theirs is planned or begun today.
    """

    lifter: Lifter
    episode: Episode
    day_number: int
    kept: bool
    mark: Drawing | str = ""
    trains_today: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Stopped:
    """Locked by the screen, or new symptoms that want it asked again: one of the two is given."""

    who: Who
    lock: Lock | None
    report: MorningCheck | None
    sign: Drawing


@dataclass(frozen=True, slots=True, kw_only=True)
class InSession:
    """Training now, sore or not."""

    session: Session
    lifter: Lifter
    sets_done: int


@dataclass(frozen=True, slots=True, kw_only=True)
class ToAsk:
    """No morning answer yet. `link` is the one in force; `trained_on` the training that it answers for."""

    who: Who
    trained_on: date
    link: LinkView | None


@dataclass(frozen=True, slots=True, kw_only=True)
class ToDecide:
    """A step is proposed."""

    who: Who
    proposal: Proposal
    sign: Drawing


@dataclass(frozen=True, slots=True, kw_only=True)
class ToReview:
    """A review point is due."""

    who: Who
    review: Review


@dataclass(frozen=True, slots=True, kw_only=True)
class ToBegin:
    """The sore lift is not trained yet, or no longer: `code` says what is missing."""

    who: Who
    code: str


@dataclass(frozen=True, slots=True, kw_only=True)
class ToWatch:
    """Nothing to do but look: `code` says what there is to know."""

    who: Who
    code: str
    newest: Newest | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class TodayView:
    """The page.

    Attributes:
        seen: the numbers of the lifters of whose health something is shown.
        coach: whose lifters are shown; None for everybody's.
        open_episodes: of the lifters shown; `answered` of them this morning.
        counts: how many there are in each lane, by its name; `more` of them are not shown.
    """

    day: date
    seen: frozenset[int]
    coach: Staff | None
    coaches: tuple[Staff, ...]
    open_episodes: int
    answered: int
    stopped: tuple[Stopped, ...]
    in_session: tuple[InSession, ...]
    decide: tuple[ToDecide, ...]
    ask: tuple[ToAsk, ...]
    review: tuple[ToReview, ...]
    begin: tuple[ToBegin, ...]
    watch: tuple[ToWatch, ...]
    counts: Mapping[str, int] = field(hash=False)
    more: Mapping[str, int] = field(hash=False)

    @property
    def lanes(self) -> tuple[tuple[str, int], ...]:
        """The lanes somebody is in, with how many."""
        return tuple((name, count) for name, count in self.counts.items() if count)
