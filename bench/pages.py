"""How pages grow with the gym: the same pages at 20 and 200 lifters, each with two years of sessions."""

import os
import statistics
import tempfile
import time
from datetime import UTC, datetime, timedelta
from decimal import Decimal

SIZES = (20, 200)
SESSIONS_A_WEEK, WEEKS, SETS_A_SESSION = 2, 104, 10
NOW = datetime(2026, 11, 23, 18, 0, tzinfo=UTC)


def figures() -> list[tuple[str, object, str, str]]:
    prepare()
    pages = {size: times(size) for size in SIZES}
    small, large = (pages[size] for size in SIZES)
    aims = {"Today": "< 2", "lifter": "< 1.5", "session": "< 1.5"}
    return [
        (
            f"{name}: {SIZES[1]} lifters against {SIZES[0]}",
            large[name] / small[name],
            "×",
            f"aim {aims[name]}; {small[name] * 1000:.0f} ms at {SIZES[0]}",
        )
        for name in small
    ]


def prepare() -> None:
    os.environ.update(
        DATA=tempfile.mkdtemp(prefix="floorward-bench-"), DJANGO_SETTINGS_MODULE="floorward.config"
    )
    import django

    django.setup()
    from django.conf import settings
    from django.core.management import call_command

    clock = settings.DATA / "clock"
    clock.write_text(NOW.isoformat())
    settings.CLOCK_FILE, settings.ALLOWED_HOSTS = str(clock), ["testserver"]
    call_command("migrate", verbosity=0)


def times(size: int) -> dict[str, float]:
    """Median seconds of each page in a gym of `size` lifters."""
    from django.test import Client

    owner, lifter, session = gym_of(size)
    client = Client()
    client.force_login(owner, backend="django.contrib.auth.backends.ModelBackend")
    addresses = {"Today": "/today", "lifter": f"/lifters/{lifter.pk}", "session": f"/sessions/{session.pk}"}
    return {name: median(client, address) for name, address in addresses.items()}


def median(client, address: str) -> float:
    runs = []
    for _ in range(9):
        start = time.perf_counter()
        answer = client.get(address)
        runs.append(time.perf_counter() - start)
        assert answer.status_code == 200, (address, answer.status_code)
    return statistics.median(runs)


def gym_of(size: int):
    """A gym of `size` lifters with two years behind them; every fifth has an open episode of six weeks."""
    from tests.people import a_lifter, iron

    from floorward.actions import gyms
    from floorward.storage.models import DoneSet

    gym = gyms.open_gym(
        name=f"Gym of {size}",
        country="GB",
        emergency_number="",
        time_zone="Europe/London",
        unit="kg",
        now=NOW,
    )
    iron(gym)
    owner = gyms.add_staff(gym, name="Imke Torvald", sign_in_name=f"imke{size}", role="owner", password=None)
    bar = gym.bars.get(name="Bar 1")
    for number in range(size):
        lifter = a_lifter(
            gym,
            owner,
            NOW,
            name=f"Lifter {number:04d}",
            born_year=1990,
            sex="male",
            stature_m=1.76,
            mass_kg=85.0,
            unit="kg",
        )
        sessions = history(lifter, owner, in_pain=number % 5 == 0)
        DoneSet.objects.bulk_create(
            [row for session in sessions for row in sets(session, bar)], batch_size=2000
        )
    last = gym.lifters.get(name="Lifter 0000")
    return owner, last, last.sessions.first()


def history(lifter, owner, *, in_pain: bool):
    from floorward.storage.models import Episode, MorningCheck, Screening, Session

    episode = None
    if in_pain:
        began = NOW - timedelta(days=42)
        episode = Episode.objects.create(
            lifter=lifter,
            region="low-back",
            since=began.date(),
            started_at=began,
            started_by=owner,
            lift="deadlift",
            load=Decimal(180),
            usual_load=Decimal(180),
            pain=7,
        )
        Screening.objects.create(
            episode=episode, at=began, asked_by=owner, answers={}, outcome="go-on", locks="none"
        )
    days = [NOW - timedelta(days=round(7 / SESSIONS_A_WEEK * n)) for n in range(WEEKS * SESSIONS_A_WEEK)]
    rows = [
        Session(
            lifter=lifter,
            episode=episode if episode and day >= episode.started_at else None,
            day=day.date(),
            started_at=day,
            ended_at=day + timedelta(hours=1),
            before=1,
            after=1,
            made_by=owner,
        )
        for day in days
    ]
    if episode:
        mornings = [
            MorningCheck(episode=episode, day=(NOW - timedelta(days=n)).date(), score=1, at=NOW)
            for n in range(1, 41)
        ]
        MorningCheck.objects.bulk_create(mornings)
    return Session.objects.bulk_create(rows)


def sets(session, bar):
    from floorward.storage.models import DoneSet

    sore = session.episode_id is not None
    return [
        DoneSet(
            session=session,
            kind="work",
            sore=sore,
            lift="deadlift",
            bar=bar,
            height_mm=225,
            load=Decimal("97.5"),
            unit="kg",
            reps=5,
            target_reps=5,
            rpe=7,
            pain=2,
            acceptable=True,
            at=session.started_at + timedelta(minutes=3 * n),
        )
        for n in range(SETS_A_SESSION)
    ]
