"""Who trains in the demo's gym, and what happened to them in the last weeks. Everybody is invented.

A trouble is a small story: how much the region bore on the first day and will bear in the end, how fast it comes back, on which
of the last days they trained, and how the last morning went. `play` turns it into sets and answers.
"""

from dataclasses import dataclass
from typing import Literal


@dataclass(frozen=True, slots=True, kw_only=True)
class Trouble:
    """One spell of pain.

    Attributes:
        began: days ago.
        lift, load, pain: what hurt, and how much.
        bears: load that hurts 3 on the first day, at full range; `will_bear` in the end; `days` until two thirds are back.
        per_cm: by how much each centimetre of block raises what it bears.
        trained: days ago of each session after the search, the oldest first; 0 is today.
        last_pain: pain of the last session where it was not as usual.
        last_morning: the morning after the last session; None for one that was not answered.
        screen: questions answered with yes, and whether a clinician has cleared it.
        reviewed: whether the coach held the reviews when they were due.
    """

    began: int
    region: str
    lift: str
    load: str
    pain: int
    bears: float
    will_bear: float
    days: float = 30.0
    per_cm: float = 0.01
    trained: tuple[int, ...] = ()
    last_pain: int | None = None
    last_morning: int | None = 1
    screen: tuple[str, ...] = ()
    cleared: bool = False
    closed: int | None = None
    reviewed: bool = True


@dataclass(frozen=True, slots=True, kw_only=True)
class Character:
    """Somebody who trains here: best sets as lift, load and repetitions."""

    name: str
    born_year: int
    sex: str
    stature_m: float
    mass_kg: float
    unit: Literal["kg", "lb"] = "kg"
    bests: tuple[tuple[str, str, int], ...] = ()
    contest: str = ""
    contest_in: int = 0
    conventional_required: bool = False
    sumo_allowed: bool = True
    trouble: Trouble | None = None


