"""Net moments against two rigid-body engines, MuJoCo and Pinocchio, on random chains and on solved postures.

The engines get links, masses and angles and work out positions and torques by themselves. Angles go to them as turns from
the horizontal: shank up, thigh back and up, trunk forward and up, arm from straight down.
"""

from dataclasses import replace

import mujoco
import numpy as np
import pinocchio
import pytest

from floorward.core.body import Body, bodies_like
from floorward.core.lifts import catalogue
from floorward.core.posture import easiest
from floorward.core.records import Person, Sex
from floorward.core.statics import GRAVITY, Angles, Holding, levers_of, moments_of
from floorward.core.tasks import Place, task_of

COUNT = 24
TOLERANCE_NM = 1e-9
BODIES = bodies_like(Person(stature_m=1.76, mass_kg=88, sex=Sex.MALE), COUNT)
LOADS = np.linspace(10, 380, COUNT)
JOINTS = ("ankle", "knee", "hip", "l5s1", "shoulder")


def random_angles():
    rng = np.random.default_rng(11)
    low, high = np.radians([50, -30, 0, -35])[:, None], np.radians([105, 85, 89, 35])[:, None]
    shank, thigh, trunk, arm = rng.uniform(low, high, (4, COUNT))
    return Angles(shank=shank, thigh=thigh, trunk=trunk, arm=arm)


def segments(body: Body, row: int, load_kg: float, arm_m: float):
    """From the ankle up: length, [(mass, distance along the link)]. The last link is the straight arm with the load."""

    def of(name):
        return float(getattr(body, name)[row])

    above = of("lumbar_m")
    return [
        (of("shank_m"), [(of("shank_kg"), of("shank_centre_m"))]),
        (of("thigh_m"), [(of("thigh_kg"), of("thigh_centre_m"))]),
        (above, [(of("pelvis_kg"), of("pelvis_centre_m"))]),
        (
            of("trunk_m") - above,
            [(of("torso_kg"), of("torso_centre_m") - above), (of("head_kg"), of("head_centre_m") - above)],
        ),
        (arm_m, [(of("arms_kg"), of("arms_centre") * arm_m), (load_kg, arm_m)]),
    ]


def turns(angles: Angles, row: int):
    """Each link's direction from the x axis, counterclockwise with y up."""
    return [
        angles.shank[row],
        np.pi - angles.thigh[row],
        angles.trunk[row],
        angles.trunk[row],
        angles.arm[row] - np.pi / 2,
    ]


def mujoco_torques(links, directions):
    """Torque of every joint that holds the chain still; each point mass is a body of its own, fixed to its link."""
    relative = np.diff([0.0, *directions])
    xml = "<mujoco><compiler angle='radian' inertiafromgeom='false'/>"
    xml += f"<option gravity='0 {-GRAVITY} 0'><flag contact='disable'/></option><worldbody>"
    place = 0.0
    for length, masses in links:
        xml += f"<body pos='{place!r} 0 0'><joint type='hinge' axis='0 0 1'/>"
        xml += "<inertial pos='0 0 0' mass='1e-12' diaginertia='1e-12 1e-12 1e-12'/>"
        for mass, along in masses:
            xml += f"<body pos='{along!r} 0 0'><inertial pos='0 0 0' mass='{mass!r}' diaginertia='1e-9 1e-9 1e-9'/></body>"
        place = length
    xml += "</body>" * len(links) + "</worldbody></mujoco>"
    model = mujoco.MjModel.from_xml_string(xml)
    data = mujoco.MjData(model)
    data.qpos[:] = relative
    mujoco.mj_inverse(model, data)
    return data.qfrc_inverse.copy()


def pinocchio_torques(links, directions):
    model = pinocchio.Model()
    model.gravity.linear = np.array([0.0, -GRAVITY, 0.0])
    parent, place = 0, 0.0
    for number, (length, masses) in enumerate(links):
        offset = pinocchio.SE3(np.eye(3), np.array([place, 0.0, 0.0]))
        parent = model.addJoint(parent, pinocchio.JointModelRZ(), offset, f"joint-{number}")
        for mass, along in masses:
            inertia = pinocchio.Inertia(mass, np.array([along, 0.0, 0.0]), np.zeros((3, 3)))
            model.appendBodyToJoint(parent, inertia, pinocchio.SE3.Identity())
        place = length
    data = model.createData()
    return pinocchio.computeGeneralizedGravity(model, data, np.diff([0.0, *directions]))


# Torque about +z that holds the chain, as an extensor moment of the lift: hip, back and ankle push the chain back up
# (counterclockwise for a trunk that leans forward), the knee straightens clockwise.
SIGNS = np.array([1.0, -1.0, 1.0, 1.0, 1.0])


@pytest.mark.parametrize("engine", [mujoco_torques, pinocchio_torques], ids=["mujoco", "pinocchio"])
def test_random_chains_are_held_by_the_same_moments(engine):
    angles = random_angles()
    holding = Holding(arms=True, arm_m=BODIES.arm_m + 0.05)
    ours = moments_of(levers_of(BODIES, holding, LOADS), angles)
    for row in range(COUNT):
        links = segments(BODIES, row, float(LOADS[row]), float(holding.arm_m[row]))
        theirs = SIGNS * engine(links, turns(angles, row))
        mine = [getattr(ours, joint)[row] for joint in JOINTS]
        assert mine == pytest.approx(theirs, abs=TOLERANCE_NM)


@pytest.mark.parametrize("engine", [mujoco_torques, pinocchio_torques], ids=["mujoco", "pinocchio"])
@pytest.mark.parametrize("key", ["deadlift", "trap-bar-low", "romanian-deadlift"])
def test_solved_postures_are_held_by_the_same_moments(engine, key):
    """In the leg's own plane: no turnout, so that the engines' flat chain is the same one."""
    task = task_of(catalogue()[key], BODIES, LOADS, Place(hand_height_m=0.3))
    task = replace(task, turnout_rad=np.zeros(COUNT))
    found = easiest(task)
    for row in np.flatnonzero(np.isfinite(found.effort)):
        links = segments(BODIES, row, float(LOADS[row]), float(task.holding.arm_m[row]))
        theirs = SIGNS * engine(links, turns(found.angles, row))
        mine = [getattr(found.moments, joint)[row] for joint in JOINTS]
        assert mine == pytest.approx(theirs, abs=TOLERANCE_NM)
