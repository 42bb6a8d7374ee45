"""Other squats for a sore squat: which this gym can set up, and with what load each would begin. Rows in, first loads out."""

from collections.abc import Iterator

from floorward.actions.buildable import Built, all_built
from floorward.actions.pulls import usual_there
from floorward.actions.rigging import Stock, loads_of
from floorward.actions.standing import Source, Standing
from floorward.actions.usual import arms_beside, best_as_usual
from floorward.core.lifts import Family, catalogue
from floorward.core.records import SetUp
from floorward.core.sore_lifts import loads_any
from floorward.core.variations import Accepted, Candidate, Option, ranked
from floorward.storage import reads
from floorward.storage.models import DoneSet, Episode, Session
from floorward.tables import value
from floorward.units import Mass, Unit


def squats_beside(
    episode: Episode, session: Session, standing: Standing, setup: SetUp, stock: Stock
) -> tuple[tuple[Option, Built], ...]:
    """The squats beside a sore one, each with its first load, the one to offer first in front; none for another lift."""
    lift, load = catalogue().get(episode.lift), standing.accepted or standing.load
    if lift is None or lift.family is not Family.SQUAT or load is None or standing.source is Source.STOPPED:
        return ()
    region = episode.modelled_region
    if region is None:
        return ()
    accepted = Accepted(
        setup=setup,
        load=Mass(load, Unit(standing.unit)),
        region=region,
        full_range=standing.full_range,
    )
    found = dict(_candidates(episode, session, setup, stock))
    return tuple(
        (one, found[one.candidate]) for one in ranked(reads.person(episode.lifter), accepted, tuple(found))
    )


def _candidates(
    episode: Episode, session: Session, setup: SetUp, stock: Stock
) -> Iterator[tuple[Candidate, Built]]:
    """Squats that are usually offered, and those that this lifter does."""
    best, arms = best_as_usual(episode.lifter, stock), arms_beside(episode)
    for built in all_built(episode.lifter, stock):
        lift = built.setup.lift
        if catalogue()[lift].family is not Family.SQUAT or lift == setup.lift or built.setup.depth_deg:
            continue
        if loads_any(lift, arms):
            continue
        usual = usual_there(episode, built.setup, best)
        if usual is None and lift not in value("builder", "squats_beside"):
            continue
        done = DoneSet.objects.filter(session__episode=episode, lift=lift, kind="work", undone_at=None)
        candidate = Candidate(
            setup=built.setup,
            loads=loads_of(stock, built.bar, None),
            unit=Unit(built.bar.unit),
            usual=usual,
            done_in_episode=done.exclude(session=session).exists(),
        )
        yield candidate, built
