"""Rates of doubts on a few made-up wings: a change that spoils them is seen at once.

The script beside this file measures them on many; DEVELOPERS.md holds what it printed.
"""

import pytest
from doubt_rates import COPIES, ONCE, USUAL, doubted, found, unit_slips
from slips import (
    loop_forgotten,
    neighbours_swapped,
    pasted_side,
    rows_swapped,
    sides_swapped,
    step,
    transposed,
)
from trials import trials

pytestmark = pytest.mark.thorough
JOBS = trials(30)


@pytest.mark.parametrize(
    ("slip", "least"),
    [
        (step(100), 1.0),
        (step(30), 0.95),
        (step(20), 0.80),
        (transposed(1), 1.0),
        (rows_swapped, 1.0),
        (neighbours_swapped(7, 13), 0.95),
        (pasted_side, 1.0),
        (sides_swapped, 0.95),
        (loop_forgotten(9.0), 0.90),
    ],
    ids=["100 mm", "30 mm", "20 mm", "digits", "rows", "neighbours", "paste", "sides", "loop"],
)
def test_a_slip_is_found_as_often_as_the_guide_says(slip, least: float) -> None:
    assert found(slip, JOBS) >= least


def test_sound_jobs_are_hardly_ever_doubted() -> None:
    assert doubted(JOBS, USUAL) <= 0.05
    assert doubted(JOBS, ONCE, COPIES) == 0


def test_lengths_in_another_unit_are_told_apart() -> None:
    assert unit_slips(JOBS) == (1.0, 0.0)
