"""Keeping words and signs from standing on one another."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field

from floorward.reports.drawings.svg import text_width_px


@dataclass(frozen=True, slots=True)
class Box:
    """A rectangle that is taken."""

    left: float
    top: float
    right: float
    bottom: float

    def meets(self, other: "Box") -> bool:
        """Whether the two overlap."""
        return (
            self.left < other.right
            and other.left < self.right
            and self.top < other.bottom
            and other.top < self.bottom
        )


@dataclass(slots=True)
class Room:
    """What is taken so far in one drawing; only remembers."""

    taken: list[Box] = field(default_factory=list)

    def free(self, box: Box) -> bool:
        """Whether nothing stands there yet."""
        return not any(box.meets(other) for other in self.taken)

    def take(self, box: Box) -> bool:
        """Take the place if it is free; whether it was."""
        if not self.free(box):
            return False
        self.taken.append(box)
        return True

    def first_free(self, boxes: Iterable[Box]) -> Box | None:
        """The first of `boxes` that is free, then taken; None when none is."""
        return next((box for box in boxes if self.take(box)), None)


def round_box(x: float, y: float, radius: float) -> Box:
    """The place of a disc or a square."""
    return Box(x - radius, y - radius, x + radius, y + radius)


def words_box(
    text: str, x: float, y: float, size_px: float, anchor: str = "middle", *, bold: bool = False
) -> Box:
    """The place of words with their baseline at (x, y)."""
    width = text_width_px(text, size_px, bold=bold)
    left = {"middle": x - width / 2, "end": x - width}.get(anchor, x)
    return Box(left - 2, y - 0.8 * size_px, left + width + 2, y + 0.3 * size_px)


def rows(top: float, bottom: float, step: float) -> Iterator[float]:
    """Baselines to try, from the top down."""
    y = top
    while y <= bottom:
        yield y
        y += step
