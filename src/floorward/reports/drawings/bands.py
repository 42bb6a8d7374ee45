"""Small level drawings beside a number: a band with its doubt, training kept, the rest between sets, one set of a strip."""

from floorward.reports.drawings.svg import Drawing, box, disc, path, picture, words


def band(
    low: float,
    likely: float,
    high: float,
    *,
    inner: tuple[float, float] | None = None,
    scale: tuple[float, float],
    reference: float | None = None,
) -> Drawing:
    """A value with its doubt on a line, 150 × 18 px: hatch is 9 in 10, solid chalk 1 in 2, the ink tick the most likely.

    Args:
        low: the band's lower end; with `high`, 9 in 10.
        likely: the most likely value.
        high: the band's upper end.
        inner: lower and upper end of the half that is most likely, if known.
        scale: values at the left and right end of the line; what lies outside is cut there.
        reference: what to compare with, a dashed line: the pull from the floor.
    """
    first, last = scale

    def x(value: float) -> float:
        return 150.0 * min(max((value - first) / ((last - first) or 1.0), 0.0), 1.0)

    return picture(
        150,
        18,
        "",
        path("M0 9H150", "l-hair"),
        box(x(low), 4, x(high) - x(low), 10, "f-hatch"),
        box(x(inner[0]), 4, x(inner[1]) - x(inner[0]), 10, "f-chalk") if inner else "",
        path(f"M{x(likely):.1f} 0V18", "l-mean w-3"),
        path(f"M{x(reference):.1f} -3V21", "l-dim d-dash") if reference is not None else "",
        class_="band",
    )


def set_sign(state: str, pain: int | None = None) -> Drawing:
    """One set of a session's strip, 32 × 32 px.

    Args:
        state: ok (a disc with its pain), not (an open square with it), now (a thick ring), next (a dashed ring).
        pain: worst in the set, for ok and not.
    """
    number = "" if pain is None else str(pain)
    signs = {
        "ok": disc(16, 16, 12, "set-ok") + words(number, 16, 20.5, class_="on-ink tb", anchor="middle"),
        "not": box(5, 5, 22, 22, "set-no") + words(number, 16, 20.5, class_="tb", anchor="middle"),
        "now": disc(16, 16, 13, "set-now w-4") + disc(16, 16, 4, "f-ink"),
        "next": disc(16, 16, 9, "l-draw d-plate"),
    }
    return picture(32, 32, "", signs[state], class_="set-sign")
