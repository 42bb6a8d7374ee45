import re

import segno
from hypothesis import given
from hypothesis import strategies as st

from floorward.reports.drawings.code import qr_code
from tests.reports.drawing import parsed, spoken


def dark(root):
    """Every dark module as (x, y), read back from the drawing."""
    runs = re.findall(r"M(\d+) (\d+)h(\d+)v1h-\3z", root.find("path").get("d"))
    return {(int(x) + i, int(y)) for x, y, run in runs for i in range(int(run))}


@given(st.text(alphabet="abcXYZ019:/._-", min_size=1, max_size=120))
def test_every_dark_module_is_drawn_and_no_other(address):
    matrix = segno.make(address, error="m", micro=False).matrix
    expected = {(x + 4, y + 4) for y, row in enumerate(matrix) for x, module in enumerate(row) if module}
    assert dark(parsed(qr_code(address))) == expected


def test_the_code_keeps_a_quiet_border_of_four_modules_and_scales_as_a_whole():
    root = parsed(qr_code("https://gym.lan/m/k3J9xQ2b"))
    size = int(root.get("width"))
    assert root.get("viewBox") == f"0 0 {size} {size}"
    assert min(x for x, _ in dark(root)) == 4
    assert max(x for x, _ in dark(root)) == size - 5


def test_the_code_says_what_it_opens_or_leaves_it_to_the_text_beside():
    assert spoken(parsed(qr_code("a", "opens the morning check"))) == "opens the morning check"
    assert parsed(qr_code("a")).get("aria-hidden") == "true"
