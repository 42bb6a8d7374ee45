import pytest
from hypothesis import given
from hypothesis import strategies as st

from floorward.core.odds import one_in
from floorward.reports.wording import word


@pytest.mark.parametrize(
    ("chance", "said"), [(0.0, 0), (0.01, 0), (0.02, 50), (0.12, 8), (0.34, 3), (0.5, 2), (0.8, 1)]
)
def test_a_chance_is_said_as_the_nearest_spoken_number(chance, said):
    assert one_in(chance) == said


@given(st.floats(0, 1), st.floats(0, 1))
def test_a_greater_chance_is_never_said_as_a_smaller_one(one, other):
    low, high = sorted((one_in(min(one, other)) or 99, one_in(max(one, other)) or 99))
    assert (one_in(max(one, other)) or 99) == low
    assert (one_in(min(one, other)) or 99) == high


@given(st.floats(0, 1))
def test_every_chance_has_its_words(chance):
    assert "too much" in word("odds", str(one_in(chance)))
