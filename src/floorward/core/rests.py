"""How long to rest after a set: longer after lifts that train more muscles, and after heavier loads.

A plan reckons its minutes with these rests, and the page between sets counts them. Lengths: tables/builder.toml, `time`.
"""

from collections.abc import Sequence

from floorward.core.repetitions import share_for
from floorward.tables import value


def rest_after_s(direct: Sequence[str], share: float) -> float:
    """Seconds of rest after a work set.

    Args:
        direct: the muscles that the lift trains directly.
        share: the load as a share of the heaviest single; anything from 0 up.
    """
    points = value("builder", "time", "rest_big" if len(direct) > 1 else "rest_small")
    return float([seconds for least, seconds in points if share >= least][-1])


def rest_after_warm_up_s() -> float:
    """Seconds from one warm-up set to the next, the change of plates included."""
    return float(value("builder", "time", "warm_up_set")) * 60


def likely_share(repetitions: int, target_rpe: float | None, load_kg: float, usual_kg: float | None) -> float:
    """About how heavy a planned set is against the heaviest single, from what its line says.

    Against the usual load where that is known, as the RPE of a lift that hurts is a lid and not an aim; else by repetitions
    and RPE; else as a set of middling weight (`time.rest_usual`, `time.rest_unknown`).
    """
    if usual_kg:
        return float(value("builder", "time", "rest_usual")) * load_kg / usual_kg
    if target_rpe is not None and repetitions > 0:
        return share_for(repetitions, target_rpe)
    return float(value("builder", "time", "rest_unknown"))
