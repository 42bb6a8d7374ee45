"""The tolerance model on a crowd of virtual lifters: finding a load, stepping, another variation, forecasting, and its own calibration.

The crowd is built differently from the model (`virtual_lifter`); even so every figure is about inventions, none about people.
`python -m bench.tolerance 300` looks at fewer lifters.
"""

from __future__ import annotations

import sys
import time
import tomllib
from collections.abc import Callable
from concurrent.futures import ProcessPoolExecutor
from copy import deepcopy
from dataclasses import replace

import numpy as np

from bench import own_draws
from bench.finding import Log, Result, ladder, search_log, taken
from bench.stepping import GAPS, GRID, Course, Player, begun, first_on_another, trained
from bench.virtual_lifter import CEILING, PLAIN, Habits, lifters
from floorward.core import belief, finder, forecast
from floorward.core.finder import LoadSearch, Manner, Tried
from floorward.core.forecast import Outset
from floorward.core.protocol import Profile
from floorward.core.tolerance import Priors, Report, tolerance_of

LIFTERS = 5000
AT_ONCE = 100  # few enough that a crowd's beliefs stay in the cache
SEED = 11
SEASON, HORIZON, WEEK_4 = 84, 182, 28
FORECASTS = 5  # every fifth lifter is forecast

Rows = list[tuple[str, object, str, str]]
Found = dict[str, np.ndarray]


def figures(count: int = LIFTERS) -> Rows:
    """Every row, with what it is held against."""
    firsts = range(0, count, AT_ONCE)
    with ProcessPoolExecutor() as pool:
        parts = list(pool.map(_part, firsts, [min(AT_ONCE, count - first) for first in firsts]))
    found = {key: np.concatenate([part[key] for part in parts]) for key in parts[0]}
    return [*_finding(found), *_calibration(found), *_training(found), *_forecasts(found), *_speed()]


def _part(first: int, count: int) -> Found:
    """Everything that is asked of lifters `first` to `first + count - 1`, per lifter."""

    def crowd(habits: Habits = PLAIN):
        return lifters(SEED, first, count, habits)

    found: Found = {}
    _keep(found, "up", ladder(crowd(), upward=True, step_kg=10)[0])
    _keep(found, "down", ladder(crowd(), upward=False, step_kg=20)[0])
    calm = replace(PLAIN, aggravates=False)
    _keep(found, "calm down", ladder(crowd(calm), upward=False, step_kg=20)[0])
    _keep(found, "calm usual", search_log(crowd(calm), Manner.USUAL)[0])
    _keep(found, "precise", search_log(crowd(), Manner.PRECISE)[0])
    searched = crowd()
    usual, log = search_log(searched, Manner.USUAL)
    _keep(found, "usual", usual)
    fresh = deepcopy(searched)
    found["first good"], found["first load"], found["same load"] = first_on_another(
        searched, log, _accepted(log)
    )
    for name, profile, model in (
        ("steady", Profile.STEADY, True),
        ("assertive", Profile.ASSERTIVE, True),
        ("fixed", Profile.STEADY, False),
    ):
        player = begun(deepcopy(fresh), log, usual.answer)
        _season(found, name, player, profile, model=model)
    return found


def _keep(found: Found, name: str, result: Result) -> None:
    for key in ("sets", "bad", "answer", "truth"):
        found[f"{name} {key}"] = getattr(result, key)


def _accepted(log: Log) -> np.ndarray:
    """Heaviest acceptable set of the search, 0 where there was none."""
    return np.max(
        [np.where(pain <= CEILING, load, 0.0) for load, pain in zip(log.load, log.pain, strict=True)], axis=0
    )


