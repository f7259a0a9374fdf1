"""The headline calls lines outside limits “after our work” only where work was done on lines."""

from types import SimpleNamespace

import pytest

OFF = {"B": (0, 0, 15, 0, 0, 0)}


@pytest.mark.parametrize(("line", "when"), [("c", "after our work"), ("brake_main", "now")])
def test_lines_that_nobody_touched_are_outside_now(
    line: str, when: str, bench: SimpleNamespace
) -> None:
    before, after = (
        bench.measured({**OFF, "brake_main": mm}, calculated=True) for mm in (-30.0, 0.0)
    )
    statements = bench.narrated(bench.job(before, after, adjustments=bench.adjusted(30, line)))
    (headline,) = [s.text for s in statements.sentences if s.rule == "headline_now_outside"]

    assert headline.endswith(f" outside limits {when}.")
