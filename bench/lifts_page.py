"""The catalogue as a page: `python -m bench.lifts_page` rewrites docs/reference/lifts.md from tables/lifts.toml."""

from pathlib import Path

from floorward.core.lifts import Fixes, catalogue

PAGE = Path(__file__).parents[1] / "docs" / "reference" / "lifts.md"
HEAD = """# Lifts

Written by `python -m bench.lifts_page` from `tables/lifts.toml`; a test keeps it current.

To add a lift, copy its nearest neighbour in the table; no code is needed.
*Usual place* is what a request that says nothing gets: height of the hands for a pull, thigh at the bottom of a squat (0 level), the trunk of a
good morning, the box of a box squat.
*Pain only* lifts are not modelled; see [demand](../science/demand.md).
Learning: 1 right on the first day, 2 within weeks, 3 takes months.

| key | lift | family | model | usual place | learning | leads back to |
|---|---|---|---|---|---|---|
"""
WORDS = {"links": "links", "front-leg": "front leg", "trunk": "trunk", "none": "pain only"}


def place(lift):
    numbers = lift.numbers
    if not lift.modelled:
        return "–"
    if lift.fixes == Fixes.HEIGHT:
        return f"hands {numbers['height_mm'] / 10:g} cm"
    if lift.fixes == Fixes.THIGH:
        return f"thigh {numbers['depth_deg']:g}°"
    return (
        f"trunk {numbers['trunk_deg']:g}°"
        if lift.fixes == Fixes.TRUNK
        else f"box {numbers['box_mm'] / 10:g} cm"
    )


def page():
    """The whole page as text."""
    rows = (
        f"| `{lift.key}` | {lift.name} | {lift.family} | {WORDS[lift.model]} | {place(lift)} | {lift.learning}"
        f" | {lift.leads_back_to or '–'} |\n"
        for lift in catalogue().values()
    )
    return HEAD + "".join(rows)


if __name__ == "__main__":
    PAGE.write_text(page(), encoding="utf-8")
