"""Is the tolerance model right about itself? Lifters drawn from its own priors, trained on loads drawn at random, and read.

Slope and healing time are drawn between the nodes of the grid, states from their Gaussians, so that what is checked is the arithmetic and
the projections, not the premises: on lifters who are exactly as believed, nine of ten true tolerances lie in a 90 % interval.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from floorward.core import belief
from floorward.core.belief import setting
from floorward.maths import posterior_reading

CEILING = 3
GAPS = (0, 0, 3, 4, 3, 4, 7, 3, 4, 14, 3, 4)  # days before each set
SHARES = (0.05, 0.25, 0.75, 0.95)


@dataclass
class Drawn:
    """Lifters as the model believes them to be; every array has one entry a lifter, logs over the usual demand."""

    rng: np.random.Generator
    slope: np.ndarray
    healing_days: np.ndarray
    cuts: np.ndarray
    healed: np.ndarray
    plateau: np.ndarray
    day: np.ndarray

    def later(self, days: int) -> None:
        """Healing, wander, the day's luck, perhaps a flare."""
        if not days:
            return
        rng, count = self.rng, len(self.slope)
        closed = -np.expm1(-days / self.healing_days)
        self.healed = self.healed + closed * (self.plateau - self.healed)
        self.healed = self.healed + setting("healing", "wander") * days**0.5 * rng.normal(size=count)
        self.plateau = self.plateau + setting("healing", "plateau_wander") * days**0.5 * rng.normal(
            size=count
        )
        fade = np.exp(-days / setting("day", "memory"))
        self.day = fade * self.day + setting("day", "deviation") * (1 - fade**2) ** 0.5 * rng.normal(
            size=count
        )
        struck = rng.random(count) < -np.expm1(-days / setting("flare", "spacing"))
        self.day -= struck * (setting("flare", "size") + setting("flare", "size_sd") * rng.normal(size=count))

    def lift(self, log_share: np.ndarray) -> np.ndarray:
        """The pain that each reports, and what the set does to the day."""
        rng, count = self.rng, len(self.slope)
        noise = belief.report_noise()
        stray = noise.deviation[rng.choice(len(noise.share), size=count, p=noise.share)] * rng.normal(
            size=count
        )
        latent = CEILING + self.slope * (log_share - self.healed - self.day) + stray
        pain = (latent[:, None] > self.cuts).sum(axis=1)
        fall = setting("aggravation", "rate") * np.maximum(pain - CEILING, 0)
        self.day = self.day - fall * (1 + setting("aggravation", "doubt") * rng.normal(size=count))
        return pain

    def wake(self, log_share: np.ndarray) -> np.ndarray:
        """The change of the next morning: 0, 1, 2."""
        woke = setting("morning", "slope") * (log_share - self.healed - self.day)
        woke = woke + setting("morning", "deviation") * self.rng.normal(size=len(woke))
        return (woke[:, None] > np.asarray(setting("morning", "cuts"))).sum(axis=1)


def drawn(seed: int, count: int) -> Drawn:
    """Lifters drawn from the priors."""
    rng = np.random.default_rng(seed)

    def around(middle: float, deviation: float) -> np.ndarray:
        return middle + deviation * rng.normal(size=count)

    curve = rng.choice(len(setting("link", "share")), size=count, p=setting("link", "share"))
    curves = np.array([belief.cuts(shape, CEILING) for shape in setting("link", "shape")])
    return Drawn(
        rng=rng,
        slope=setting("prior", "slope") * np.exp(around(0.0, setting("prior", "slope_log_sd"))),
        healing_days=setting("prior", "healing_days")
        * np.exp(around(0.0, setting("prior", "healing_log_sd"))),
        cuts=curves[curve],
        healed=around(-setting("prior", "usual_gap"), setting("prior", "usual_gap_sd")),
        plateau=around(setting("prior", "plateau_gain"), setting("prior", "plateau_sd")),
        day=around(0.0, setting("day", "deviation")),
    )


def inside(seed: int, count: int) -> tuple[np.ndarray, np.ndarray]:
    """Whether the true log tolerance lies within the central 50 and 90 %, shapes (sets, lifters)."""
    crowd = drawn(seed, count)
    first = (
        CEILING
        + crowd.slope * -crowd.healed
        + setting("prior", "provoking_noise") * crowd.rng.normal(size=count)
    )
    usual = np.zeros(count)
    state = belief.recalled(
        belief.start(usual, ceiling=CEILING), usual, (first[:, None] > crowd.cuts).sum(axis=1)
    )
    way, half, most = belief.direction(state), [], []
    for gap in GAPS:
        crowd.later(gap)
        state = belief.advanced(state, gap)
        share = np.log(crowd.rng.uniform(0.25, 0.9, size=count))
        pain = crowd.lift(share)
        state = belief.observed(state, share, pain, way=way)
        state = belief.morning(state, share, crowd.wake(share), way=way)
        low, lower, upper, high = posterior_reading.quantiles(state.mixture, way, SHARES).T
        truth = crowd.healed + crowd.day
        half.append((lower <= truth) & (truth <= upper))
        most.append((low <= truth) & (truth <= high))
    return np.array(half), np.array(most)
