"""Set-ups side by side for one lifter in one gym: rows in; figures, bars with bands, words and loads out."""

from collections.abc import Sequence
from dataclasses import dataclass

from floorward.actions.buildable import Built, all_built
from floorward.actions.columns import Column, Question, columns_of
from floorward.actions.figures import figure_of
from floorward.actions.lifters import consent_of
from floorward.actions.locks import Lock, lock_of
from floorward.actions.overview import open_episode
from floorward.actions.read_off import Start, accepted_start, usual_load
from floorward.actions.rigging import Stock, stock_of
from floorward.core.lifts import Family, catalogue
from floorward.core.records import FULL_HEIGHT_MM, Region
from floorward.reports.drawings.figure import StandingFigure
from floorward.reports.drawings.figure_row import figure_row, most_px_per_m
from floorward.reports.drawings.svg import Drawing
from floorward.storage.models import Episode, Lifter
from floorward.tables import value
from floorward.units import Mass

DEADLIFT = "deadlift"
PHONE_PX, WIDE_PX = 358.0, 1180.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """What the page is asked for; None or empty takes what is usual.

    Attributes:
        keys: of the set-ups, as `Built.key` names them.
    """

    keys: tuple[str, ...] = ()
    load: Mass | None = None
    region: Region | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Comparison:
    """The page.

    Attributes:
        compared: the set-up whose demand counts as 100.
        start: None where no loads are given.
        built: everything there is to choose from.
        wide, rows: the figures in one row, and for a phone in pairs.
        lock: what stops this lifter's heavy work or region, if anything.
        episode: the open one where it may be shown.
    """

    region: Region
    load: Mass
    compared: Built
    start: Start | None
    columns: tuple[Column, ...]
    built: tuple[Built, ...]
    wide: Drawing | None
    rows: tuple[Drawing, ...]
    lock: Lock | None
    episode: Episode | None

    @property
    def any_raised(self) -> bool:
        """Whether a bar starts higher than in full, which nobody has measured."""
        return any(column.built.rise_mm for column in self.columns)

    @property
    def any_squat(self) -> bool:
        """Whether a squat is among them."""
        return any(column.squats for column in self.columns)

    @property
    def any_two_ways(self) -> bool:
        """Whether one of them can be done in two clearly different postures for about the same effort."""
        return any(column.side.start.two_ways for column in self.columns if column.side)

    @property
    def any_loose(self) -> bool:
        """Whether the compared pull's own demand is too loose to compare by."""
        return any(column.side.demand is None for column in self.columns if column.side)


def choices_of(lifter: Lifter) -> tuple[Built, ...]:
    """Everything that this gym can build to compare, and what is accepted where that is something else."""
    stock, episode = stock_of(lifter.gym), _shown_episode(lifter)
    return _choices(lifter, stock, accepted_start(episode, stock) if episode else None)


@dataclass(frozen=True, slots=True, kw_only=True)
class Ground:
    """What set-ups of one lifter are put beside one another on.

    Attributes:
        question: what every column answers.
        accepted: what is accepted in the open episode, if anything.
        built: everything there is to choose from.
        lock: what stops this lifter's heavy work or region, if anything.
        episode: the open one where it may be shown.
    """

    question: Question
    accepted: Start | None
    built: tuple[Built, ...]
    lock: Lock | None
    episode: Episode | None


def ground_of(lifter: Lifter, load: Mass | None, region: Region | None) -> Ground | None:
    """The ground for a load and a region, the usual ones where None; None in a gym without a bar that a posture is known for."""
    stock, episode = stock_of(lifter.gym), _shown_episode(lifter)
    accepted = accepted_start(episode, stock) if episode else None
    built = _choices(lifter, stock, accepted)
    if not built:
        return None
    hurting, lock = open_episode(lifter), lock_of(lifter)
    compared = _compared(built, episode)
    sore = episode.modelled_region if episode else None
    load = load or (accepted.load if accepted else usual_load(lifter, compared.setup.lift))
    start = _start(accepted, load) if accepted else None if hurting else Start(built=compared, load=load)
    question = Question(
        lifter=lifter,
        stock=stock,
        compared=compared,
        load=load,
        region=region or sore or Region.LOW_BACK,
        start=None if lock or (episode and sore is None) else start,
        why_none=_why_none(lock, hurting, start),
    )
    return Ground(question=question, accepted=accepted, built=built, lock=lock, episode=episode)


