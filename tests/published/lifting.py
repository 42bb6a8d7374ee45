"""What the model says about the situations that published studies measured; the tests and the validation page share it.

A body is the survey's average man unless a study says otherwise. Loads are what the study used where it is known, else a
load of its lifters' kind.
"""

from functools import cache

import numpy as np

from floorward.core.body import body_of
from floorward.core.demand import demand_at, demand_of
from floorward.core.lifts import catalogue
from floorward.core.posture import easiest
from floorward.core.records import Person, SetUp, Sex
from floorward.core.statics import GRAVITY
from floorward.core.tasks import Given, Place, place_of, task_of

MAN = Person(stature_m=1.756, mass_kg=85.5, sex=Sex.MALE)
WOMAN = Person(stature_m=1.628, mass_kg=67.8, sex=Sex.FEMALE)
LIFTER = Person(stature_m=1.76, mass_kg=95.0, sex=Sex.MALE)


def start(lift, load_kg, person=MAN, **where):
    """The start or bottom of a lift."""
    return demand_of(person, SetUp(lift=lift, **where), load_kg).start


def given(lift, load_kg, person=MAN, *, place=None, **angles):
    """The same with measured angles or a stance."""
    row = catalogue()[lift]
    place = place or place_of(row, SetUp(lift=lift))
    return demand_at(person, row, place, load_kg, Given(**angles), way_up=False).start


def ratio(lift, other, joint, load_kg=180.0, person=LIFTER):
    """Moment of one lift over another's at one load."""
    return start(lift, load_kg, person).moments_nm[joint] / start(other, load_kg, person).moments_nm[joint]


def hex_over_straight(joint):
    """Swinton 2011: trap bar over straight bar, same lifter, same load, from the floor."""
    return ratio("trap-bar-low", "deadlift", joint)


def hip_pull_over_squat():
    """Choe 2021: hip moment, deadlift over squat, each at 85 % of its own maximum (245 and 225 kg here)."""
    return (
        start("deadlift", 208, LIFTER).moments_nm["hip"]
        / start("high-bar-squat", 191, LIFTER).moments_nm["hip"]
    )


def knee_squat_over_pull():
    """Choe 2021: knee moment, squat over deadlift, largest of the lift."""
    squat = demand_of(LIFTER, SetUp(lift="high-bar-squat"), 191).peak_nm["knee"]
    return squat / demand_of(LIFTER, SetUp(lift="deadlift"), 208).peak_nm["knee"]


def knee_of(lift, load_kg=120.0):
    """Lee 2018: the knee moment of a conventional or Romanian pull at one load."""
    return start(lift, load_kg).moments_nm["knee"]


def beside_over_front():
    """Faber 2009: 20 kg in the hands at 29 cm, beside the body over in front of the legs."""
    front = start("deadlift", 20, height_mm=290).moments_nm["l5s1"]
    return start("dumbbell-deadlift", 20, height_mm=290).moments_nm["l5s1"] / front


def sumo_over_conventional():
    """Cholewicki 1991: low-back moment, sumo over conventional, largest of the lift."""
    sumo = demand_of(LIFTER, SetUp(lift="sumo-deadlift"), 220.0).peak_nm["l5s1"]
    return sumo / demand_of(LIFTER, SetUp(lift="deadlift"), 220.0).peak_nm["l5s1"]


def sumo_trunk_more_upright():
    """Escamilla 2000: degrees by which the sumo trunk is more upright at the start."""
    return _angle("sumo-deadlift", "trunk") - _angle("deadlift", "trunk")


def sumo_thigh_more_level():
    """Escamilla 2000: degrees by which the sumo thigh is more level at the start."""
    return _angle("deadlift", "thigh") - _angle("sumo-deadlift", "thigh")


def _angle(lift, name):
    return start(lift, 220.0, LIFTER).angles_deg[name]


def knee_held_back(joint):
    """Fry 2003: a parallel squat with the bar at body weight; the shank at 74° (knees over the toes) over at 60°."""
    held, free = (
        given("high-bar-squat", MAN.mass_kg, knee_deg=shank).moments_nm[joint] for shank in (74.0, 60.0)
    )
    return held / free


def belt_over_back_squat(joint):
    """Layer 2018: thigh at 45°, the same pull on a belt as on the back."""
    load = 150.0
    belt = given("belt-squat", load, place=Place(depth_deg=45.0)).moments_nm[joint]
    return belt / given("high-bar-squat", load, place=Place(depth_deg=45.0)).moments_nm[joint]