CAST: tuple[Character, ...] = (
    Character(
        name="Abel Norwood",
        born_year=1991,
        sex="male",
        stature_m=1.76,
        mass_kg=85,
        bests=(
            ("deadlift", "200", 3),
            ("high-bar-squat", "160", 5),
            ("bench-press", "110", 5),
            ("chest-supported-row", "80", 6),
            ("pull-up", "95", 6),
            ("leg-curl", "55", 10),
            ("grip-hold", "90", 6),
        ),
        contest="Spring open",
        contest_in=95,
        conventional_required=True,
        trouble=Trouble(
            began=38,
            region="low-back",
            lift="deadlift",
            load="180",
            pain=7,
            bears=75,
            will_bear=135,
            days=55,
            trained=(36, 32, 29, 25, 22, 18, 15, 11, 8, 4, 1),
        ),
    ),
    Character(
        name="Ines Halloran",
        born_year=1984,
        sex="female",
        stature_m=1.68,
        mass_kg=71,
        bests=(
            ("deadlift", "100", 5),
            ("barbell-row", "45", 8),
            ("dumbbell-press", "16", 10),
            ("lat-pulldown", "45", 10),
            ("leg-curl", "35", 10),
        ),
        trouble=Trouble(
            began=16,
            region="low-back",
            lift="deadlift",
            load="90",
            pain=8,
            bears=14.2,
            will_bear=60,
            days=150,
            per_cm=0.06,
            trained=(13, 9, 6, 1),
            last_pain=4,
        ),
    ),
    Character(
        name="Joss Whitlam",
        born_year=1996,
        sex="male",
        stature_m=1.88,
        mass_kg=118,
        bests=(
            ("deadlift", "260", 3),
            ("trap-bar-high", "290", 3),
            ("overhead-press", "105", 3),
            ("chest-supported-row", "110", 6),
            ("pull-up", "125", 4),
            ("grip-hold", "120", 6),
            ("dip", "130", 5),
        ),
        contest="Harbour strength day",
        contest_in=60,
        sumo_allowed=False,
        trouble=Trouble(
            began=12,
            region="hip",
            lift="deadlift",
            load="240",
            pain=6,
            bears=140,
            will_bear=250,
            trained=(9, 5, 1),
            last_morning=4,
        ),
    ),
    Character(
        name="Kit Sorrel",
        born_year=1988,
        sex="male",
        stature_m=1.81,
        mass_kg=92,
        bests=(("deadlift", "180", 5),),
        trouble=Trouble(
            began=1,
            region="low-back",
            lift="deadlift",
            load="170",
            pain=7,
            bears=60,
            will_bear=170,
            screen=("LB1",),
        ),
    ),
    Character(
        name="Priya Venn",
        born_year=1993,
        sex="female",
        stature_m=1.63,
        mass_kg=62,
        bests=(
            ("high-bar-squat", "95", 5),
            ("deadlift", "115", 5),
            ("bench-press", "52.5", 5),
            ("chest-supported-row", "45", 8),
        ),
        trouble=Trouble(
            began=22,
            region="knee",
            lift="high-bar-squat",
            load="90",
            pain=6,
            bears=55,
            will_bear=95,
            trained=(19, 15, 12, 8, 5, 1),
            last_morning=None,
        ),
    ),
    Character(
        name="Hana Brandt",
        born_year=1979,
        sex="female",
        stature_m=1.72,
        mass_kg=78,
        bests=(
            ("deadlift", "120", 5),
            ("dumbbell-press", "18", 10),
            ("chest-supported-row", "40", 8),
        ),
        trouble=Trouble(
            began=6,
            region="low-back",
            lift="deadlift",
            load="110",
            pain=6,
            bears=62,
            will_bear=115,
            trained=(5, 1),
            last_morning=None,
        ),
    ),
    Character(
        name="Dan Marlowe",
        born_year=1969,
        sex="male",
        stature_m=1.79,
        mass_kg=96,
        bests=(
            ("deadlift", "140", 5),
            ("bench-press", "90", 5),
            ("lat-pulldown", "70", 8),
            ("leg-curl", "45", 10),
        ),
        trouble=Trouble(
            began=29,
            region="low-back",
            lift="deadlift",
            load="130",
            pain=7,
            bears=58,
            will_bear=120,
            days=45,
            reviewed=False,
            trained=(26, 23, 19, 16, 12, 9, 5, 2),
        ),
    ),
    Character(
        name="Rosa Quill",
        born_year=1990,
        sex="female",
        stature_m=1.70,
        mass_kg=74,
        bests=(("deadlift", "150", 5), ("bench-press", "62.5", 5)),
        trouble=Trouble(
            began=55,
            region="low-back",
            lift="deadlift",
            load="145",
            pain=6,
            bears=85,
            will_bear=170,
            days=18,
            trained=(52, 48, 45, 41, 38, 34, 31, 27, 24, 20),
            closed=10,
        ),
    ),
    Character(
        name="Cole Ferris",
        born_year=1999,
        sex="male",
        stature_m=1.83,
        mass_kg=101,
        unit="lb",
        bests=(("deadlift", "455", 3), ("bench-press", "265", 5)),
        trouble=Trouble(
            began=9,
            region="knee",
            lift="deadlift",
            load="405",
            pain=6,
            bears=215,
            will_bear=400,
            trained=(3,),
            screen=("K2",),
            cleared=True,
        ),
    ),
    Character(
        name="Milo Tarn",
        born_year=2001,
        sex="male",
        stature_m=1.74,
        mass_kg=77,
        bests=(("deadlift", "165", 5), ("high-bar-squat", "130", 5)),
    ),
    Character(
        name="Saskia Dunne",
        born_year=1975,
        sex="female",
        stature_m=1.66,
        mass_kg=68,
        bests=(("deadlift", "85", 8),),
    ),
)