def comparison_of(lifter: Lifter, asked: Asked) -> Comparison | None:
    """Set-ups side by side; None in a gym without a bar that a posture is known for."""
    ground = ground_of(lifter, asked.load, asked.region)
    if ground is None:
        return None
    question = ground.question
    chosen = _chosen(asked.keys, ground.built, question.compared, ground.accepted)
    columns = columns_of(question, chosen)
    figures = [_figure(column) for column in columns if column.side]
    return Comparison(
        region=question.region,
        load=question.load,
        compared=question.compared,
        start=question.start,
        columns=columns,
        built=ground.built,
        wide=figure_row(figures, most_px=WIDE_PX) if figures else None,
        rows=_rows(figures),
        lock=ground.lock,
        episode=ground.episode,
    )


def _shown_episode(lifter: Lifter) -> Episode | None:
    """The open episode where a consent lets it be shown."""
    return open_episode(lifter) if consent_of(lifter) else None


def _choices(lifter: Lifter, stock: Stock, accepted: Start | None) -> tuple[Built, ...]:
    built = all_built(lifter, stock)
    known = {one.key for one in built}
    return built if accepted is None or accepted.built.key in known else (*built, accepted.built)


def _start(accepted: Start, load: Mass) -> Start:
    """What is accepted, at the load asked for where that is less: nothing is read off a load that was not accepted."""
    return Start(built=accepted.built, load=min(accepted.load, load))


def _why_none(lock: Lock | None, hurting: Episode | None, start: Start | None) -> str:
    if lock:
        return "stopped"
    return "nothing-accepted" if hurting and start is None else ""


def _compared(built: Sequence[Built], episode: Episode | None) -> Built:
    """The pull from the floor; beside a sore squat, that squat."""
    sore = catalogue().get(episode.lift) if episode else None
    lift = sore.key if sore and sore.family is Family.SQUAT else DEADLIFT
    return next((one for one in built if one.setup.lift == lift and one.is_whole), built[0])


def _chosen(
    keys: Sequence[str], built: Sequence[Built], compared: Built, accepted: Start | None
) -> tuple[Built, ...]:
    """The set-ups asked for, or a few that belong beside the compared one; each once, no more than fit."""
    known = {one.key: one for one in built}
    asked = [known[key] for key in keys if key in known]
    wanted = asked or _usual(built, compared, accepted)
    return tuple({one.key: one for one in wanted}.values())[: int(value("comparison", "sides"))]


def _usual(built: Sequence[Built], compared: Built, accepted: Start | None) -> list[Built]:
    """The compared one, what is accepted, for a pull one on blocks, and what else belongs beside it."""
    pull = catalogue()[compared.setup.lift].family is Family.PULL
    raised_mm = FULL_HEIGHT_MM + int(value("comparison", "raised"))
    near = [one for one in built if pull and one.setup.lift == DEADLIFT and one.rise_mm]
    near.sort(key=lambda one: abs(one.setup.height_mm - raised_mm))
    others = [one for lift in beside(compared) for one in built if one.setup.lift == lift and one.is_whole]
    return [compared, *([accepted.built] if accepted else ()), *near[:1], *others]


def beside(compared: Built) -> tuple[str, ...]:
    """The lifts that belong beside the compared one."""
    pull = catalogue()[compared.setup.lift].family is Family.PULL
    return tuple(value("comparison", "beside_pull" if pull else "beside_squat"))


def _figure(column: Column) -> StandingFigure:
    assert column.side is not None  # noqa: S101 - figures are made of what is reached
    lift = catalogue()[column.built.setup.lift]
    return figure_of(
        column.side.start,
        label=column.built.name,
        stand=column.built.stand,
        rise_mm=column.built.handle_mm,
        on_back=not lift.hands,
    )


def _rows(figures: Sequence[StandingFigure]) -> tuple[Drawing, ...]:
    """Pairs for a phone, all at one scale and with the chalk line of the first figure."""
    pairs = [figures[n : n + 2] for n in range(0, len(figures), 2)]
    if not pairs:
        return ()
    scale = min(most_px_per_m(pair, PHONE_PX) for pair in pairs if len(pair) == len(pairs[0]))
    level = figures[0].level_m
    return tuple(figure_row(pair, px_per_m=scale, most_px=PHONE_PX, level_m=level) for pair in pairs)
