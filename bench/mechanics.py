"""Postures and statics: how many a second, and how that compares with a general optimiser and a rigid-body engine."""

import math
import tracemalloc
from time import process_time

import numpy as np
import pinocchio
from scipy.optimize import minimize
from tests.core.test_statics_engines import segments

from floorward.core.atlas import grid_of
from floorward.core.body import bodies_like, body_of
from floorward.core.demand import demand_at
from floorward.core.effort import STRENGTHS
from floorward.core.lifts import Fixes, catalogue
from floorward.core.posture import easiest
from floorward.core.records import Person, Sex
from floorward.core.statics import GRAVITY, Angles, Holding, levers_of, moments_of
from floorward.core.tasks import Place, task_of
from floorward.tables import value

MAN = Person(stature_m=1.76, mass_kg=85, sex=Sex.MALE)
LOADS = np.linspace(10, 300, 40)
CASES = 8
STARTS = 12
FLOOR_ROUND = value("capacity", "floor_round")


def figures():
    atlas, rate = _atlas()
    return [*atlas, *_against_slsqp(rate), *_against_pinocchio(), _one_demand()]


def places(lift):
    """Every place that a gym might set up: 14 heights of a pull, 14 depths of a squat, 14 boxes."""
    numbers = lift.numbers
    if lift.fixes == Fixes.HEIGHT:
        top = min(numbers["highest_mm"], 640)
        return [Place(hand_height_m=mm / 1000) for mm in np.linspace(numbers["lowest_mm"], top, 14)]
    if lift.fixes == Fixes.BOX:
        return [Place(box_m=mm / 1000) for mm in np.linspace(300, 560, 14)]
    return [Place(depth_deg=float(degrees)) for degrees in np.linspace(-10, 40, 14)]


def _atlas():
    body = body_of(MAN)
    linked = [lift for lift in catalogue().values() if lift.linked]
    start = process_time()
    grids = [grid_of(body, lift, places(lift), LOADS) for lift in linked]
    taken = process_time() - start
    postures = sum(grid.reached.size for grid in grids)
    tracemalloc.start()
    grid_of(body, linked[0], places(linked[0]), LOADS)
    _, most = tracemalloc.get_traced_memory()
    tracemalloc.stop()
    reached = sum(int(grid.reached.sum()) for grid in grids) / postures
    rows = [
        (
            "atlas of one lifter",
            postures,
            "postures",
            f"aim 20,000; {len(linked)} lifts × 14 places × 40 loads",
        ),
        ("– reached", 100 * reached, "%", "the others break a rule, and say which"),
        ("– time", taken, "s", "one core"),
        ("– rate", postures / taken, "postures/s", "one core"),
        ("– memory, one lift", most / 1e6, "MB", "bounded: worked out in blocks"),
    ]
    return rows, postures / taken


def _against_slsqp(atlas_rate):
    """Seconds a posture with as many random starts of SLSQP as miss one case in a thousand, against ours."""
    hits, spent, ours = [], 0.0, 0.0
    for key in ("deadlift", "sumo-deadlift"):
        task = task_of(
            catalogue()[key],
            bodies_like(MAN, CASES),
            np.linspace(30, 260, CASES),
            Place(hand_height_m=np.linspace(0.2, 0.5, CASES)),
        )
        many = task.take(np.tile(np.arange(CASES), 40))
        easiest(many)
        begin = process_time()
        found = easiest(many)
        ours += (process_time() - begin) / (40 * CASES) / 2
        hit, seconds = _hits(task, found.effort[:CASES])
        hits.extend(hit)
        spent += seconds / (2 * CASES * STARTS)
    starts = next(n for n in range(1, 200) if np.mean((1 - np.array(hits)) ** n) <= 1e-3)
    return [
        ("SLSQP, one start in plain floats", 1000 * spent, "ms", f"hits the optimum in {100 * np.mean(hits):.0f} %, {100 * min(hits):.0f} % in the hardest case"),
        ("– random starts to miss 1 in 1,000", starts, "starts", "measured on 16 pulls"),
        ("Floorward, each looked for alone", 1000 * ours, "ms/posture", "misses none of them"),
        ("SLSQP with its starts / Floorward", starts * spent / ours, "×", "no other postures near to start from"),
        ("SLSQP with its starts / Floorward in an atlas", starts * spent * atlas_rate, "×", "aim ≥ 200"),
    ]  # fmt: skip


def _hits(task, efforts):
    """Share of starts that come within 0.1 % of the optimum, by case, and seconds spent in all."""
    rng = np.random.default_rng(1)
    low, high = np.radians([60, -10, -30, 5]), np.radians([100, 80, 10, 80])
    shares, spent = [], 0.0
    for row in range(CASES):
        effort, rules = scalar_problem(task, row)
        hit = 0
        for _ in range(STARTS):
            begin = process_time()
            result = minimize(
                effort,
                rng.uniform(low, high),
                method="SLSQP",
                constraints=rules,
                options={"maxiter": 200, "ftol": 1e-9},
            )
            spent += process_time() - begin
            kept = abs(rules[0]["fun"](result.x)) < 1e-4 and np.min(rules[1]["fun"](result.x)) > -1e-4
            hit += kept and result.fun * effort.scale <= efforts[row] * 1.001
        shares.append(hit / STARTS)
    return shares, spent


