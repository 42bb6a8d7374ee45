"""Days across, the floor below, and something that is worst high up: what the pain chart and the course share."""

from dataclasses import dataclass

from floorward.reports.drawings.staff import floor
from floorward.reports.drawings.svg import path, words

_STEPS = (7, 14, 28, 56, 84, 182, 364)


@dataclass(frozen=True, slots=True, kw_only=True)
class DayScale:
    """Days to pixels: `first` at `left`, `last` at `right`; the floor line at `floor_y`."""

    first: int
    last: int
    left: float
    right: float
    floor_y: float

    def x(self, day: float) -> float:
        """Across: the day, kept on the paper."""
        part = (day - self.first) / max(self.last - self.first, 1)
        return self.left + (self.right - self.left) * min(max(part, 0.0), 1.0)

    @property
    def day_px(self) -> float:
        """How wide one day is."""
        return (self.right - self.left) / max(self.last - self.first, 1)


def day_floor(scale: DayScale, width: float, weeks_word: str) -> str:
    """The floor with a mark each week, or as many weeks as leave room, and their numbers below it."""
    step = next((days for days in _STEPS if days * scale.day_px >= 30), _STEPS[-1])
    drawn = [floor(0, scale.floor_y, width)]
    for day in range(-(-scale.first // step) * step, scale.last + 1, step):
        x, text = scale.x(day), f"{weeks_word} {day // 7}" if day == 0 else str(day // 7)
        drawn += [
            path(f"M{x:.1f} {scale.floor_y + 4:.1f}v7", "l-dim"),
            words(text, x, scale.floor_y + 29, class_="t2 t-12", anchor="middle"),
        ]
    return "".join(drawn)


def today_line(scale: DayScale, day: int, top: float) -> str:
    """An upright line at today."""
    x = scale.x(day)
    return path(f"M{x:.1f} {top:.1f}V{scale.floor_y:.1f}", "l-draw w-2")
