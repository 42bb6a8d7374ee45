"""How long one rests, in the coach's rounding."""

import pytest

from floorward.core.rests import likely_share, rest_after_s, rest_after_warm_up_s

SQUAT, CURL = ("quadriceps", "gluteus"), ("biceps",)


def test_a_heavy_squat_wants_more_rest_than_a_light_one_and_a_curl_the_least():
    heavy, light = rest_after_s(SQUAT, 0.9), rest_after_s(SQUAT, 0.5)
    assert heavy > light > rest_after_s(CURL, 0.5) > rest_after_warm_up_s()


@pytest.mark.parametrize("share", [0.85, 0.9, 1.0])
def test_after_heavy_sets_one_rests_as_is_recommended(share):
    """Loads of one to six repetitions at most: 3 to 5 minutes (ACSM position stand 2009, Med Sci Sports Exerc 41:687, summary)."""
    assert 180 <= rest_after_s(SQUAT, share) <= 300


@pytest.mark.parametrize(
    ("repetitions", "rpe", "load_kg", "usual_kg", "least", "most"),
    [
        (5, 8.0, 100.0, None, 0.75, 0.85),  # seven to failure
        (1, 10.0, 100.0, None, 1.0, 1.0),
        (5, 8.0, 50.0, 200.0, 0.2, 0.2),  # a quarter of the usual load, whatever lid its RPE is
        (5, None, 50.0, None, 0.7, 0.7),  # nothing tells
        (0, 8.0, 100.0, None, 0.7, 0.7),
    ],
)
def test_how_heavy_a_set_is_follows_from_what_its_line_says(repetitions, rpe, load_kg, usual_kg, least, most):
    assert least <= likely_share(repetitions, rpe, load_kg, usual_kg) <= most + 1e-9
