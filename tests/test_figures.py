"""The page of figures: parts of it are measured anew by themselves, the rest must stay as it was measured."""

from bench.__main__ import FILES, HEAD, PAGE, machine, parts_of, section


def test_the_page_is_its_head_and_its_parts():
    page = PAGE.read_text(encoding="utf-8")
    parts = parts_of(page)
    assert set(parts) <= {name.capitalize() for name in FILES}
    assert page.endswith("\n".join(parts.values()))
    assert page.startswith(HEAD.format(machine=machine()).split("Last run")[0])


def test_a_part_is_read_back_as_it_was_written():
    rows = [("loads", 2.5, "kg", "aim 3"), ("sets", 7, "", "")]
    one, other = section("plates", rows), section("load", rows[:1])
    assert parts_of(HEAD + one + "\n" + other) == {"Plates": one, "Load": other}
