import pytest
from hypothesis import given
from hypothesis import strategies as st

from floorward.core.findings import refused
from floorward.core.pain import Band, acceptable_findings, band, baseline, improved, pain_findings


@pytest.mark.parametrize("score", range(11))
def test_whole_scores_from_nought_to_ten_are_pain_scores(score):
    assert pain_findings(score) == ()


@pytest.mark.parametrize(
    ("score", "code"),
    [
        (-1, "pain-outside-scale"),
        (11, "pain-outside-scale"),
        (2.5, "pain-not-whole"),
        (True, "pain-not-whole"),
        (None, "pain-not-whole"),
        ("3", "pain-not-whole"),
    ],
)
def test_anything_else_is_refused_beside_its_field(score, code):
    findings = pain_findings(score, field="after")
    assert [(f.code, f.field) for f in findings] == [(code, "after")]
    assert refused(findings)


def test_acceptable_above_five_asks_once_more():
    findings = acceptable_findings(6, acceptable=True)
    assert [f.code for f in findings] == ["acceptable-but-high"]
    assert not refused(findings)
    assert acceptable_findings(6, acceptable=False) == acceptable_findings(5, acceptable=True) == ()


@pytest.mark.parametrize(
    ("before", "morning", "expected"), [(1, None, 1), (1, 3, 3), (1, 0, 0), (None, 2, 2), (None, None, None)]
)
def test_the_training_days_morning_is_the_baseline_else_the_score_before(before, morning, expected):
    assert baseline(before, morning) == expected


@given(st.integers(0, 10), st.integers(0, 10))
def test_no_worse_score_ever_counts_as_better(first, now):
    assert now < first or improved(first, now) == ()


@given(st.lists(st.floats(0, 10), min_size=2, max_size=2).map(sorted))
def test_more_pain_is_never_in_a_lower_band(pair):
    order = list(Band)
    assert order.index(band(pair[0])) <= order.index(band(pair[1]))
