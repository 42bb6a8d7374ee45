"""How much of a rest is gone: a bar that grows along a line with a stroke at every quarter."""

from floorward.reports.drawings.svg import Drawing, box, path, picture

WIDTH, HEIGHT = 358.0, 28.0


def rest_line(elapsed_s: int, rest_s: int) -> Drawing:
    """The line of a rest of `rest_s` seconds, more than 0, of which `elapsed_s` are gone; it is full when the rest is over.

    Hidden from ears, as the words beside it say the same. The page moves bar and edge on by `rest-gone` and `rest-edge`.
    """
    x = WIDTH * min(elapsed_s / rest_s, 1.0)
    strokes = (path(f"M{WIDTH * quarter / 4:g} 6V22", "l-dim") for quarter in range(5))
    parts = (
        path(f"M0 14H{WIDTH:g}", "l-hair"),
        box(0, 8, x, 12, "f-iron rest-gone"),
        *strokes,
        path("M0 3V25", "rest-edge", transform=f"translate({x:.1f} 0)"),
    )
    return picture(WIDTH, HEIGHT, "", *parts, class_="rest")
