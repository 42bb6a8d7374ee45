"""The readers of tables against files that nobody would write: a bounded number here, as many as wanted by the command."""

import os

from bench import fuzz_tables

CASES = int(os.environ.get("FUZZ_CASES", "40"))


def test_whatever_a_file_holds_it_is_a_table_or_refused_in_a_sentence():
    lines, faults = fuzz_tables.run(CASES, seed=7)
    assert [(error, content[:200]) for content, error in faults] == []
    assert lines > 150
