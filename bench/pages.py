"""How pages grow with the gym: the same pages at 20, 200 and 2,000 lifters, each with two years of sessions."""

import os
import statistics
import tempfile
import time
from datetime import UTC, datetime, timedelta
from decimal import Decimal

SIZES = (20, 200, 2000)
SESSIONS_A_WEEK, WEEKS, SETS_A_SESSION = 2, 104, 10
RUNS = 15
A_COACH = 50  # lifters of one coach; the larger a gym the more coaches
NOW = datetime(2026, 11, 23, 18, 0, tzinfo=UTC)


def figures() -> list[tuple[str, object, str, str]]:
    prepare()
    pages = times({size: opened(size) for size in SIZES})
    aims = {"Today of a coach": "< 3", "Today of everybody": "< 3", "lifter": "< 2", "session": "< 2"}
    return [
        (
            f"{name}: {size} lifters against {SIZES[0]}",
            pages[name, size] / pages[name, SIZES[0]],
            "×",
            f"aim {aim}; {pages[name, SIZES[0]] * 1000:.0f} ms at {SIZES[0]}",
        )
        for name, aim in aims.items()
        for size in SIZES[1:]
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


def opened(size: int):
    """The browser of the owner of a gym of `size` lifters, and the addresses of its pages by name."""
    from django.test import Client

    owner, lifter, session = gym_of(size)
    client = Client()
    client.force_login(owner, backend="django.contrib.auth.backends.ModelBackend")
    return client, {
        "Today of a coach": "/today",
        "Today of everybody": "/today?coach=all",
        "lifter": f"/lifters/{lifter.pk}",
        "session": f"/sessions/{session.pk}",
    }


def times(gyms) -> dict[tuple[str, int], float]:
    """Median processor seconds of each page by name and size of the gym.

    The database is in the process, other work on the machine is not; the sizes take turns, so that what slows one slows all. All
    gyms lie in one database: what a page reads of other gyms costs each of them alike and is not seen in the ratio.
    """
    runs: dict[tuple[str, int], list[float]] = {}
    for _ in range(RUNS):
        for size, (client, addresses) in gyms.items():
            for name, address in addresses.items():
                runs.setdefault((name, size), []).append(seconds(client, address))
    return {key: statistics.median(took) for key, took in runs.items()}


def seconds(client, address: str) -> float:
    start = time.process_time()
    answer = client.get(address)
    took = time.process_time() - start
    assert answer.status_code == 200, (address, answer.status_code)
    return took


def gym_of(size: int):
    """A gym of `size` lifters with two years behind them; every fifth has an open episode of six weeks. The first coach sees them all."""
    from tests.people import a_lifter, iron

    from floorward.actions import gyms
    from floorward.storage.models import Assignment

    gym = gyms.open_gym(
        name=f"Gym of {size}",
        country="GB",
        emergency_number="",
        time_zone="Europe/London",
        unit="kg",
        now=NOW,
    )
    iron(gym)
    owner, *others = (
        gyms.add_staff(gym, name=f"Coach {n}", sign_in_name=f"coach{size}-{n}", role="owner", password=None)
        for n in range(-(-size // A_COACH))
    )
    bar = gym.bars.get(name="Bar 1")
    for number in range(size):
        lifter = a_lifter(
            gym,
            [owner, *others][number // A_COACH],
            NOW,
            name=f"Lifter {number:04d}",
            born_year=1990,
            sex="male",
            stature_m=1.76,
            mass_kg=85.0,
            unit="kg",
        )
        history(lifter, owner, in_pain=number % 5 == 0)
    train(gym, bar)
    Assignment.objects.bulk_create(
        [Assignment(lifter=row, staff=owner, since=NOW) for row in gym.lifters.exclude(coach=owner)]
    )
    last = gym.lifters.get(name="Lifter 0000")
    return owner, last, last.sessions.first()


def history(lifter, owner, *, in_pain: bool) -> None:
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
    Session.objects.bulk_create(rows)


def train(gym, bar) -> None:
    """Sets in every session of the gym, all like one: millions of rows are copied where they lie, evening by evening."""
    from django.db import connection

    from floorward.storage.models import DoneSet, Session

    first = DoneSet.objects.create(
        session=Session.objects.filter(lifter__gym=gym).first(),
        kind="work",
        sore=True,
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
        at=NOW,
    )
    own = {"session_id": "s.id", "sore": "s.episode_id IS NOT NULL", "at": "s.started_at"}
    fields = DoneSet._meta.concrete_fields  # noqa: SLF001 - Django's public way
    columns = [field.column for field in fields if not field.primary_key]
    copied = ", ".join(own.get(name, f'd."{name}"') for name in columns)
    named = ", ".join(f'"{name}"' for name in columns)
    sets = ", ".join(f"({n})" for n in range(SETS_A_SESSION))
    with connection.cursor() as cursor:
        cursor.execute(
            f"INSERT INTO storage_doneset ({named}) SELECT {copied} FROM storage_session s "  # noqa: S608 - our own words
            f"JOIN storage_lifter l ON l.id = s.lifter_id, storage_doneset d, (VALUES {sets}) "
            "WHERE l.gym_id = %s AND d.id = %s ORDER BY s.started_at, s.id",
            [gym.pk, first.pk],
        )
