"""The way back of a sore lift in this gym: from today's set-up to the full lift, as stairs with what stands under each."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from floorward.actions.buildable import Built, all_built, built_at
from floorward.actions.first_loads import Learned, learned_of
from floorward.actions.lifters import consent_of
from floorward.actions.locks import Lock, lock_of
from floorward.actions.overview import open_episode
from floorward.actions.read_off import Start, accepted_start
from floorward.actions.rigging import Stock, bar_kind, handle_rise_mm, loads_of, stock_of
from floorward.core.lifts import Family, Fixes, catalogue
from floorward.core.loadable import at_or_under
from floorward.core.records import FULL_HEIGHT_MM, Region, SetUp
from floorward.core.variations import Accepted
from floorward.core.way_back import Stage, leads_to, way_back
from floorward.reports.drawings.stairs import Tread, staircase
from floorward.reports.drawings.svg import Drawing
from floorward.storage import reads
from floorward.storage.models import Episode, Lifter
from floorward.tables import value
from floorward.units import Mass, Unit, to_kg


@dataclass(frozen=True, slots=True, kw_only=True)
class Rung:
    """One set-up of the way.

    Attributes:
        more: how much more than the stage before it asks of the region, in hundredths of the full lift; 0 for the first.
        further_deg: how much further it bends than the stage before.
        large: whether the step to it is larger than a usual one, since nothing here can be built in between.
        first: the load that a first set there would have today; None where that is not known.
        too_much: whether even the lightest load there is likely to be too much today.
    """

    built: Built
    stage: Stage
    more: int = 0
    further_deg: int = 0
    large: bool = False
    first: Mass | None = None
    too_much: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Stairs:
    """The page.

    Attributes:
        missing: why there are no stairs: no-episode, no-consent, stopped, nothing-accepted or not-modelled; else empty.
        first: what the way begins with; `is_today` unless the coach looks at another beginning.
        choices: other set-ups to begin with.
    """

    episode: Episode | None
    region: Region | None = None
    missing: str = ""
    lock: Lock | None = None
    load: Mass | None = None
    first: Built | None = None
    is_today: bool = True
    rungs: tuple[Rung, ...] = ()
    choices: tuple[Built, ...] = ()
    wide: Drawing | None = None
    narrow: Drawing | None = None

    @property
    def pull(self) -> bool:
        """Whether it leads to a pull."""
        return self.first is not None and catalogue()[self.first.setup.lift].family is Family.PULL

    @property
    def unmarked(self) -> bool:
        """Whether a squat has no shorter range here, since neither box nor pins end one."""
        return not self.pull and not any(one.setup.box_mm or one.safeties for one in self.choices)

    @property
    def steps(self) -> int:
        """How many steps there are between the first set-up and the last."""
        return max(len(self.rungs) - 1, 0)


def stairs_of(lifter: Lifter, first: str = "") -> Stairs:
    """The way back from today's set-up, or from the set-up with the key `first`."""
    episode = open_episode(lifter)
    if episode is None:
        return Stairs(episode=None, missing="no-episode")
    if consent_of(lifter) is None:
        return Stairs(episode=None, missing="no-consent")
    stock, lock = stock_of(lifter.gym), lock_of(lifter)
    known = episode.modelled_region is not None
    start = accepted_start(episode, stock) if known and not lock else None
    if start is None:
        return Stairs(episode=episode, lock=lock, missing=_why_none(episode, lock))
    return _built_stairs(episode, start, stock, first)


def _why_none(episode: Episode, lock: Lock | None) -> str:
    lift = catalogue().get(episode.lift)
    if lock is not None:
        return "stopped"
    known = lift is not None and lift.linked and bar_kind(lift.key) and episode.modelled_region
    return "nothing-accepted" if known else "not-modelled"


def _built_stairs(episode: Episode, start: Start, stock: Stock, first: str) -> Stairs:
    lifter = episode.lifter
    goal = _goal(start, stock)
    options = _options(all_built(lifter, stock), goal)
    today = (
        goal
        if _is_whole(start.built, goal)
        else next((one for one in options if one.key == start.built.key), start.built)
    )
    begin = next((one for one in options if one.key == first), today)
    stages = way_back(
        reads.person(lifter),
        begin.setup,
        goal.setup,
        [one.setup for one in options],
        to_kg(start.load),
        Region(episode.region),
    )
    known = {one.setup: one for one in (*options, goal, begin)}
    rungs = _with_first_loads(
        episode, start, stock, _rungs([(known[stage.setup], stage) for stage in stages]), goal
    )
    treads = [Tread(name=rung.built.name, step=rung.stage.step) for rung in rungs]
    return Stairs(
        episode=episode,
        region=Region(episode.region),
        load=start.load,
        first=begin,
        is_today=begin.key == today.key,
        rungs=rungs,
        choices=tuple(one for one in options if one.key != goal.key),
        wide=staircase(treads, wide=True) if len(treads) > 1 else None,
        narrow=staircase(treads, wide=False) if len(treads) > 1 else None,
    )


