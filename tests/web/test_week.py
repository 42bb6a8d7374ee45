"""The page of a week: asked for by days, refused beyond four, sent whole or as the part that a script puts in place."""

import pytest

from floorward.actions.sessions import open_session
from tests.conftest import at

pytestmark = pytest.mark.django_db


@pytest.fixture
def address(lifter, coach):
    return f"/sessions/{open_session(lifter, by=coach, now=at('2026-11-23 18:00')).pk}/week"


def test_the_page_asks_for_days_first(signed_in, address):
    page = signed_in.get(address).content.decode()
    assert "Plan these days" in page
    assert "Take this day" not in page


def test_more_than_four_days_are_refused_beside_the_days(signed_in, address):
    answer = signed_in.get(address, {"days": ["0", "1", "2", "3", "4"], "minutes": "60"})
    assert answer.status_code == 422
    assert "4 sessions at most" in answer.content.decode()


def test_the_part_alone_is_sent_where_a_script_asks_for_it(signed_in, address):
    part = signed_in.get(address, headers={"X-Part": "1"}).content.decode()
    assert part.startswith('<main id="main"')
    assert "<html" not in part
