"""The plain rules for what was worked on, against the check values of the study.

Source of every figure here: our own study (section numbers in the names), unless said otherwise.
"""

import math

import plain_merge as merge
import plain_shift as shift
import plain_swaps as swaps
import pytest
from plain_cells import CHORDS, small_degrees, study_wing, with_rows
from plain_completion import slope_weights


def straight(rows=3):
    """Rows that are not tapered, as where a figure gives chord positions alone."""
    return [c._replace(x=CHORDS[rows]["ABCDE".index(c.row)], mm=0.0) for c in study_wing(rows)]


# Section 2


@pytest.mark.parametrize(
    ("k", "u"),
    [
        (1, (2.33, 2.22, 2.22)),
        (2, (1.86, 1.64, 1.59)),
        (3, (1.67, 1.43, 1.34)),
        (4, (1.57, 1.31, 1.22)),
        (6, (1.46, 1.18, 1.07)),
    ],
)
def test_2_u_of_delta(k, u):
    found = [merge.u_delta(2 * k, rows) for rows in (1, 2, 3)]

    assert found == pytest.approx(u, abs=0.0051)


@pytest.mark.parametrize(("u_delta", "u_change"), [(1.43, 0.0866), (3.0, 0.1450)])
def test_2_u_of_the_change_of_the_slope(u_delta, u_change):
    cells = straight()
    moved = {i for i, c in enumerate(cells) if c.row == "C"}
    weights = slope_weights(cells)

    assert len(moved) == 24
    assert sum(weights[i] for i in moved) == pytest.approx(0.7692, abs=5.1e-5)
    found = small_degrees(merge.u_slope_change(cells, moved, u_delta))
    assert found == pytest.approx(u_change, abs=5.1e-5)


@pytest.mark.parametrize(("rows", "u"), [(2, 0.104), (3, 0.093), (4, 0.069)])
def test_2_u_of_the_angles_change_with_the_rear_row_moved(rows, u):
    cells = study_wing(rows)
    moved = {i for i, c in enumerate(cells) if c.row == "ABCDE"[rows - 1]}
    found = merge.u_slope_change(cells, moved, merge.u_delta(6, rows - 1))

    assert small_degrees(found) == pytest.approx(u, abs=5.1e-4)


def test_2_u_of_the_change_is_what_the_covariance_says():
    """w D w' with delta, occasion and repeats on the moved lines: M of the merged set less M."""
    cells = study_wing()
    moved = {i for i, c in enumerate(cells) if c.row == "B" and c.station < 8 and c.main != 2}
    nothing = [[0.0] * len(cells)] * len(cells)
    extra = merge.merged_covariance(cells, moved, 1.43, nothing)
    weights = slope_weights(cells)

    variance = weights @ extra @ weights + 2 * 1.98**2 * sum(weights[i] ** 2 for i in moved)

    assert math.sqrt(variance) == pytest.approx(merge.u_slope_change(cells, moved, 1.43))


def test_2_merging_takes_delta_off_and_marks_what_is_carried_over():
    before = with_rows(study_wing(), {"A": 0, "B": 1, "C": 2})
    after = [c._replace(mm=c.mm + 2.5 - 9.0 * (c.row == "C")) for c in before]
    moved = {i for i, c in enumerate(before) if c.row == "C"}
    controls = [i for i, c in enumerate(before) if c.row != "C" and c.station in (2, 5, 8)]

    shared = merge.delta(before, after, controls)
    cells, carried = merge.merge(before, after, moved, shared)

    assert shared == pytest.approx(2.5)
    assert {c.mm for c in cells if c.row == "C"} == {-7.0}
    assert [cells[i] for i in carried] == [before[i] for i in carried]
    assert len(carried) == 48
    assert merge.controls_suffice(before, controls, moved)
    assert not merge.controls_suffice(before, [*controls, *moved], moved)
    assert not merge.controls_suffice(before, controls[:6], moved)  # one side, one row


