"""The cast and the stage that many tests share."""

import os
import tempfile

os.environ.setdefault("DATA", tempfile.mkdtemp(prefix="floorward-tests-"))
os.environ.setdefault("DJANGO_SETTINGS_MODULE", "floorward.config")
os.environ.setdefault("FLOORWARD_FIRST_RUN_CODE", "test-code")

from collections.abc import Callable
from datetime import datetime
from zoneinfo import ZoneInfo

import hypothesis
import pytest

ZONE = ZoneInfo("Europe/London")


# a busy machine is slow to draw and slow to answer, which says nothing about what is tested
hypothesis.settings.register_profile(
    "unhurried", deadline=None, suppress_health_check=[hypothesis.HealthCheck.too_slow]
)
hypothesis.settings.load_profile("unhurried")


def at(text: str) -> datetime:
    """A moment on the gym's wall clock: at("2026-11-23 18:10")."""
    return datetime.fromisoformat(text).replace(tzinfo=ZONE)


def pytest_configure():
    """A third of a second for each coach that a test makes was half the time of all tests."""
    from django.conf import settings

    settings.PASSWORD_HASHERS = ["tests.hashing.LightArgon2"]


def pytest_collection_modifyitems(items):
    """The browser's tests come last: once begun, its event loop stays in the process, and Django's database refuses to run beside one.

    Of them the long walks come first, which happen to be last by name, so that the workers end at about the same time.
    """
    browsers = [item for item in items if "browser" in item.path.parts]
    others = [item for item in items if "browser" not in item.path.parts]
    items[:] = [*others, *sorted(browsers, key=lambda item: item.path.name, reverse=True)]


@pytest.fixture
def clock(settings, tmp_path) -> Callable[[str], None]:
    """Set the wall clock that pages read: clock("2026-11-23 18:10")."""
    file = tmp_path / "clock"
    settings.CLOCK_FILE = str(file)

    def set_to(text: str) -> None:
        file.write_text(at(text).isoformat())

    set_to("2026-11-23 18:10")
    return set_to


@pytest.fixture
def spanish():
    """Within the test Spanish is spoken."""
    from floorward import language

    with language.speaking("es"):
        yield


@pytest.fixture
def gym(db):
    """A gym in London that loads in kilograms, with one straight bar, a trap bar and the usual plates."""
    from tests.people import a_gym, iron

    row = a_gym("Canal Street Iron", at("2026-11-01 09:00"))
    iron(row)
    return row


@pytest.fixture
def owner(gym):
    """Imke, who owns the gym."""
    from floorward.actions import gyms

    return gyms.add_staff(
        gym, name="Imke Torvald", sign_in_name="imke", role="owner", password="quiet lever arms"
    )


@pytest.fixture
def coach(gym):
    """Bram, who coaches in the evening."""
    from floorward.actions import gyms

    return gyms.add_staff(
        gym, name="Bram Okello", sign_in_name="bram", role="coach", password="quiet lever arms"
    )


@pytest.fixture
def lifter(gym, coach):
    """Abel, a powerlifter of 1.76 m and 85 kg who has agreed to keep his answers."""
    from tests.people import a_lifter

    return a_lifter(gym, coach, at("2026-11-01 09:30"), name="Abel Norwood")


@pytest.fixture
def signed_in(client, coach, clock):
    """Bram's browser."""
    client.force_login(coach, backend="django.contrib.auth.backends.ModelBackend")
    return client
