"""Ten people in a line, the shortest in front, and where a lifter stands among them: likeliest place and what is left open."""

from collections.abc import Sequence

from floorward.reports.drawings.svg import Drawing, box, path, picture

_WIDE, _HIGH = 150.0, 44.0
_SHORT, _TALL = 12.0, 36.0
_PITCH, _BODY = 15.0, 10.0


def line_of_ten(people: Sequence[float], rank: int, ranks: tuple[int, int]) -> Drawing:
    """The line, 150 × 44 px: each as high as it is long, from the least to the most; hatched where the lifter may stand.

    Args:
        people: what each of the line has, ascending.
        rank: the likeliest place, 1 for the first.
        ranks: the first and the last place that may be.
    """
    least, most = people[0], people[-1]
    floor_y = _HIGH - 4.0

    def body(n: int, value: float) -> str:
        high = _SHORT + (_TALL - _SHORT) * (value - least) / ((most - least) or 1.0)
        left = n * _PITCH + (_PITCH - _BODY) / 2
        if n + 1 == rank:
            return box(left, floor_y - high, _BODY, high, "f-chalk")
        open_place = ranks[0] <= n + 1 <= ranks[1]
        return box(left, floor_y - high, _BODY, high, "f-course") + (
            box(left, floor_y - high, _BODY, high, "f-hatch") if open_place else ""
        )

    return picture(
        _WIDE,
        _HIGH,
        "",
        *(body(n, value) for n, value in enumerate(people)),
        path(f"M0 {floor_y + 2:g}H{_WIDE:g}", "l-floor"),
        class_="line-of-ten",
    )