def _season(found: Found, name: str, player: Player, profile: Profile, *, model: bool) -> None:
    usual = player.crowd.usual_kg
    month = trained(player, profile, weeks=WEEK_4 // 7, model=model)
    if name == "steady":
        found |= {"week 4 " + key: value for key, value in _week_4(player, month).items()}
    rest = trained(
        player,
        profile,
        weeks=(HORIZON if name == "steady" else SEASON) // 7,
        model=model,
        start=len(month.days),
    )
    whole = Course(month.days + rest.days, month.loads + rest.loads, month.pains + rest.pains)
    found[f"{name} reached"] = np.isfinite(whole.reached(usual, SEASON))
    found[f"{name} season bad"] = whole.bad(SEASON)
    found[f"{name} work"] = whole.work_kg(SEASON)
    if name == "steady":
        found["steady back"] = whole.reached(usual, HORIZON)
        found["covered"] = np.array(month.covered + rest.covered)[:20].T


def _week_4(player: Player, month: Course) -> Found:
    """Forecast draws of some lifters, and the day to which a line through the logs of their loads leads."""
    count, draws = len(player.crowd.usual_kg), int(belief.setting("forecast", "draws"))
    days, trend = np.full((count, draws), np.nan), np.full(count, np.nan)
    reached = month.reached(player.crowd.usual_kg, WEEK_4)
    for i in np.flatnonzero(np.isinf(reached)):
        if i % FORECASTS:
            continue
        usual = float(player.crowd.usual_kg[i])
        loads = GRID[usual >= GRID]
        one = taken(player.state, np.array([i]))
        state = replace(
            one,
            mixture=replace(
                one.mixture,
                log_weight=one.mixture.log_weight[0],
                mean=one.mixture.mean[0],
                covariance=one.mixture.covariance[0],
            ),
            aggravated=one.aggravated[0],
        )
        outset = Outset(
            state=state,
            loads=loads,
            demands=player.crowd.base_nm[i] + player.crowd.arm_nm_per_kg[i] * loads,
            usual=usual,
            standing=player.now.taken(np.array([i])),
            today=player.day,
            next_day=player.day + GAPS[len(month.days) % 2],
        )
        days[i] = forecast.reached_days(outset, int(i))
        trend[i] = _trend(month, i, usual)
    return {"days": days, "trend": trend}


def _trend(month: Course, i: int, usual: float) -> float:
    """Day on which a straight line through the logs of the loads done meets 90 % of the usual load."""
    rise, start = np.polyfit(month.days, np.log([load[i] for load in month.loads]), 1)
    goal = np.log(belief.setting("forecast", "share_of_usual") * usual)
    return float(np.clip((goal - start) / rise, WEEK_4, HORIZON)) if rise > 1e-6 else float(HORIZON)


# -- rows ----------------------------------------------------------------------------------------------------


def _result(found: Found, name: str) -> Result:
    return Result(*(found[f"{name} {key}"] for key in ("sets", "bad", "answer", "truth")))


def _finding(found: Found) -> Rows:
    usual, precise, up, down, calm, calm_down = (
        _result(found, name) for name in ("usual", "precise", "up", "down", "calm usual", "calm down")
    )
    each = f"{len(usual.sets):,} virtual lifters"
    return [
        (
            "search: sets",
            _over(usual.sets, up.sets),
            "ratio",
            f"up from the bar by 10 kg = 1; aim <= 0.65; {each}",
        ),
        ("search: unacceptable sets", _over(usual.bad, up.bad), "ratio", "up by 10 kg = 1; aim <= 0.50"),
        ("search: within 10 %", usual.within(0.1) / up.within(0.1), "ratio", "up by 10 kg = 1; aim >= 1.30"),
        ("search: over by more than 10 %", usual.over() / up.over(), "ratio", "up by 10 kg = 1; aim <= 0.50"),
        (
            "search: sets",
            _over(usual.sets, down.sets),
            "ratio",
            "down from the usual load by 20 kg = 1; aim <= 0.80",
        ),
        ("search: unacceptable sets", _over(usual.bad, down.bad), "ratio", "down by 20 kg = 1; aim <= 0.12"),
        (
            "search: within 10 %",
            usual.within(0.1) / down.within(0.1),
            "ratio",
            "down by 20 kg = 1; aim >= 3.5",
        ),
        (
            "search: within 10 %, sets leave no trace",
            calm.within(0.1) / calm_down.within(0.1),
            "ratio",
            "down by 20 kg = 1; aim >= 1.5",
        ),
        (
            "precise search: within 10 %",
            precise.within(0.1) / up.within(0.1),
            "ratio",
            "up by 10 kg = 1; aim >= 1.40",
        ),
        ("precise search: sets", _over(precise.sets, up.sets), "ratio", "up by 10 kg = 1; aim <= 0.90"),
        (
            "precise search: unacceptable sets",
            _over(precise.bad, up.bad),
            "ratio",
            "up by 10 kg = 1; aim <= 0.60",
        ),
        ("search: lifters with two or more unacceptable sets", usual.twice_bad(), "share", "aim <= 0.06"),
    ]


def _over(ours: np.ndarray, theirs: np.ndarray) -> float:
    return float(ours.mean() / theirs.mean())


def _calibration(found: Found) -> Rows:
    own = float(own_draws.inside(seed=SEED, count=400)[1].mean())
    return [
        ("tolerance: truth within the 90 % interval, own draws", own, "share", "aim 0.88 to 0.92"),
        (
            "tolerance: truth within the 90 % interval",
            float(found["covered"].mean()),
            "share",
            "1 to 20 sessions after a search; aim 0.88 to 0.96",
        ),
        *_against_nuts(),
    ]


def _against_nuts() -> Rows:
    """The worst of the histories that were sampled at length; `python -m bench.nuts` samples them anew."""
    from bench import nuts

    stored = tomllib.loads(nuts.STORED.read_text())
    pairs = [(nuts.fast(name), long) for name, long in stored.items()]
    off = max(abs(quick.mean - long["mean"]) / long["deviation"] for quick, long in pairs)
    wide = [quick.deviation / long["deviation"] for quick, long in pairs]
    chance = max(float(np.abs(np.subtract(quick.bearable, long["bearable"])).max()) for quick, long in pairs)
    return [
        ("tolerance against NUTS: mean", off, "sd", f"worst of {len(pairs)} stored histories; aim <= 0.1"),
        (
            "tolerance against NUTS: deviation",
            max(wide, key=lambda ratio: abs(np.log(ratio))),
            "ratio",
            "the furthest from 1; aim 0.9 to 1.1",
        ),
        ("tolerance against NUTS: chance of a bearable set", chance, "off", "the worst; aim <= 0.01"),
    ]


def _training(found: Found) -> Rows:
    good, load, same = found["first good"], found["first load"], found["same load"]
    given = np.isfinite(good)
    rows: Rows = [
        ("another variation: first set acceptable", float(good[given].mean()), "share", "aim >= 0.87"),
        (
            "another variation: load",
            _over(load[given], same[given]),
            "ratio",
            "the same kilograms = 1; aim >= 1.12",
        ),
    ]
    for name, aims in (
        ("steady", (">= 2.0", "<= 0.90", ">= 1.05")),
        ("assertive", (">= 2.5", "<= 1.05", ">= 1.12")),
    ):
        keys = ("reached", "season bad", "work")
        whats = ("back at 90 % of the usual load", "unacceptable sets", "work")
        for key, what, aim in zip(keys, whats, aims, strict=True):
            ratio = _over(found[f"{name} {key}"], found[f"fixed {key}"])
            rows.append(
                (f"{name}, 12 weeks: {what}", ratio, "ratio", f"the rules alone, 5 % a step = 1; aim {aim}")
            )
    return rows


def _forecasts(found: Found) -> Rows:
    asked = np.isfinite(found["week 4 trend"])
    draws, truth = found["week 4 days"][asked], found["steady back"][asked]
    waited = found["steady back"][found["steady back"] > WEEK_4]
    ours = _crps(draws, truth)
    people = _crps(
        np.broadcast_to(np.quantile(_capped(waited), np.linspace(0.002, 0.998, 250)), (len(truth), 250)),
        truth,
    )
    line = np.abs(found["week 4 trend"][asked] - _capped(truth))
    rank = _rank(draws, truth)
    half, most = (float((np.abs(rank - 0.5) <= share / 2).mean()) for share in (0.5, 0.8))
    note = f"{len(truth):,} lifters who are not back at week 4"
    return [
        (
            "forecast: CRPS",
            float(ours.mean() / line.mean()),
            "ratio",
            f"a line through log loads = 1; aim <= 0.55; {note}",
        ),
        ("forecast: CRPS", float(ours.mean() / people.mean()), "ratio", "all lifters' days = 1; aim <= 0.72"),
        ("forecast: truth within the central 50 %", half, "share", "aim 0.45 to 0.65"),
        ("forecast: truth within the central 80 %", most, "share", "aim 0.75 to 0.92"),
    ]


def _capped(days: np.ndarray) -> np.ndarray:
    return np.minimum(days, HORIZON)


def _crps(draws: np.ndarray, truth: np.ndarray) -> np.ndarray:
    """Continuous ranked probability score [days] of each row of draws, days past the horizon counted as the horizon."""
    drawn = np.sort(_capped(draws), axis=1)
    count = drawn.shape[1]
    apart = (drawn * (2 * np.arange(count) - count + 1)).sum(axis=1) / count**2
    return np.abs(drawn - _capped(truth)[:, None]).mean(axis=1) - apart


def _rank(draws: np.ndarray, truth: np.ndarray) -> np.ndarray:
    """Where the truth stands among the draws, 0 to 1; ties are split at random."""
    under = (draws < truth[:, None]).mean(axis=1)
    tied = (draws == truth[:, None]).mean(axis=1)
    return under + tied * np.random.default_rng(SEED).random(len(truth))


# -- speed ---------------------------------------------------------------------------------------------------


def _speed() -> Rows:
    state = belief.advanced(belief.start(0.0, ceiling=CEILING), 0)
    way = belief.direction(state)
    loads = tuple(float(load) for load in GRID[:48])
    asked = tuple(119 + 3.8 * load for load in loads)
    search = LoadSearch(
        loads_kg=loads,
        demands=asked,
        usual_kg=140,
        usual_demand=651,
        provoking_demand=651,
        provoking_pain=7,
        tried=(
            Tried(load_kg=60, demand=347, pain=1, acceptable=True),
            Tried(load_kg=80, demand=423, pain=3, acceptable=True),
        ),
    )
    year = tuple(
        Report(day=7 * n // 2, demand=400 + n, pain=2 if n % 5 else 4, morning_change=n % 2)
        for n in range(104)
    )
    priors = Priors(usual_demand=651, provoking_demand=651, provoking_pain=7)
    return [
        ("one report, 135 nodes", _ms(lambda: belief.observed(state, -0.5, 2, way=way)), "ms", "aim <= 1"),
        (
            "choosing the next set",
            _ms(lambda: finder.next_test(search)),
            "ms",
            "48 loads, after two sets; aim <= 20",
        ),
        (
            "a year's history read",
            _ms(lambda: tolerance_of(year, priors, 364)),
            "ms",
            "104 reports; aim <= 200",
        ),
    ]


def _ms(do: Callable[[], object]) -> float:
    """The least of some runs, in time of the processor: what else the machine does is not counted."""
    took = []
    for _ in range(9):
        start = time.process_time()
        do()
        took.append(time.process_time() - start)
    return 1e3 * min(took)


if __name__ == "__main__":
    for row in figures(int(sys.argv[1])):
        print(" | ".join(f"{part:.3f}" if isinstance(part, float) else str(part) for part in row), flush=True)
