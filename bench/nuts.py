"""The tolerance model without its grid: the same equations sampled by NUTS, as a reference for the fast posterior.

`python -m bench.nuts` samples every history at length and rewrites tests/core/nuts_long_run.toml; a few minutes. Slope and healing time
are continuous here, states are sampled and not projected, and flares are summed out exactly; only the linear pain-load curve is looked at,
because the fast posterior enumerates the curves.
"""

from __future__ import annotations

import sys
import tomllib
from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path

import jax
import jax.numpy as jnp
import numpy as np
import numpyro
from jax.scipy.special import logsumexp, ndtr
from numpyro.distributions import Normal
from numpyro.infer import MCMC, NUTS, init_to_median

from floorward.core import belief
from floorward.core.belief import Belief, setting
from floorward.maths import posterior_reading

STORED = Path(__file__).parents[1] / "tests" / "core" / "nuts_long_run.toml"
HEAD = """# Written by `python -m bench.nuts`: NUTS, 2 chains of 3,000 draws (1,500 where there are more than three sets) after 500.
# Log tolerance over the log demand of the usual load.
"""
CEILING = 3
AT = (0.4, 0.6, 0.8)  # shares of the usual demand at which the chance of a bearable set is compared


@dataclass(frozen=True)
class Set:
    """One set: day, share of the usual demand, pain, the next morning's change (None: not asked)."""

    day: int
    share: float
    pain: int
    morning: int | None = None


@dataclass(frozen=True)
class Reading:
    """Mean and deviation of the log tolerance after the last report, and P(pain <= ceiling) at each share of AT."""

    mean: float
    deviation: float
    bearable: tuple[float, ...]


def _sets(*rows: tuple) -> tuple[Set, ...]:
    return tuple(Set(*row) for row in rows)


_CLIMB = [
    (0, 0.35, 1),
    (0, 0.5, 3, 0),
    *((3 * n + 2, 0.5 + 0.03 * n, 1 + n % 3, n % 2) for n in range(1, 11)),
]
_BACK_TWICE = [
    (0, 0.4, 1),
    (0, 0.6, 3, 0),
    (4, 0.6, 5, 2),
    (7, 0.5, 1, 0),
    (14, 0.55, 2, 0),
    (21, 0.6, 6, 2),
    (25, 0.5, 2, 1),
    (32, 0.52, 1, 0),
]

HISTORIES: dict[
    str, tuple[int, tuple[Set, ...]]
] = {  # by name: pain of the report that began it, then the sets
    "one easy set": (7, _sets((0, 0.4, 1))),
    "one hard set": (8, _sets((0, 0.5, 6))),
    "a search": (6, _sets((0, 0.4, 1), (0, 0.55, 2), (0, 0.7, 5))),
    "a search that fails early": (9, _sets((0, 0.4, 5), (0, 0.3, 2), (0, 0.35, 3))),
    "a search and two weeks": (
        7,
        _sets((0, 0.4, 0), (0, 0.6, 4), (0, 0.5, 2, 0), (4, 0.5, 2, 0), (7, 0.52, 1, 0), (11, 0.55, 3, 1)),
    ),
    "a flare": (
        6,
        _sets(
            (0, 0.5, 2, 0),
            (4, 0.5, 1, 0),
            (7, 0.53, 2, 0),
            (11, 0.55, 7, 2),
            (14, 0.45, 4, 1),
            (18, 0.4, 2, 0),
        ),
    ),
    "a month upward": (7, _sets(*_CLIMB)),
    "a month with two steps back": (8, _sets(*_BACK_TWICE)),
}


# -- the fast posterior --------------------------------------------------------------------------------------


