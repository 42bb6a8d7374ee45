"""Invented lifters with a sore back, many at once: every attribute is an array with one entry a lifter.

They are built differently from the model that Floorward believes in (linear scores, exposure that speeds healing, flares of another
shape), so that a figure measured on them is not the model marking its own homework. They are still inventions: no number is evidence
about people. Each lifter has a generator of their own, so that the first hundred are the same however many there are.
"""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np

STEP_KG = 2.5
BAR_KG = 20.0
FACTOR = np.array([1.00, 0.90, 0.82, 0.70, 0.95, 0.60])
BEND = np.array([0.60, 0.50, 0.45, 0.30, 0.70, 0.25])
CEILING = 3
LUCK = 600  # draws kept ready for each lifter and kind of luck


@dataclass(frozen=True)
class Habits:
    """How these lifters differ from the plain ones."""

    heavy_tails: bool = False
    heaps: bool = False
    slow: bool = False
    flaring: bool = False
    misjudged_demand: bool = False
    aggravates: bool = True


PLAIN = Habits()


@dataclass
class Lifters:
    """The crowd and where it stands today."""

    habits: Habits
    usual_kg: np.ndarray
    base_nm: np.ndarray
    arm_nm_per_kg: np.ndarray
    demand_error: np.ndarray
    slope: np.ndarray
    sigma: np.ndarray
    first_pain: np.ndarray
    tolerance: np.ndarray
    plateau: np.ndarray
    healing_days: np.ndarray
    flare_days: np.ndarray
    offset: np.ndarray
    bend_cost: np.ndarray
    morning_slope: np.ndarray
    luck: dict[str, np.ndarray]
    count: dict[str, int] = field(default_factory=dict)

    def __post_init__(self) -> None:
        zero = np.zeros(len(self.usual_kg))
        self.flare, self.aggravation, self.exposure = zero.copy(), zero.copy(), zero.copy()
        self.day = self.next_luck("day") * 0.06
        self.new_flare = zero.copy()
        self.worst = np.full(len(zero), -np.inf)

    def next_luck(self, kind: str) -> np.ndarray:
        """The next column of a kind of luck."""
        at = self.count.get(kind, 0)
        self.count[kind] = at + 1
        return self.luck[kind][:, at % LUCK]

    # -- what mechanics would say, and what is true -------------------------------------------------------

    def demand(self, load_kg: np.ndarray, variation: int = 0) -> np.ndarray:
        """Demand as Floorward reckons it; `load_kg` of shape (lifters,) or (lifters, loads)."""
        beyond = (...,) + (None,) * (np.ndim(load_kg) - 1)
        return FACTOR[variation] * (self.base_nm[beyond] + self.arm_nm_per_kg[beyond] * load_kg)

    def rested(self, variation: int = 0) -> np.ndarray:
        """True log tolerance of the day without what today's sets did to it, as a reckoned demand."""
        bend = self.bend_cost * (BEND[variation] - BEND[0])
        level = self.tolerance + self.day - self.flare + self.offset[:, variation] - bend
        return level - self.demand_error[:, variation]

    def overshoot(self, load_kg: np.ndarray, variation: int = 0) -> np.ndarray:
        """Log demand over the tolerance as it stands now."""
        return np.log(self.demand(load_kg, variation)) - self.rested(variation) + self.aggravation

    # -- what they do ---------------------------------------------------------------------------------------

    def lift(self, load_kg: np.ndarray, doing: np.ndarray, variation: int = 0) -> np.ndarray:
        """One set by those `doing`: the pain that each reports, whole numbers (others: 0)."""
        over = self.overshoot(load_kg, variation)
        expected = CEILING + self.slope * over
        stray = self.next_luck("tail" if self.habits.heavy_tails else "report") * self.sigma
        pain = np.clip(np.round(expected + stray), 0, 10)
        if self.habits.heaps:
            heap = np.array([0, 2, 3, 5, 7, 8, 10])
            pain = heap[np.abs(pain[:, None] - heap).argmin(axis=1)]
        if self.habits.aggravates:
            self.aggravation += np.where(doing, 0.03 * np.clip(expected - 3.0, 0.0, 7.0), 0.0)
        self.exposure = np.where(
            doing, np.maximum(self.exposure, np.minimum(1.0, np.exp(over))), self.exposure
        )
        self.worst = np.where(doing, np.maximum(self.worst, over), self.worst)
        return np.where(doing, pain, 0).astype(int)

    def morning(self) -> np.ndarray:
        """One night on: the change that the lifter reports on waking. Call once, right after the session."""
        hit = self._night()
        felt = self.morning_slope * np.maximum(0.0, self.worst + 0.1) + 2.5 * np.minimum(hit, 0.6)
        return np.round(np.clip(felt + 0.8 * self.next_luck("morning"), -3, 7)).astype(int)

    def rest(self, nights: int) -> None:
        """More nights, then a new session with its own luck of the day."""
        for _ in range(nights):
            self._night()
        self.exposure *= 0.6
        self.worst = np.full(len(self.worst), -np.inf)
        self.day = self.next_luck("day") * 0.06

    def _night(self) -> np.ndarray:
        rate = (1.0 + 0.5 * self.exposure) / 1.25
        closing = -np.expm1(-rate / self.healing_days)
        self.tolerance = (
            self.tolerance + (self.plateau - self.tolerance) * closing + 0.012 * self.next_luck("wander")
        )
        self.flare = self.flare * np.exp(-1.0 / self.flare_days)
        self.aggravation = self.aggravation * np.exp(-1.0 / 2.5)
        chance, size = (3.0 / 45.0, 0.28) if self.habits.flaring else (1.0 / 45.0, 0.20)
        struck = self.next_luck("strike") < chance
        hit = np.where(struck, size * np.exp(0.40 * self.next_luck("size")), 0.0)
        self.flare = self.flare + hit
        return hit


