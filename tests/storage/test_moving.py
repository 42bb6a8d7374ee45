"""Any gym is the same on a server as in its file, to the last digit and letter."""

from datetime import UTC, datetime

import pytest
from django.db import transaction
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from floorward.errors import StorageError
from floorward.storage import engines, migrating, moving, place, portable
from floorward.storage.models import Gym, Trace
from tests.storage.test_exports import GYMS, play

HERE, THERE = "here", "there"
WORDS = st.text(st.characters(exclude_categories=("Cs",), exclude_characters="\0"), max_size=20)
NUMBERS = st.integers(-(10**12), 10**12) | st.floats(allow_nan=False, allow_infinity=False)
ANYTHING = st.recursive(
    st.none() | st.booleans() | NUMBERS | WORDS,
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(WORDS, inner, max_size=3),
    max_leaves=8,
)


@pytest.fixture
def both(tmp_path, server, django_db_blocker):
    """A file and a database on a server, with tables and no rows; work is done in the file."""
    file, url = engines.sqlite(tmp_path / "here.sqlite3"), server.new_database()
    with (
        django_db_blocker.unblock(),
        moving.also_open(HERE, file),
        moving.also_open(THERE, engines.postgresql(url)),
        place.inside(HERE),
    ):
        migrating.bring_up_to_date(HERE)
        migrating.bring_up_to_date(THERE)
        yield


@pytest.mark.usefixtures("both")
@settings(max_examples=15, suppress_health_check=list(HealthCheck))
@given(people=GYMS, before=st.dictionaries(WORDS, ANYTHING, max_size=3))
def test_any_gym_exports_the_same_after_a_move(people, before):
    with transaction.atomic(using=HERE), transaction.atomic(using=THERE):
        play(people)
        gym = Gym.objects.get()
        at = datetime(2026, 1, 1, tzinfo=UTC)
        Trace.objects.create(gym=gym, at=at, what="set-changed", subject="set", subject_id=2, before=before)
        rows = portable.everything(HERE)
        assert moving.copy(HERE, THERE) == portable.sums(rows)
        assert portable.everything(THERE) == rows
        with pytest.raises(StorageError, match="there is data already"):
            moving.copy(HERE, THERE)
        transaction.set_rollback(True, using=HERE)
        transaction.set_rollback(True, using=THERE)
