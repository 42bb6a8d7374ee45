"""What a region may be asked: grows by the protocol's step over what settled, falls after what did not."""

from dataclasses import replace
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from floorward import tables
from floorward.core.demand_allowance import WorkDay, allowance, first_allowance
from floorward.core.protocol import SHIPPED
from floorward.core.session_request import Allowance
from floorward.errors import ContractError


def day(number: int, asked: float, *, settled: bool = True) -> WorkDay:
    return WorkDay(day=number, asked=asked, settled=settled)


def known(*days: WorkDay, today: int = 10, week_began: int = 7) -> Allowance:
    found = allowance(days, today=today, week_began=week_began)
    assert found is not None
    return found


def test_a_day_may_ask_one_step_more_than_the_most_that_settled() -> None:
    assert known(day(1, 9000), day(4, 10000)).day == pytest.approx(10500)


def test_a_gym_may_set_another_step() -> None:
    careful = replace(SHIPPED, forward_percent=Decimal(2))
    found = allowance([day(4, 10000)], today=10, week_began=7, protocol=careful)
    assert found is not None
    assert found.day == pytest.approx(10200)


def test_after_a_day_that_did_not_settle_it_falls_by_a_rung() -> None:
    assert known(day(1, 10000), day(4, 12000, settled=False)).day == pytest.approx(9000)
    assert known(day(1, 10000), day(4, 8000, settled=False)).day == pytest.approx(7200)


def test_a_week_may_ask_a_step_more_than_any_seven_days_less_what_it_has_asked() -> None:
    found = known(day(1, 6000), day(4, 6000), day(8, 5000))
    assert found.week == pytest.approx(1.05 * 12000 - 5000)
    assert known(day(1, 6000)).week == known(day(1, 6000)).day


def test_a_week_that_has_asked_more_has_nothing_left() -> None:
    assert known(day(8, 5000), day(9, 9000, settled=False)).week == 0


def test_the_last_hard_day_is_remembered() -> None:
    assert known(day(4, 10000), day(8, 9000), day(9, 2000)).last_hard_day == 8
    assert known(day(1, 1000), day(9, 500)).last_hard_day == 1


def test_what_is_long_past_says_nothing() -> None:
    assert allowance([day(1, 10000)], today=30, week_began=28) is None
    assert allowance([day(8, 10000, settled=False)], today=10, week_began=7) is None
    assert allowance([], today=10, week_began=7) is None


@given(
    st.lists(
        st.tuples(st.integers(0, 9), st.floats(1, 1e5), st.booleans()),
        min_size=1,
        max_size=6,
        unique_by=lambda x: x[0],
    )
)
def test_more_than_a_step_over_what_settled_is_never_allowed(rows: list[tuple[int, float, bool]]) -> None:
    days = [day(number, asked, settled=settled) for number, asked, settled in sorted(rows)]
    found = allowance(days, today=10, week_began=7)
    settled = [one.asked for one in days if one.settled]
    assert (found is None) == (not settled)
    assert found is None or 0 < found.day <= 1.05 * max(settled) + 1e-6


def test_a_first_day_may_ask_twice_its_full_range_work() -> None:
    sets, repetitions = (tables.value("session", "full_range", name) for name in ("sets", "reps"))
    found = first_allowance(400, sessions=3)
    assert found == Allowance(day=2 * sets * repetitions * 400, week=6 * sets * repetitions * 400)
    for moment, sessions in ((0, 1), (400, 0)):
        with pytest.raises(ContractError):
            first_allowance(moment, sessions)