class _Effort:
    """Effort of four angles in plain floats, as lean as Python makes it."""

    def __init__(self, task, row):
        levers = levers_of(task.body, task.holding, task.load_kg, task.turnout_rad)
        names = ("hands", "l5s1_level", "hip_level", "thigh", "shank", "foot", "whole_kg", "side")
        self.levers = [float(getattr(levers, name)[row]) for name in names]
        self.scale = (self.levers[6] * GRAVITY * 0.25) ** 2

    def moments(self, q):
        s, h, a, t = q
        hands, l5s1_level, hip_level, thigh, shank, foot, whole, side = self.levers
        arm = hands * math.sin(a)
        hip = hip_level * math.cos(t) + arm
        leg = thigh * math.cos(h)
        ankle = hip + (shank * math.cos(s) - leg) * side
        return hip, leg - hip / side, l5s1_level * math.cos(t) + arm, ankle, arm, (ankle + foot) / whole

    def __call__(self, q):
        s, h, _, t = q
        hip, knee, back, ankle, arm, _ = self.moments(q)
        total = (
            (hip / strength(math.pi - t - h, STRENGTHS.hip)) ** 2 + back**2 + (arm / STRENGTHS.shoulder) ** 2
        )
        curve = STRENGTHS.knee if knee >= 0 else STRENGTHS.knee_flexor
        total += (knee / strength(math.pi - s - h, curve)) ** 2
        curve = STRENGTHS.ankle if ankle >= 0 else STRENGTHS.ankle_flexor
        total += (ankle / strength(math.pi / 2 - s, curve)) ** 2
        return total * GRAVITY**2 / self.scale


def strength(flexion, curve):
    turn = curve.slope * (min(max(flexion, curve.low), curve.high) - curve.peak)
    floor = curve.flexed_floor if turn > 0 else curve.extended_floor
    over = math.cos(turn) - floor
    if over >= FLOOR_ROUND:
        return curve.level * (floor + over)
    share = max((over + FLOOR_ROUND) / (2 * FLOOR_ROUND), 0.0)
    return curve.level * (floor + FLOOR_ROUND * share**2)


def scalar_problem(task, row):
    """The effort and the rules of one pull, in plain floats."""
    effort = _Effort(task, row)
    body = {name: float(getattr(task.body, name)[row]) for name in ("ankle_height_m", "shank_m", "thigh_m", "trunk_m", "mid_foot_m")}  # fmt: skip
    arm, target = float(task.holding.arm_m[row]), float(task.hand_height_m[row])
    side = effort.levers[7]

    def height(q):
        s, h, a, t = q
        up = body["shank_m"] * math.sin(s) + body["thigh_m"] * math.sin(h) + body["trunk_m"] * math.sin(t)
        return body["ankle_height_m"] + up - arm * math.cos(a) - target

    def bounds(q):
        s, h, a, t = q
        off = effort.moments(q)[5] - body["mid_foot_m"] * side
        x = body["trunk_m"] * math.cos(t) + arm * math.sin(a) - body["thigh_m"] * math.cos(h) * side
        y = body["thigh_m"] * math.sin(h) + body["trunk_m"] * math.sin(t) - arm * math.cos(a)
        shin = (math.sin(s) * x - math.cos(s) * side * y) / math.hypot(
            math.sin(s), math.cos(s) * side
        ) - 0.045
        over = (math.sin(h) * x + math.cos(h) * side * y) / math.hypot(
            math.sin(h), math.cos(h) * side
        ) - 0.085
        return np.array([
            0.055 - off, 0.055 + off, max(shin, over), s - 0.908, 1.833 - s, s + h - 0.698, 3.107 - s - h,
            t + h - 0.524, t, 1.658 - t, 0.262 - a, 0.611 + a,
        ])  # fmt: skip

    return effort, [{"type": "eq", "fun": height}, {"type": "ineq", "fun": bounds}]


def _against_pinocchio():
    """Microseconds a posture for the moments of all joints, a batch of ours against one call each of the engine."""
    count = 20_000
    body = body_of(MAN)
    holding = Holding(arms=True, arm_m=body.arm_m + 0.05)
    levers = levers_of(body, holding, np.array([180.0]))
    rng = np.random.default_rng(3)
    shank, thigh, trunk, arm = rng.uniform(0.2, 1.5, (4, count))
    angles = Angles(shank=shank, thigh=thigh, trunk=trunk, arm=arm)
    begin = process_time()
    moments_of(levers, angles)
    ours = (process_time() - begin) / count
    model = pinocchio.Model()
    parent, place = 0, 0.0
    for number, (length, masses) in enumerate(segments(body, 0, 180.0, float(holding.arm_m[0]))):
        offset = pinocchio.SE3(np.eye(3), np.array([place, 0.0, 0.0]))
        parent = model.addJoint(parent, pinocchio.JointModelRZ(), offset, f"joint-{number}")
        for mass, along in masses:
            inertia = pinocchio.Inertia(mass, np.array([along, 0.0, 0.0]), np.zeros((3, 3)))
            model.appendBodyToJoint(parent, inertia, pinocchio.SE3.Identity())
        place = length
    data = model.createData()
    postures = rng.uniform(-1, 1, (count, 5))
    begin = process_time()
    for posture in postures:
        pinocchio.computeGeneralizedGravity(model, data, posture)
    theirs = (process_time() - begin) / count
    return [
        ("statics, a batch of 20,000", 1e6 * ours, "µs/posture", "moments of five joints"),
        (
            "Floorward / Pinocchio",
            ours / theirs,
            "×",
            f"aim ≤ 3; Pinocchio {1e6 * theirs:.2f} µs, one call each",
        ),
    ]


def _one_demand():
    lift = catalogue()["deadlift"]
    begin = process_time()
    for load in range(100, 120):
        demand_at(MAN, lift, Place(hand_height_m=0.225), float(load))
    return (
        "demand of one set-up with bands and way up",
        1000 * (process_time() - begin) / 20,
        "ms",
        "then kept",
    )
