"""The page of validation results is what the model says today, and what is held lies inside."""

from bench import validation

HELD = {"swinton-2011", "lee-2018", "cholewicki-1991"}


def test_the_page_is_current():
    assert validation.PAGE.read_text(encoding="utf-8") == validation.page()


def test_hard_rows_and_the_fitted_rows_that_are_held_lie_inside():
    held = [row for row in validation.rows() if row[5] == "hard" or (row[5] == "fitted" and row[6] in HELD)]
    assert len(held) >= 13
    assert [row[0] for row in held if not row[3] <= row[2] <= row[4]] == []