def belt_reduction_at_body_weight():
    """Joseph 2020: by what share a belt squat at body weight lowers the low-back moment (they measured muscle activity)."""
    back = start("high-bar-squat", MAN.mass_kg).moments_nm["l5s1"]
    return 1 - start("belt-squat", MAN.mass_kg).moments_nm["l5s1"] / back


@cache
def moments_by_height(load_kg=11.0, heights_m=(0.32, 0.42, 0.52, 0.62, 0.72)):
    """Hoozemans 2008: low-back moments of a light load at rising heights of the handles."""
    return [
        start("dumbbell-deadlift", load_kg, height_mm=round(h * 1000)).moments_nm["l5s1"] for h in heights_m
    ]


@cache
def pull_arms():
    """Beckham 2012: low-back moment [N·m] by 1 N of pull at the four places of their lifters.

    Five centimetres under the lock-out the knees of a pull are near straight; at mid-thigh one stands as one is strongest.
    """
    places = {
        "floor": (0.225, Given()),
        "patella": (0.54, Given()),
        "near lock-out": (0.72, Given(knee_deg=172.0)),
        "mid-thigh": (0.70, Given()),
    }
    row = catalogue()["deadlift"]
    arms = {}
    for name, (height, angles) in places.items():
        heavy, light = (
            demand_at(LIFTER, row, Place(hand_height_m=height), load, angles, way_up=False).start.moments_nm[
                "l5s1"
            ]
            for load in (301.0, 299.0)
        )
        arms[name] = (heavy - light) / (2 * GRAVITY)
    return arms


def moment_by_trunk(angles_deg=(60, 50, 40, 30, 20), load_kg=60.0):
    """Russell 1989: low-back moment of a squat at one load, at rising inclination of the trunk from upright."""
    body = body_of(MAN)
    row = catalogue()["high-bar-squat"]
    task = task_of(
        row,
        body.take(np.zeros(len(angles_deg), int)),
        np.full(len(angles_deg), load_kg),
        Place(depth_deg=35.0),
    )
    joints = easiest(task)
    from floorward.core.posture import described
    from floorward.core.statics import Angles

    angles = Angles(
        shank=joints.angles.shank,
        thigh=joints.angles.thigh,
        trunk=np.radians(angles_deg),
        arm=joints.angles.arm,
    )
    return described(task, angles).moments.l5s1.tolist()


def squats_by_stance(joint):
    """Swinton 2012: traditional, powerlifting and box squat at their stances and one load."""
    load = 150.0
    return [
        given("high-bar-squat", load, LIFTER, stance_mm=483.0).moments_nm[joint],
        given("low-bar-squat", load, LIFTER, stance_mm=896.0).moments_nm[joint],
        given("box-squat", load, LIFTER, stance_mm=921.0).moments_nm[joint],
    ]


def hip_over_l5s1():
    """Cholewicki 1991: hip over low-back moment in a pull."""
    pull = demand_of(LIFTER, SetUp(lift="deadlift"), 250.0).peak_nm
    return pull["hip"] / pull["l5s1"]


def blocks(height_mm):
    """Our own study: low-back moment and bend on blocks against the floor, 180 kg."""
    floor, raised = start("deadlift", 180.0), start("deadlift", 180.0, height_mm=height_mm)
    bend = raised.angles_deg["hip"] - floor.angles_deg["hip"]
    return raised.moments_nm["l5s1"] / floor.moments_nm["l5s1"], bend / (height_mm - 225) * 10.0


def handles(rise_mm):
    """Our own study: low-back moment on raised handles of a trap bar against the low ones, 180 kg."""
    low = start("trap-bar-low", 180.0)
    return start("trap-bar-low", 180.0, height_mm=225 + rise_mm).moments_nm["l5s1"] / low.moments_nm["l5s1"]


MAN_N = MAN.mass_kg * GRAVITY


def half_squat_moment_nm(body_weights):
    """Cappozzo 1985: low-back moment of a half squat (thigh at 30°) with a bar of so many body weights."""
    return given(
        "high-bar-squat", body_weights * MAN.mass_kg, place=Place(depth_deg=30.0), trunk_deg=65.0
    ).moments_nm["l5s1"]