def fast(name: str) -> Reading:
    """The history by the grid of Gaussians, on its linear curve alone."""
    first, sets = HISTORIES[name]
    state = belief.recalled(_linear(belief.start(0.0, ceiling=CEILING)), 0.0, first)
    way, day = belief.direction(state), 0
    for each in sets:
        state, day = belief.advanced(state, each.day - day), each.day
        state = belief.observed(state, np.log(each.share), each.pain, way=way)
        if each.morning is not None:
            state = belief.morning(state, np.log(each.share), each.morning, way=way)
    mean, deviation = posterior_reading.moments(state.mixture, way)
    above = belief.chance_above(state, np.log(AT), CEILING, way=way)
    return Reading(float(mean), float(deviation), tuple((1.0 - above).tolist()))


def _linear(state: Belief) -> Belief:
    """The nodes of one curve, which is made the linear one."""
    step = len(setting("link", "shape"))
    grid, mixture = state.grid, state.mixture
    kept = replace(
        grid,
        slope=grid.slope[::step],
        healing_days=grid.healing_days[::step],
        cuts=np.tile(belief.cuts(0.0, CEILING), (len(grid.slope[::step]), 1)),
        log_weight=grid.log_weight[::step],
    )
    weight = mixture.log_weight[::step]
    one = replace(
        mixture,
        log_weight=weight - np.log(np.exp(weight).sum()),
        mean=mixture.mean[::step],
        covariance=mixture.covariance[::step],
    )
    return replace(state, grid=kept, mixture=one)


# -- the same by sampling ------------------------------------------------------------------------------------


def _interval(low: float, high: float, centre, share: Sequence[float], deviation: Sequence[float]):
    parts = [
        p * (ndtr((high - centre) / d) - ndtr((low - centre) / d))
        for p, d in zip(share, deviation, strict=True)
    ]
    return jnp.log(jnp.maximum(sum(parts), 1e-250))


def _bounds(pain: int) -> tuple[float, float]:
    return (pain - 0.5 if pain else -jnp.inf), (pain + 0.5 if pain < 10 else jnp.inf)


def _model(first: int, sets: tuple[Set, ...]) -> None:
    unit = Normal(0.0, 1.0)
    slope = setting("prior", "slope") * jnp.exp(
        setting("prior", "slope_log_sd") * numpyro.sample("slope", unit)
    )
    tau = setting("prior", "healing_days") * jnp.exp(
        setting("prior", "healing_log_sd") * numpyro.sample("tau", unit)
    )
    healed = -setting("prior", "usual_gap") + setting("prior", "usual_gap_sd") * numpyro.sample("gap", unit)
    plateau = setting("prior", "plateau_gain") + setting("prior", "plateau_sd") * numpyro.sample(
        "plateau", unit
    )
    luck = setting("day", "deviation") * numpyro.sample("luck", unit)
    told = _interval(*_bounds(first), CEILING - slope * healed, [1.0], [setting("prior", "provoking_noise")])
    day = 0
    for n, each in enumerate(sets):
        if each.day > day:
            healed, plateau, luck, more = _later(n, each.day - day, tau, healed, plateau, luck)
            told, day = told + more, each.day
        over = jnp.log(each.share) - healed - luck
        told += _interval(
            *_bounds(each.pain),
            CEILING + slope * over,
            setting("noise", "share"),
            setting("noise", "deviation"),
        )
        if each.pain > CEILING:
            fall = setting("aggravation", "rate") * (each.pain - CEILING)
            luck = luck - fall * (1.0 + setting("aggravation", "doubt") * numpyro.sample(f"fall{n}", unit))
        if each.morning is not None:
            wall = [-jnp.inf, *setting("morning", "cuts"), jnp.inf]
            # the morning is put down to the tolerance that the sets have left
            woke = setting("morning", "slope") * (jnp.log(each.share) - healed - luck)
            told += _interval(
                wall[each.morning], wall[each.morning + 1], woke, [1.0], [setting("morning", "deviation")]
            )
    numpyro.factor("told", told)
    numpyro.deterministic("tolerance", healed + luck)
    numpyro.deterministic("steepness", slope)


