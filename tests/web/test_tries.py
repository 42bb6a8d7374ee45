"""When the lightest load fails in full: what to try, in the order of what it tells."""

import re

import pytest

from floorward.storage.models import BarRow
from tests.web.evening import begin, log, screened, shown

pytestmark = pytest.mark.django_db


def words(text: str) -> str:
    return re.sub(r"\s+", " ", re.sub(r"<[^>]+>", " ", text))


@pytest.fixture
def failed(signed_in, lifter):
    """Abel's empty bar from the floor was too much twice."""
    search = begin(signed_in, screened(signed_in, lifter), direction="up")
    log(signed_in, search, "20", "5", "no")
    log(signed_in, search, "20", "4", "no")
    return search


def test_the_page_ranks_heights_and_bars_by_what_they_tell_each_with_its_reason(signed_in, failed):
    page = words(shown(signed_in, failed))
    told = page[page.index("What would tell most") :]
    assert "Tells what bending has to do with it: they bend" in told
    assert "If it goes easier, it is the bend that they mind." in told


def test_nothing_is_ranked_before_the_lightest_load_failed(signed_in, lifter):
    search = begin(signed_in, screened(signed_in, lifter), direction="up")
    log(signed_in, search, "20", "1", "yes")
    assert "What would tell most" not in shown(signed_in, search)


def test_what_the_gym_does_not_own_is_not_ranked(signed_in, failed):
    BarRow.objects.filter(kind="trap").delete()
    page = words(shown(signed_in, failed))
    assert "Trap bar" not in page[page.index("What would tell most") :]


def test_where_no_bar_can_be_raised_another_one_leads_to_a_search_of_its_own(signed_in, lifter, gym):
    gym.blocks.all().delete()
    gym.pins.all().delete()
    search = begin(signed_in, screened(signed_in, lifter), direction="up")
    log(signed_in, search, "20", "5", "no")
    log(signed_in, search, "20", "4", "no")
    page = shown(signed_in, search)
    told = page[page.index("What would tell most") :]
    assert "Tells what" in words(told)
    assert "find?lift=trap-bar" in told


def test_a_start_that_asks_no_more_than_an_acceptable_one_has_told_already(signed_in, failed):
    before = words(shown(signed_in, failed))
    assert "Deadlift, +20 cm" in before[before.index("What would tell most") :]
    log(signed_in, failed, "20", "2", "yes")  # from the height that the search raised the bar to
    page = words(shown(signed_in, failed))
    assert "20 kg × 3, 40 cm 2 yes" in page
    told = page[page.index("What would tell most") :]
    assert "Deadlift, +20 cm" not in told
    assert "Trap bar" in told
