"""Notes to a clinician for the tests: a usual one, and one with far too much to tell."""

from datetime import date, datetime, timedelta
from decimal import Decimal
from zoneinfo import ZoneInfo

from floorward.core.screen import all_rows
from floorward.reports.hand_off import (
    Act,
    Agreed,
    Answered,
    Evening,
    HandOff,
    Lifted,
    Moment,
    Score,
    Screened,
)

ZONE = ZoneInfo("Europe/London")
ONSET = date(2026, 11, 2)


def moment(day: int, hour: int = 18) -> datetime:
    return datetime(2026, 11, 2, hour, 10, tzinfo=ZONE) + timedelta(days=day)


def evening(day: int, load: str = "95", lift: str = "deadlift, hands at 22.5 cm") -> Evening:
    return Evening(
        day=ONSET + timedelta(days=day), lift=lift, load=Decimal(load), unit="kg", sets=3, reps=5,
        before=1, during=3, after=2, morning=1,
    )  # fmt: skip


def lifted(key: str, load: str, pain: int | None, lift: str = "deadlift") -> Lifted:
    return Lifted(key=key, day=ONSET, lift=lift, load=Decimal(load), unit="kg", reps=3, pain=pain)


def scores(days: int) -> tuple[Score, ...]:
    morning = (
        Score(key=f"m{n}", at=ONSET + timedelta(days=n), moment=Moment.MORNING, score=n % 4)
        for n in range(days)
    )
    during = Score(key="d", at=moment(0), moment=Moment.DURING, score=3, about="deadlift, 95 kg")
    return (during, *morning)


def screened(day: int = 0, **yes: str) -> Screened:
    answers = tuple(
        Answered(id=row.id, text=row.text, answer=yes.get(row.id, "no")) for row in all_rows()[:16]
    )
    return Screened(key=f"s{day}", at=moment(day), by="Bram Okello", outcome="soon", answers=answers)


NOTE = HandOff(
    key="a" * 64, episode_key="b" * 64, name="Abel Norwood", born_year=1991, sex="male", stature_m=1.76,
    mass_kg=85.0, gym="Canal Street Iron", coach="Bram Okello", written=moment(21), region="low-back",
    since=ONSET, provoking=lifted("p", "200", 7), was_warm_up=False, usual=Decimal(200),
    said=("Eases it: walking.",), screens=(screened(**{all_rows()[7].id: "yes"}),), scores=scores(10),
    evenings=(evening(1), evening(4, "97.5")), accepted=(lifted("x", "107.5", 3),),
    acts=(Act(day=ONSET, text="Forward: deadlift, 97.5 kg."),),
    agreed=Agreed(at=moment(-1), by="the lifter", wording="2026-2"), question="May he pull from blocks?",
)  # fmt: skip

LONG = "Maximiliane-Theodora Wolfeschlegelsteinhausenbergerdorff de la Fuente y Castellanos-Óðinsdóttir"
HOSTILE = "</p><script>#eval(1)</script> $x$ \\u{202e}\u202e=1+1 #pagebreak() [*b*]\x00\x07 {name} {0}"
