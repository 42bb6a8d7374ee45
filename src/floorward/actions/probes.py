"""Set-ups to try once the lightest load fails in full, in the order of what they tell of this lifter: rows in, the ranking of core/separation out."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from floorward.actions.asked import Asked
from floorward.actions.buildable import Built, all_built
from floorward.actions.rigging import Stock, loads_of, usual_bar
from floorward.actions.tolerances import Log, asked_by, kg, log_of
from floorward.core.exercises import key_of
from floorward.core.lifts import catalogue
from floorward.core.separation import Probe, Telling, told_apart
from floorward.storage.models import Episode
from floorward.tables import value

_SHOWN = 3
_HUNDRED = 100


@dataclass(frozen=True, slots=True, kw_only=True)
class Try:
    """A set-up to try, with its lightest load.

    Attributes:
        of_bend: whether it is mostly a test of bend, else of moment.
        eased, opened: hundredths of moment and of bend that it takes off.
        likely: whether the lightest load there is likely to be too much as well.
    """

    built: Built
    load: Decimal
    unit: str
    of_bend: bool
    eased: int
    opened: int
    likely: bool

    @property
    def same_lift(self) -> bool:
        """Whether it is the painful lift from a raised start."""
        return self.built.rise_mm > 0


def tries_of(episode: Episode, stock: Stock, today: date) -> tuple[Try, ...]:
    """What to try first, at most three; empty where mechanics do not know the lift."""
    log, bar = log_of(episode), usual_bar(episode.lifter.gym, episode.lift, episode.unit)
    lightest = loads_of(stock, bar, None)[:1] if bar else ()
    if log is None or bar is None or not lightest:
        return ()
    borne = _borne(log)
    found = {
        key_of(built.setup): (built, load, asked)
        for built, load, asked in _candidates(episode, stock)
        if built.setup.lift != episode.lift
        or not any(_asks_no_more(asked, kg(load, built.bar.unit), one) for one in borne)
    }
    probes = [
        Probe(
            name=name,
            demand=asked.demand(kg(load, built.bar.unit)),
            bend=asked.bend - log.full.bend,
        )
        for name, (built, load, asked) in found.items()
    ]
    tolerance = log.open_to(tuple(found)).tolerance(today)
    ranked = told_apart(tolerance, log.full.demand(kg(lightest[0], bar.unit)), log.full.bend, probes)
    return tuple(_try(telling, *found[telling.probe.name][:2]) for telling in ranked[:_SHOWN])


def _borne(log: Log) -> tuple[tuple[Asked, float], ...]:
    """What sets of the painful lift asked that were acceptable, with their loads [kg]: they have told already."""
    own = [row for row in log.sets if row.lift == log.episode.lift and row.acceptable and not row.spreading]
    asked = ((log.asked(row), kg(row.load, row.unit)) for row in own)
    return tuple((found, load_kg) for found, load_kg in asked if found is not None)


def _asks_no_more(asked: Asked, load_kg: float, borne: tuple[Asked, float]) -> bool:
    done, done_kg = borne
    return asked.bend <= done.bend and asked.demand(load_kg) <= done.demand(done_kg)


def _try(telling: Telling, built: Built, load: Decimal) -> Try:
    return Try(
        built=built,
        load=load.normalize(),
        unit=built.bar.unit,
        of_bend=telling.of_bend,
        eased=max(round(_HUNDRED * telling.eased), 0),
        opened=max(round(_HUNDRED * telling.opened), 0),
        likely=telling.chance > value("tolerance", "find", "unacceptable_chance"),
    )


def _candidates(episode: Episode, stock: Stock) -> Iterator[tuple[Built, Decimal, Asked]]:
    """Every set-up of the same family that is offered on a sore day; raised starts at the heights that are offered."""
    family, own = catalogue()[episode.lift].family, episode.lift
    rises = [*value("variations", "raised")]
    for built in all_built(episode.lifter, stock):
        lift, loads = built.setup.lift, loads_of(stock, built.bar, None)
        other = lift != own and built.is_whole and lift in value("variations", "offered")
        raised = lift == own and any(
            abs(built.rise_mm - rise) <= value("variations", "raised_within") for rise in rises
        )
        shorter = lift == own and bool(built.setup.depth_deg or built.setup.box_mm)
        if catalogue()[lift].family is not family or not loads or not (other or raised or shorter):
            continue
        asked = asked_by(episode, built.setup)
        if asked is not None:
            yield built, loads[0], asked
