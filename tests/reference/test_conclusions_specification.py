"""The plain rule for a doubted specification, against the check values of the study.

Source of every figure here: our own study (section numbers in the names), unless said otherwise.
"""

import plain_specification as specification
import pytest
from plain_cells import study_wing

# Section 12

SLIP = [7010, 6994, 6975, 6497, 6906, 6862, 6805, 6741, 6668]
SOUND = [*SLIP[:3], 6947, *SLIP[4:]]
OTHER = [length + 40 for length in SOUND]


def test_12_a_specified_length_with_turned_digits():
    assert specification.residuals(SLIP)[3] == pytest.approx(-447.67, abs=0.0051)
    cell, prediction = specification.doubted([SLIP, OTHER], 0)
    assert cell == 3
    assert prediction == pytest.approx(6944.67, abs=0.0051)
    assert specification.doubted([SLIP, OTHER], 1) is None


def test_12_sound_rows_are_not_doubted():
    assert specification.doubted([SOUND, OTHER], 0) is None
    assert specification.doubted([SLIP], 0) is None  # one row alone says nothing


def test_12_near_the_ends_a_parabola():
    exact = [7000 - 3.0 * i - 0.5 * i * i for i in range(8)]

    assert specification.residuals(exact) == pytest.approx([0.0] * 8, abs=1e-6)
    bent = [length + 2 * (-1) ** i for i, length in enumerate(exact)]
    middle = (-bent[1] + 4 * bent[2] + 4 * bent[4] - bent[5]) / 6
    assert specification.predicted(bent, 3) == pytest.approx(middle)


def test_12_rib_spacing_that_rows_share_is_no_slip():
    uneven = [0, 3, 80, 82, 160, 162, 240, 243]
    rows = [[7300.0 - u + 25 * r for u in uneven] for r in range(3)]

    assert max(abs(e) for e in specification.residuals(rows[0])) > 25
    assert [specification.doubted(rows, r) for r in range(3)] == [None] * 3


def test_12_a_specification_doubted_by_the_measuring():
    left = [1.0, -1.0, 2.0, 0.0, 21.0, 1.0, -2.0, 0.0, 1.0]
    right = [0.0, 1.0, 0.0, -1.0, 19.0, 2.0, 1.0, -1.0, 0.0]

    assert specification.doubted_by_measuring(left, right) == [4]
    assert specification.doubted_by_measuring(left, [*right[:4], 2.0, *right[5:]]) == []


def test_12_a_step_between_main_lines_is_no_doubted_specification():
    """Three points a main line: the first of the second one lies off the middle of its four."""
    left = [0.0, 1.0, -1.0, 30.0, 31.0, 29.0, 0.0, 1.0, 0.0]

    assert specification.doubted_by_measuring(left, left) == []


def test_12_a_point_alone_on_its_main_line_says_nothing():
    left = [1.0, -1.0, 2.0, 0.0, 1.0, -2.0, 0.0, 1.0, -1.0, 21.0]

    assert specification.doubted_by_measuring(left, left) == [9]
    assert specification.doubted_by_measuring(left, left, [*"aaabbbccc", "d"]) == []


def transpositions(length):
    """The same length with two neighbouring digits swapped, but for the first."""
    digits = str(length)
    for k in range(1, len(digits) - 1):
        yield int(digits[:k] + digits[k + 1] + digits[k] + digits[k + 2 :])


@pytest.mark.parametrize(("rows", "count"), [(2, 12), (3, 8)])
def test_12_every_transposition_beyond_25_mm_is_named_on_smooth_sets(rows, count):
    """As the study found on three invented sets: all named, predictions within 8 mm."""
    left = [c for c in study_wing(rows, count) if c.side == "left"]
    sound = [[round(c.length) for c in left if c.row == row] for row in "ABCDE"[:rows]]
    assert [specification.doubted(sound, r) for r in range(rows)] == [None] * rows
    for r in range(rows):
        for i, length in enumerate(sound[r]):
            for slip in transpositions(length):
                if abs(slip - length) > 25:
                    one = [[*row] for row in sound]
                    one[r][i] = slip
                    assert specification.doubted(one, r) == (i, pytest.approx(length, abs=8))
                    others = [specification.doubted(one, q) for q in range(rows) if q != r]
                    assert others == [None] * (rows - 1)
