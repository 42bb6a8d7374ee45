"""The general course of low back pain, to set one lifter's beside it: people who saw a clinician, not lifters."""

import numpy as np

from floorward.tables import value

_TENTH = 10.0


def general_course(days: tuple[int, ...]) -> tuple[tuple[float, float, float], ...]:
    """Mean pain on each day, from the acute course up to the persistent one: (day, low, high) on 0 to 10.

    Between the published means the logarithm runs straight; past the last of them nothing is said.

    Args:
        days: since the pain began, or was first seen.
    Source: costa-2012.
    """
    weeks = np.array(value("course", "weeks"), dtype=float)
    told = [day for day in days if 0 <= day <= 7 * weeks[-1]]
    courses = [
        np.exp(np.interp(told, 7 * weeks, np.log(value("course", name)))) / _TENTH
        for name in ("acute", "persistent")
    ]
    lower, upper = np.minimum(*courses), np.maximum(*courses)
    return tuple(zip(map(float, told), lower.tolist(), upper.tolist(), strict=True))
