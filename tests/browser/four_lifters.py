"""Four invented lifters with a sore back at the same gym, and what each answers: no chance in it, so that the same sets hurt the same.

Run as `python -m tests.browser.four_lifters FOLDER begin` to make the gym in a data folder, and with `train` for the evenings between the
search and the last session, each with its morning and with the proposal taken; prints what was done as JSON.
"""

import json
import math
import os
import sys
from dataclasses import dataclass
from datetime import date, timedelta

USUAL_KG = 160
FIRST_DAY = date(2026, 11, 23)
EVENINGS = (3, 7, 10, 14, 17)  # days after the search


@dataclass(frozen=True)
class Answers:
    """How a lifter feels.

    Attributes:
        healing_days: time in which all but a third of what is missing has come back.
        per_cm: how much a bar that starts a centimetre higher spares them, in log demand.
        step: of their scores: 2 for somebody who only ever says even numbers.
        missing: log demand that is missing on the first day.
    """

    name: str
    healing_days: float
    per_cm: float = 0.0
    step: int = 1
    missing: float = 0.55

    def pain(self, load_kg: float, day: int, raised_cm: float = 0.0) -> int:
        """Worst pain of a set, 0 to 10."""
        short = -0.1 + (self.missing + 0.1) * math.exp(-day / self.healing_days)
        over = math.log((119 + 3.8 * load_kg) / (119 + 3.8 * USUAL_KG)) + short - self.per_cm * raised_cm
        return min(max(self.step * round((3 + 6.5 * over) / self.step), 0), 10)

    def woke(self, pain: int) -> int:
        """The score on the next morning; before training it is 1, or 0 for the one with the even numbers."""
        usual = 1 if self.step == 1 else 0
        return usual + self.step * max(pain - 4, 0)


QUICK = Answers("Abel Norwood", healing_days=12)
SLOW = Answers("Bruno Castell", healing_days=300)
EVEN = Answers("Corin Maddox", healing_days=12, step=2)
BENDS = Answers("Dora Winfield", healing_days=40, per_cm=0.06, missing=1.62)
ALL = (QUICK, SLOW, EVEN, BENDS)


def _ready(folder: str) -> None:
    os.environ["DATA"] = folder
    os.environ["DJANGO_SETTINGS_MODULE"] = "floorward.config"
    import django

    django.setup()


def begin() -> None:
    """The gym, its iron, and four backs that went on the same evening; the questions are answered."""
    from floorward.actions import gyms
    from tests.conftest import at
    from tests.people import a_gym, a_lifter, iron
    from tests.training import sore_back

    now = at(f"{FIRST_DAY} 18:00")
    gym = a_gym("Canal Street Iron", now)
    iron(gym)
    coach = gyms.add_staff(
        gym, name="Imke Torvald", sign_in_name="imke", role="owner", password="quiet lever arms"
    )
    for who in ALL:
        lifter = a_lifter(gym, coach, now, name=who.name)
        episode = sore_back(
            lifter, coach, started=f"{FIRST_DAY} 18:00", load=USUAL_KG, usual_load=USUAL_KG, reps=3
        )
        episode.screenings.create(at=now, asked_by=coach, answers={}, outcome="go-on", locks="none")


def train() -> None:
    """Two evenings a week; the proposal of the morning after is taken, save the last one's."""
    from floorward.storage.models import Episode

    told = {who.name: _evenings(who, Episode.objects.get(lifter__name=who.name)) for who in ALL}
    sys.stdout.write(json.dumps(told))


def _evenings(who: Answers, episode) -> list[dict]:
    from floorward.actions.decisions import decide, proposal_for
    from floorward.actions.finding import accepted_of
    from floorward.actions.mornings import Answer, record_morning
    from tests.conftest import at
    from tests.training import trained

    accepted, coach, done = accepted_of(episode, "deadlift"), episode.lifter.coach, []
    assert accepted is not None, who.name
    load, height_mm = accepted.training_load, accepted.height_mm
    for day in EVENINGS:
        evening, morning = FIRST_DAY + timedelta(days=day), FIRST_DAY + timedelta(days=day + 1)
        pain = who.pain(float(load), day, (height_mm - 225) / 10)
        scores = (who.woke(0), pain, max(pain - who.step, 0))
        session = trained(
            episode, evening.isoformat(), str(load), scores, height_mm=height_mm, acceptable=pain <= 5
        )
        woke = Answer(day=morning, score=who.woke(pain))
        record_morning(episode, woke, now=at(f"{morning} 07:00"))
        done.append({"load": float(load), "height_mm": height_mm, "pain": pain, "session": session.pk})
        if day != EVENINGS[-1]:
            now = at(f"{morning} 09:00")
            proposal = proposal_for(episode, "deadlift", now)
            row = decide(session, "deadlift", seen=proposal.seen, by=coach, now=now)
            done[-1]["decided"] = row.change
            load, height_mm = row.load or load, row.height_mm
    return done


if __name__ == "__main__":
    _ready(sys.argv[1])
    {"begin": begin, "train": train}[sys.argv[2]]()
