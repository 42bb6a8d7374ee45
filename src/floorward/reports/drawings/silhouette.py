"""A body's outline around its joints: closed curves in each link's own frame, true to the link's length."""

from collections.abc import Mapping, Sequence
from math import acos, atan2, cos, degrees, hypot, pi, radians, sin

from floorward import tables
from floorward.reports.drawings.svg import element, number, path

Point = tuple[float, float]

_STRAIGHT_ENOUGH = 0.94


def outline(joints: Mapping[str, Point], px_per_m: float) -> str:
    """Neck, head, foot, shank, trunk, thigh and arm as one group's content, back to front.

    Args:
        joints: where `ankle, knee, hip, shoulder, hand` are, in drawing pixels (y down); `elbow` and `head` if known.
        px_per_m: scale of feet, arms and head, which have no link of their own here.
    """
    trunk_m = _length(joints["hip"], joints["shoulder"]) / px_per_m
    return "".join(
        (
            *_head(joints, trunk_m / _reference("trunk") * px_per_m),
            _foot(
                joints["ankle"],
                joints.get("floor", (0.0, joints["ankle"][1] + 0.073 * px_per_m))[1],
                px_per_m,
            ),
            _limb("shank", joints["knee"], joints["ankle"], side=1),
            _limb("trunk", joints["hip"], joints["shoulder"], side=-1),
            _limb("thigh", joints["hip"], joints["knee"], side=1),
            *_arm(joints, trunk_m / _reference("trunk") * px_per_m),
        )
    )


def elbow_of(shoulder: Point, hand: Point, arm: float) -> Point:
    """Where the elbow is for a straight arm of this length: on the line, or bent down and back when the hand is near."""
    reach = _length(shoulder, hand)
    half = arm / 2
    middle = ((shoulder[0] + hand[0]) / 2, (shoulder[1] + hand[1]) / 2)
    if reach >= arm * _STRAIGHT_ENOUGH or not reach:
        return middle
    out = (half**2 - (reach / 2) ** 2) ** 0.5
    across = ((hand[1] - shoulder[1]) / reach, -(hand[0] - shoulder[0]) / reach)
    below = 1 if across[1] >= 0 else -1
    return middle[0] + below * out * across[0], middle[1] + below * out * across[1]


def smooth(points: Sequence[Point]) -> str:
    """Path data of a closed curve through all points (Catmull-Rom, as cubic curves)."""
    count = len(points)
    parts = [f"M{_at(points[0])}"]
    for i in range(count):
        before, start, end, after = (points[(i + k) % count] for k in (-1, 0, 1, 2))
        first = (start[0] + (end[0] - before[0]) / 6, start[1] + (end[1] - before[1]) / 6)
        second = (end[0] - (after[0] - start[0]) / 6, end[1] - (after[1] - start[1]) / 6)
        parts.append(f"C{_at(first)} {_at(second)} {_at(end)}")
    return "".join(parts) + "Z"


def capsule(start: Point, end: Point, start_r: float, end_r: float) -> str:
    """Path data of two round ends and their common tangents."""
    distance = max(_length(start, end), abs(start_r - end_r) + 1e-6)
    heading = atan2(end[1] - start[1], end[0] - start[0])
    spread = acos((start_r - end_r) / distance)
    corners = [
        (centre[0] + r * cos(heading + turn), centre[1] + r * sin(heading + turn))
        for centre, r, turn in (
            (start, start_r, spread),
            (end, end_r, spread),
            (end, end_r, -spread),
            (start, start_r, -spread),
        )
    ]
    a, b, c, d = (_at(corner) for corner in corners)
    wide_end, wide_start = int(spread > pi / 2), int(spread < pi / 2)
    return (
        f"M{a}L{b}A{number(end_r)} {number(end_r)} 0 {wide_end} 0 {c}"
        f"L{d}A{number(start_r)} {number(start_r)} 0 {wide_start} 0 {a}Z"
    )


def _limb(name: str, start: Point, end: Point, *, side: int) -> str:
    """One link's silhouette; `side` says to which side its positive offsets lie (the trunk's to the back)."""
    scale = _length(start, end) / _reference(name)
    along = (
        (end[0] - start[0]) / (scale * _reference(name)),
        (end[1] - start[1]) / (scale * _reference(name)),
    )
    off = (-along[1] * side, along[0] * side)
    points = [
        (start[0] + scale * (a * along[0] + o * off[0]), start[1] + scale * (a * along[1] + o * off[1]))
        for a, o in tables.value("silhouettes", name)
    ]
    return path(smooth(points), "f-body")


def _foot(ankle: Point, floor: float, px_per_m: float) -> str:
    points = [(ankle[0] + x * px_per_m, floor - y * px_per_m) for x, y in tables.value("silhouettes", "foot")]
    return path(smooth(points), "f-body")


def _head(joints: Mapping[str, Point], scale: float) -> tuple[str, str]:
    """Neck and head, for a scale in pixels a metre that follows the trunk."""
    hip, shoulder = joints["hip"], joints["shoulder"]
    trunk_deg = degrees(atan2(hip[1] - shoulder[1], shoulder[0] - hip[0]))
    place_deg, axis_deg = (
        min(trunk_deg + turn, max(trunk_deg, 90.0)) for turn in tables.value("silhouettes", "head_turn")
    )
    far = _reference("head_from_shoulder") * scale
    x, y = joints.get(
        "head", (shoulder[0] + far * cos(radians(place_deg)), shoulder[1] - far * sin(radians(place_deg)))
    )
    long, across = (half * scale for half in tables.value("silhouettes", "head"))
    at_trunk, at_head = (r * scale for r in tables.value("silhouettes", "neck"))
    head = element(
        "ellipse",
        class_="f-body",
        cx=x,
        cy=y,
        rx=long,
        ry=across,
        transform=f"rotate({-axis_deg:.1f} {x:.1f} {y:.1f})",
    )
    return path(capsule(shoulder, (x, y), at_trunk, at_head), "f-body"), head


def _arm(joints: Mapping[str, Point], scale: float) -> tuple[str, str]:
    shoulder, hand = joints["shoulder"], joints["hand"]
    elbow = joints.get("elbow", elbow_of(shoulder, hand, _reference("arm") * scale))
    top, middle, wrist, _ = (r * scale for r in tables.value("silhouettes", "arm"))
    return path(capsule(elbow, hand, middle, wrist), "f-body"), path(
        capsule(shoulder, elbow, top, middle), "f-body"
    )


def _reference(name: str) -> float:
    return float(tables.value("silhouettes", "lengths", name))


def _length(a: Point, b: Point) -> float:
    return hypot(b[0] - a[0], b[1] - a[1])


def _at(point: Point) -> str:
    return f"{number(point[0])} {number(point[1])}"