def _is_whole(built: Built, goal: Built) -> bool:
    """Whether nothing of the goal's range is missing."""
    setup, full = built.setup, goal.setup
    shorter = setup.depth_deg > full.depth_deg or setup.box_mm > full.box_mm
    return setup.lift == full.lift and not built.rise_mm and not shorter


def _goal(start: Start, stock: Stock) -> Built:
    """The full lift on the same bar: from full height, to the usual box, or as deep as the lift goes."""
    setup, bar = start.built.setup, start.built.bar
    if catalogue()[setup.lift].fixes is Fixes.BOX:
        return Built(setup=replace(setup, box_mm=_full_box_mm(setup, stock)), bar=bar)
    if start.built.stand is None:
        return Built(setup=replace(setup, depth_deg=min(setup.depth_deg, 0)), bar=bar)
    full_mm = FULL_HEIGHT_MM + handle_rise_mm(reads.bar(bar), setup.lift)
    return built_at(SetUp(lift=setup.lift, height_mm=full_mm), bar, stock)


def _full_box_mm(setup: SetUp, stock: Stock) -> int:
    """Of the gym's boxes that are no higher than today's, the one that is nearest to the lift's usual box."""
    usual_mm = catalogue()[setup.lift].numbers["box_mm"]
    today_mm = setup.box_mm or round(usual_mm)
    lower = [box.height_mm for box in stock.equipment.boxes if box.height_mm <= today_mm]
    return min((*lower, today_mm), key=lambda mm: abs(mm - usual_mm))


def _options(built: Sequence[Built], goal: Built) -> tuple[Built, ...]:
    """What coaches go over, and leads to the full lift; the rest need not be worked out."""
    pull = catalogue()[goal.setup.lift].family is Family.PULL
    over = {goal.setup.lift, *value("comparison", "way_pull" if pull else "way_squat")}
    return tuple(one for one in built if one.setup.lift in over and leads_to(one.setup.lift, goal.setup.lift))


def _rungs(stages: Sequence[tuple[Built, Stage]]) -> tuple[Rung, ...]:
    large = value("comparison", "large_step")
    rungs = []
    for n, (built, stage) in enumerate(stages):
        before = stages[n - 1][1] if n else stage
        rungs.append(
            Rung(
                built=built,
                stage=stage,
                more=round(100 * stage.share) - round(100 * before.share),
                further_deg=round(stage.bend_deg - before.bend_deg),
                large=stage.step > large,
            )
        )
    return tuple(rungs)


def _with_first_loads(
    episode: Episode, start: Start, stock: Stock, rungs: Sequence[Rung], goal: Built
) -> tuple[Rung, ...]:
    """The stages with what a first set there would have today, by what this lifter's own sets have taught.

    Not the full lift, whose load is found or trained, and not the set-up that is trained now. Never more than the load that is
    accepted: while the range grows, the load does not.
    """
    between = [one.built.setup for one in rungs if one.built.setup not in {goal.setup, start.built.setup}]
    accepted = Accepted(
        setup=start.built.setup,
        load=start.load,
        region=Region(episode.region),
        full_range=_is_whole(start.built, goal),
    )
    learned = learned_of(episode, accepted, between, None, None) if between else None
    if learned is None:
        return tuple(rungs)
    return tuple(
        _begun(one, learned, start.load, stock) if one.built.setup in between else one for one in rungs
    )


def _begun(rung: Rung, learned: Learned, most: Mass, stock: Stock) -> Rung:
    unit = Unit(rung.built.bar.unit)
    here = at_or_under(loads_of(stock, rung.built.bar, None), most.to(unit).value)
    if here is None:
        return rung
    load, too_much = learned.first_load(rung.built.setup, loads_of(stock, rung.built.bar, None), unit, here)
    return replace(rung, first=None if too_much else Mass(load.normalize(), unit), too_much=too_much)