def test_2_limits_of_the_tie():
    one = math.sqrt(2 * 1.98**2 + 1.0 + 0.98)

    assert one == pytest.approx(merge.CONTROL_SPREAD, abs=0.005)
    assert pytest.approx(merge.CONTROL_LIMIT, abs=0.05) == 3.3 * merge.CONTROL_SPREAD
    assert merge.tie_fails([0.5, -1, 2, 1, 0, -2]) == []
    assert merge.tie_fails([6.5, 5, 8, 7, 6, 7]) == ["shift"]
    assert "control" in merge.tie_fails([0, 1, 0, 1, 0, 12])
    assert merge.tie_fails([9, -9, 9, -9, 0.5, -0.5]) == ["spread"]


def test_2_load_within_ten_percent():
    one = {"instrument": "made up", "method": "hung", "ends": "loops", "load_n": 50.0}

    assert merge.comparable(one, one | {"load_n": 55.0})
    assert not merge.comparable(one, one | {"load_n": 56.0})
    assert not merge.comparable(one, one | {"method": "laid out"})
    assert merge.without_controls(True, False) is None
    assert merge.without_controls(True, True) == 3.0


# Section 3


def test_3_limits_of_entries_and_of_what_they_share():
    assert shift.entry_limit(3, 1.5) == pytest.approx(8.46, abs=0.0051)
    assert shift.common_limit(72, 3, 1.5) == pytest.approx(4.76, abs=0.0051)
    assert shift.shift([0.0] * 5, False)[1] == pytest.approx(1.71, abs=0.0051)
    assert shift.shift([0.0] * 4, True) == (0.0, 1.5)
    assert shift.shift([0.0] * 4, False) is None


def test_3_lines_that_nobody_touched_did_not_move_as_planned():
    """All main lines claimed +10 mm, none moved: what all share is outside the plan."""
    entries = [(row, 10.0, [0.3, -0.4, 0.2]) for row in "ABC" for _ in range(8)]

    assert shift.assess(entries, [], True) == (["outside"] * 24, "outside")
    assert shift.assess(entries, [], False) == (["within"] * 24, "not assessed")
    done = [(row, p, [z + p for z in found]) for row, p, found in entries]
    assert shift.assess(done, [], True) == (["within"] * 24, "within")
    little = [(row, 3.0, found) for row, _, found in entries]
    assert shift.assess(little, [], True)[1] == "not assessed"


# Section 4

AFTER = [4, -3, 5, 2, -4, 3]


def test_4_likelihood_of_a_swap():
    before, v = [-a for a in AFTER], [swaps.variance(3)] * 6

    assert v[0] == pytest.approx(3.5936, abs=5.1e-5)
    assert swaps.beyond_noise(AFTER, before, v) == pytest.approx(9.5731, abs=5.1e-5)
    assert swaps.swap_gain(AFTER, before, v) == pytest.approx(18.509, abs=5.1e-4)
    assert swaps.swap_misfit(AFTER, before, v) == 0
    assert swaps.swapped([("AB"[i > 2], a, -a, 3) for i, a in enumerate(AFTER)])


def test_4_a_symmetric_wing_gives_no_swap():
    after = [1, -1] * 3
    before, v = [-a for a in after], [swaps.variance(3)] * 6

    assert swaps.beyond_noise(after, before, v) == 0
    assert swaps.swap_gain(after, before, v) == 0
    assert not swaps.swapped([("A", a, -a, 3) for a in after])


@pytest.mark.parametrize(
    ("n", "limit"),
    [
        # The study prints 7.8 for two points; its formula gives 7.748.
        (2, 7.7),
        (3, 6.6),
        (4, 6.0),
        (6, 5.3),
        (12, 4.5),
    ],
)
def test_4_limits_of_groups_that_nobody_touched(n, limit):
    assert swaps.group_limit(n) == pytest.approx(limit, abs=0.051)


def test_4_limits_of_cells_and_medians():
    assert swaps.cell_limit() == pytest.approx(12.5, abs=0.051)
    squares = (swaps.group_limit(3, by_median=True) / 3.5) ** 2 - 2 * 0.7**2
    assert squares == pytest.approx(1.25**2 * 2 * 1.98**2 / 3)