def lifters(seed: int, first: int, count: int, habits: Habits = PLAIN) -> Lifters:
    """Lifters number `first` to `first + count - 1` of this seed."""
    rows = [_one(np.random.default_rng([seed, first + i]), habits) for i in range(count)]
    traits = {key: np.array([row[key] for row in rows]) for key in rows[0] if key != "luck"}
    luck = {kind: np.array([row["luck"][kind] for row in rows]) for kind in rows[0]["luck"]}
    return Lifters(habits=habits, luck=luck, **traits)


def _one(rng: np.random.Generator, habits: Habits) -> dict:
    usual = float(np.clip(140.0 * np.exp(0.30 * rng.normal()), 60.0, 280.0))
    usual = BAR_KG + STEP_KG * round((usual - BAR_KG) / STEP_KG)
    base = 1.35 * float(np.clip(rng.normal(88, 14), 52, 140))
    arm = max(2.8, rng.normal(3.8, 0.35))
    slope = 6.5 * np.exp(0.45 * rng.normal())
    sigma = 0.70 * np.exp(0.25 * rng.normal())
    gap = float(np.clip(0.60 * np.exp(0.50 * rng.normal()), 0.06, 1.9))
    log_usual = np.log(base + arm * usual)
    recovers = rng.random() < (0.6 if habits.slow else 0.8)
    gain, shortfall = rng.normal(0.20, 0.10), abs(rng.normal(0.0, 0.30))
    tolerance = log_usual - gap
    error = rng.normal(0, 0.15) + rng.normal(0, 0.15, len(FACTOR))
    return {
        "usual_kg": usual,
        "base_nm": base,
        "arm_nm_per_kg": arm,
        "slope": slope,
        "sigma": sigma,
        "tolerance": tolerance,
        "first_pain": int(np.clip(np.round(3 + slope * gap + rng.normal(0, 1.2)), 4, 10)),
        "plateau": max(tolerance, log_usual + (gain if recovers else -shortfall)),
        "healing_days": 30.0 * np.exp(0.60 * rng.normal()) * (2.0 if habits.slow else 1.0),
        "flare_days": 8.0 * np.exp(0.5 * rng.normal()),
        "offset": np.concatenate([[0.0], rng.normal(0, 0.15, len(FACTOR) - 1)]),
        "bend_cost": rng.normal(0.15, 0.10),
        "morning_slope": 2.5 * np.exp(0.4 * rng.normal()),
        "demand_error": error if habits.misjudged_demand else np.zeros(len(FACTOR)),
        "luck": {
            **{kind: rng.normal(size=LUCK) for kind in ("report", "day", "wander", "morning", "size")},
            "strike": rng.random(LUCK),
            "tail": rng.standard_t(3, LUCK),
        },
    }


def heaviest_acceptable(crowd: Lifters) -> np.ndarray:
    """True answer of a search: heaviest loadable load with expected pain at most the ceiling, under the usual load; 0: none."""
    load = (np.exp(crowd.rested()) - crowd.base_nm) / crowd.arm_nm_per_kg
    steps = np.floor((load - BAR_KG) / STEP_KG + 1e-9)
    answer = np.minimum(BAR_KG + STEP_KG * steps, crowd.usual_kg - STEP_KG)
    return np.where(steps < 0, 0.0, answer)
