"""A QR code as a drawing: black on white whatever the theme, because a camera reads it."""

import segno

from floorward.reports.drawings.svg import Drawing, element, path, picture

_QUIET = 4


def qr_code(address: str, said: str = "") -> Drawing:
    """The QR code of an address, with the quiet border that readers want; it takes the width it is given.

    `said` names for ears what it opens; without it the text beside the code must.
    """
    rows = [bytes(row) for row in segno.make(address, error="m", micro=False).matrix]
    size = len(rows) + 2 * _QUIET
    white = element("rect", fill="#fff", width=size, height=size)
    return picture(
        size,
        size,
        said,
        white,
        path(_modules(rows), "", fill="#000", shape_rendering="crispEdges"),
        class_="qr",
    )


def _modules(rows: list[bytes]) -> str:
    """Path data of all dark modules, one stroke-free rectangle for each run in a row."""
    drawn: list[str] = []
    for y, row in enumerate(rows):
        x = 0
        while x < len(row):
            run = len(row) - x if all(row[x:]) else row.index(0, x) - x
            if run:
                drawn.append(f"M{x + _QUIET} {y + _QUIET}h{run}v1h-{run}z")
            x += max(run, 1)
    return "".join(drawn)