def _later(n: int, days: int, tau, healed, plateau, luck):
    """Healing, wander and the day's luck; the luck's jump is a mixture, summed out: its log density is the last value."""
    unit = Normal(0.0, 1.0)
    closed, root = -jnp.expm1(-days / tau), days**0.5
    healed = (
        healed
        + closed * (plateau - healed)
        + setting("healing", "wander") * root * numpyro.sample(f"w{n}", unit)
    )
    plateau = plateau + setting("healing", "plateau_wander") * root * numpyro.sample(f"p{n}", unit)
    fade = float(np.exp(-days / setting("day", "memory")))
    spread = setting("day", "deviation") * (1.0 - fade**2) ** 0.5
    stray = numpyro.sample(
        f"a{n}", unit
    )  # in units of `spread`; its Normal density is exchanged for the mixture's
    chance = float(-np.expm1(-days / setting("flare", "spacing")))
    wide = (1.0 + (setting("flare", "size_sd") / spread) ** 2) ** 0.5
    flare = Normal(-setting("flare", "size") / spread, wide)
    mixed = logsumexp(
        jnp.stack([jnp.log1p(-chance) + unit.log_prob(stray), jnp.log(chance) + flare.log_prob(stray)])
    )
    return healed, plateau, fade * luck + spread * stray, mixed - unit.log_prob(stray)


def sampled(
    name: str, *, chains: int, warm_up: int, draws: int, seed: int = 1
) -> tuple[Reading, float, float]:
    """The history by NUTS: the reading, and of the log tolerance the largest R-hat and the effective number of draws."""
    with jax.enable_x64():
        run = MCMC(
            NUTS(_model, init_strategy=init_to_median, max_tree_depth=6),
            num_warmup=warm_up,
            num_samples=draws,
            num_chains=chains,
            chain_method="vectorized",
            progress_bar=False,
        )
        run.run(jax.random.PRNGKey(seed), *HISTORIES[name])
        grouped = run.get_samples(group_by_chain=True)
        found = numpyro.diagnostics.summary({"tolerance": grouped["tolerance"]})["tolerance"]
        tolerance, slope = (np.asarray(grouped[key]).ravel() for key in ("tolerance", "steepness"))
    return _read(tolerance, slope), float(found["r_hat"]), float(found["n_eff"])


def _read(tolerance: np.ndarray, slope: np.ndarray) -> Reading:
    blur = belief.report_noise()
    edge = CEILING + 0.5 - (CEILING + slope * (np.log(AT)[:, None] - tolerance))
    bearable = sum(p * np.asarray(ndtr(edge / d)) for p, d in zip(blur.share, blur.deviation, strict=True))
    return Reading(float(tolerance.mean()), float(tolerance.std()), tuple(bearable.mean(axis=1).tolist()))


def main(names: list[str]) -> None:
    """Sample the histories named (all without names) and keep what is stored of the others."""
    stored = tomllib.loads(STORED.read_text()) if STORED.exists() else {}
    for name in names or HISTORIES:
        draws = 3000 if len(HISTORIES[name][1]) <= 3 else 1500
        long, rhat, effective = sampled(name, chains=2, warm_up=500, draws=draws)
        quick = fast(name)
        print(
            f"{name}: mean {(quick.mean - long.mean) / long.deviation:+.3f} sd, sd x {quick.deviation / long.deviation:.3f}, "
            f"P {np.abs(np.subtract(quick.bearable, long.bearable)).max():.4f}, R-hat {rhat:.4f}, {effective:.0f} draws",
            flush=True,
        )
        stored[name] = {
            "mean": long.mean,
            "deviation": long.deviation,
            "bearable": list(long.bearable),
            "r_hat": rhat,
            "effective_draws": effective,
        }
        STORED.write_text(HEAD + "".join(_section(key, stored[key]) for key in HISTORIES if key in stored))


def _section(name: str, row: dict) -> str:
    bearable = ", ".join(f"{p:.5f}" for p in row["bearable"])
    numbers = "".join(
        f"{key} = {row[key]:.5f}\n" for key in ("mean", "deviation", "r_hat", "effective_draws")
    )
    return f'\n["{name}"]\nbearable = [{bearable}]\n{numbers}'


if __name__ == "__main__":
    main(sys.argv[1:])
