"""The demo has no password: `serve` does not let others reach a computer that has one."""

import pytest

from tests.storage.conftest import one_line, typed
from tests.web.test_bounds import asked

MADE = """
from django.core.management import call_command; from django.utils import timezone
from floorward.storage import place; from floorward.actions import gyms
call_command("migrate", verbosity=0, database=place.DEMO)
with place.inside(place.DEMO):
    gym = gyms.open_gym(name="Demo", country="GB", emergency_number="", time_zone="Europe/London", unit="kg",
        now=timezone.now(), is_demo=True)
    gyms.add_staff(gym, name="Imke", sign_in_name="imke", role="owner", password=None)
"""


@pytest.fixture
def with_a_demo(tmp_path):
    asked(f"exec({MADE!r})", tmp_path)
    return tmp_path


def test_a_public_address_is_refused_while_there_is_a_demo_and_taken_once_it_is_removed(with_a_demo):
    command = ("serve", "--data", with_a_demo, "--port", 18931, "--public-address", "https://gym.example")
    assert one_line(typed(*command), "no password", "floorward demo --remove")
    assert typed("demo", "--remove", "--data", with_a_demo).stdout == "The demo gym is gone.\n"
    said = asked("from floorward.actions.demo import demo_exists; print(demo_exists())", with_a_demo)
    assert said == "False"
    assert not list((with_a_demo / "demo").iterdir())


BEHIND = """
from django.core.management import call_command; from floorward.storage import place
call_command("migrate", "storage", "0022", verbosity=0, database=place.DEMO)
"""
STARTED = """
from floorward.cli import serve; from floorward.storage import place; from floorward.storage.models import Episode
serve._prepare()
with place.inside(place.DEMO):
    print(Episode.objects.filter(limb_symptoms=True).count())
"""


def test_a_demo_that_an_older_version_left_is_brought_up_to_date_with_the_gym(with_a_demo):
    asked(f"exec({BEHIND!r})", with_a_demo)
    assert asked(f"exec({STARTED!r})", with_a_demo) == "0"
