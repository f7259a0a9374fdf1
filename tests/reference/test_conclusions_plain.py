"""The plain rules for what may be concluded against the check values of the study behind them.

Source of every figure here: our own study (section numbers in the names), unless said otherwise.
Its test wing W has rows at .25, .9 and 1.55 m, 12 points a side, main lines of three points.
"""

import itertools
import math

import numpy as np
import plain_completion as completion
import plain_offsets as offsets
import pytest
from plain_cells import (
    CHORDS,
    SCALE,
    U_LINE,
    Budget,
    degrees,
    small_degrees,
    study_wing,
    with_rows,
    without,
)
from plain_gaps import angle_assessed
from plain_offsets import relative

ROWS = {"A": -2, "B": -6, "C": -14}
GAPS = {
    "none": lambda c: False,
    "row A": lambda c: c.row == "A",
    "row B": lambda c: c.row == "B",
    "row C": lambda c: c.row == "C",
    "right side": lambda c: c.side == "right",
    "outer five of C": lambda c: c.row == "C" and c.station > 7,
    "inner five of A": lambda c: c.row == "A" and c.station < 6,
}


def wing(gap="none", rows=ROWS):
    return without(with_rows(study_wing(), rows), GAPS[gap])


def wing_of(rows, gap=lambda c: False):
    return without(with_rows(study_wing(rows), dict.fromkeys("ABCDE", 0)), gap)


def straight(rows):
    """Rows that are not tapered, as where a figure gives chord positions alone."""
    return [c._replace(x=CHORDS[rows]["ABCDE".index(c.row)], mm=0.0) for c in study_wing(rows)]


# Section 0


def test_0_budget():
    assert Budget().line == pytest.approx(2.0, abs=0.005)
    assert Budget().repeat == pytest.approx(1.98, abs=0.005)
    assert Budget(stated=1.0).line == pytest.approx(math.hypot(1.0, 0.29))


def test_0_what_a_change_of_a_row_mean_errs_by():
    row, side = 0.7, 0.7 / math.sqrt(2)

    assert math.sqrt(2) * row == pytest.approx(1.0, abs=0.011)
    assert math.hypot(1.0, math.sqrt(2) * side) == pytest.approx(1.22, abs=0.005)


@pytest.mark.parametrize(
    ("gap", "o", "angle", "u_o", "u_angle"),
    [
        ("none", -7.3333, 0.5606, 1.2438, 0.1033),
        ("row B", -8.0000, 0.5762, 2.2837, 0.1119),
        ("right side", -7.3333, 0.5444, 2.1719, 0.1495),
        ("row C", -5.3104, 0.3049, 3.5278, 0.5201),
        ("row A", -8.6383, 0.3785, 2.9901, 0.3838),
        ("outer five of C", -6.9721, 0.5424, 1.3427, 0.1039),
    ],
)
def test_0_offset_and_angle_with_gaps(gap, o, angle, u_o, u_angle):
    cells = wing(gap)

    assert completion.offset(cells) == pytest.approx((o, u_o), abs=5.1e-5)
    assert completion.angle(cells) == pytest.approx((angle, u_angle), abs=5.1e-5)


@pytest.mark.parametrize("gap", [g for g in GAPS if g != "none"])
def test_0_a_plane_comes_back_exactly(gap):
    plane = [c._replace(mm=4.0 - 11.0 * c.x) for c in study_wing()]

    filled = completion.complete(without(plane, GAPS[gap]))

    assert filled == pytest.approx([c.mm for c in plane], abs=1e-9)


def test_0_one_line_is_filled_from_its_surroundings():
    def first(c):
        return (c.row, c.side, c.station) == ("A", "left", 1)

    cells = without(wing(), first)
    place = next(i for i, c in enumerate(cells) if first(c))
    more = [
        c._replace(mm=c.mm + 9) if (c.row, c.side) == ("A", "left") and c.station in (2, 3) else c
        for c in cells
    ]

    assert completion.complete(cells)[place] == pytest.approx(-2.0385, abs=5.1e-5)
    assert completion.complete(more)[place] == pytest.approx(4.7617, abs=5.1e-5)


def test_0_nothing_missing_gives_the_present_formulas():
    cells = wing()
    error = completion.error_covariance(cells)
    v = np.array(completion.slope_weights(cells))

    value, u, _ = completion.target(cells, v)

    assert value == pytest.approx(v @ [c.mm for c in cells])
    assert u == pytest.approx(math.sqrt(v @ error @ v))


def test_0_one_row_is_not_identifiable():
    assert completion.offset(without(wing(), lambda c: c.row != "B")) is None


# Section 1


@pytest.mark.parametrize(("gap", "u"), [("none", 2.333), ("row B", 2.882), ("right side", 2.916)])
def test_1_u_of_a_lines_relative_deviation(gap, u):
    cells = wing(gap)
    found = [relative(cells, i)[1] for i, c in enumerate(cells) if c.mm is not None]

    assert min(found) == pytest.approx(u, abs=6e-4)
    assert max(found) == pytest.approx(u, abs=6e-4)


@pytest.mark.parametrize(
    ("gap", "u"),
    [
        (lambda c: False, (1.40, 1.24, 1.16)),
        (lambda c: c.station % 2 == 0, (1.45, 1.28, 1.19)),
        (lambda c: c.station % 3 != 2, (1.49, 1.31, 1.22)),
        (lambda c: c.station > 6, (2.19, 1.88, 1.69)),
        (lambda c: c.side == "right", (2.36, 2.17, 2.07)),
        (lambda c: c.row == "B", (None, 2.28, 1.81)),
    ],
    ids=["all", "every second", "one per main line", "inner half", "left only", "without B"],
)
def test_1_u_of_the_offset(gap, u):
    found = [completion.offset(wing_of(rows, gap)) for rows in (2, 3, 4)]

    for has, wanted in zip(found, u, strict=True):
        assert (has and has[1]) == (wanted and pytest.approx(wanted, abs=0.0055))


def test_1_u_of_the_offset_without_the_rear_row():
    found = [
        completion.offset(wing_of(rows, lambda c, rear="ABCDE"[rows - 1]: c.row == rear))
        for rows in (2, 3, 4)
    ]

    assert found[0] is None
    assert [has[1] for has in found[1:]] == pytest.approx([3.53, 2.28], abs=0.0055)


@pytest.mark.parametrize(("rows", "u"), [(2, 1.44), (3, 1.28), (4, 1.18)])
def test_1_u_of_the_offset_with_60_percent_at_random(rows, u):
    random = np.random.default_rng(rows)
    found = []
    for _ in range(12):
        cells = wing_of(rows)
        keep = set(random.permutation(len(cells))[: round(0.6 * len(cells))].tolist())
        cells = [c if i in keep else c._replace(mm=None) for i, c in enumerate(cells)]
        found.append(completion.offset(cells)[1])

    assert np.mean(found) == pytest.approx(u, abs=0.02)


@pytest.mark.parametrize(
    ("rows", "gap", "by_u", "simply"),
    [
        (3, "none", True, True),
        (3, "inner", True, False),
        (2, "inner", False, False),
        (3, "left only", False, False),
        (3, "without B", False, False),
        (4, "without B", True, False),
        (4, "without D", False, False),
        (3, "one row", False, False),
        (3, "one per main line", True, False),  # a third is less than half of the points
        (3, "every second", True, True),
    ],
)
def test_1_where_lines_may_be_judged_against_each_other(rows, gap, by_u, simply):
    gone = {
        "none": lambda c: False,
        "inner": lambda c: c.station > 6,
        "left only": lambda c: c.side == "right",
        "without B": lambda c: c.row == "B",
        "without D": lambda c: c.row == "D",
        "one row": lambda c: c.row != "A",
        "one per main line": lambda c: c.station % 3 != 2,
        "every second": lambda c: c.station % 2 == 0,
    }[gap]
    cells = wing_of(rows, gone)

    assert offsets.offset_known(cells, 10.0) is by_u
    assert offsets.offset_known_simply(cells) is simply


def test_1_offset_of_one_row():
    assert offsets.row_offset_known(wing("outer five of C"), "A")
    assert not offsets.row_offset_known(wing("outer five of C"), "C")


# Section 7


@pytest.mark.parametrize(
    ("rows", "gap", "u", "assessed"),
    [
        (3, lambda c: c.row == "B", 0.112, True),
        (3, lambda c: c.side == "right", 0.150, True),
        (3, lambda c: c.row == "A", 0.384, False),
        (3, lambda c: c.row == "C", 0.520, False),
        (4, lambda c: c.row == "D", 0.318, False),
        (4, lambda c: c.row == "A", 0.250, True),  # .24987: just so
    ],
    ids=["A and C", "left only", "without A", "without C", "four without D", "four without A"],
)
def test_7_angle_with_gaps(rows, gap, u, assessed):
    cells = wing_of(rows, gap)

    assert completion.angle(cells)[1] == pytest.approx(u, abs=5.5e-4)
    assert angle_assessed(cells) is assessed


def test_7_one_row_gives_no_angle():
    assert not angle_assessed(without(wing(), lambda c: c.row != "C"))


def test_7_five_gaps_on_each_side():
    """.1044; the study does not say which five: in turn through the rows at the five outer ones."""
    cells = without(wing(), lambda c: c.station > 7 and "ABC".index(c.row) == (c.station - 8) % 3)

    assert sum(c.mm is None for c in cells) == 10
    assert completion.angle(cells)[1] == pytest.approx(0.1044, abs=5.1e-5)


@pytest.mark.parametrize(("share", "u"), [(0.1, 0.104), (0.2, 0.106), (0.4, 0.111)])
def test_7_u_of_the_angle_with_gaps_at_random(share, u):
    random = np.random.default_rng(7)
    found = []
    for _ in range(12):
        cells = wing()
        gone = set(random.permutation(len(cells))[: round(share * len(cells))].tolist())
        cells = [c._replace(mm=None) if i in gone else c for i, c in enumerate(cells)]
        found.append(completion.angle(cells)[1])

    assert np.mean(found) == pytest.approx(u, abs=0.0015)


# Section 8


def test_8_u_per_kind_of_offset():
    assert offsets.u_against_mean(48, 2) == pytest.approx(2.245, abs=5.1e-4)
    assert offsets.u_against_mean(72, 3) == pytest.approx(2.333, abs=5.1e-4)
    assert offsets.u_against_mean(96, 4) == pytest.approx(2.376, abs=5.1e-4)
    assert offsets.u_alone(7200) == pytest.approx(2.645, abs=5.1e-4)
    assert offsets.u_against_own_row(24) == pytest.approx(1.958, abs=5.1e-4)
    assert offsets.u_against_other_row(24) == pytest.approx(2.944, abs=5.1e-4)


def test_8_the_formulas_are_what_the_covariance_says():
    """For rows of equal count, from V M V' with V = unit - mean of whatever is the offset."""
    cells = wing()
    error = completion.error_covariance(cells)
    mean_length = sum(c.length for c in cells) / len(cells)
    for which, row in itertools.product((0, 30, 71), "ABC"):
        own = cells[which]
        unit = np.eye(len(cells))[which]
        mean = np.full(len(cells), 1 / len(cells))
        of_row = np.array([float(c.row == row) for c in cells]) / 24
        away = (own.length - mean_length) / 1000

        v = unit - mean
        assert math.sqrt(v @ error @ v) == pytest.approx(offsets.u_against_mean(72, 3, away))
        assert math.sqrt(unit @ error @ unit) == pytest.approx(offsets.u_alone(own.length))
        v = unit - of_row
        without_scale = error - SCALE**2 * np.outer(*[[c.length / 1000 for c in cells]] * 2)
        wanted = (
            offsets.u_against_own_row(24) if own.row == row else offsets.u_against_other_row(24)
        )
        assert math.sqrt(v @ without_scale @ v) == pytest.approx(wanted)


@pytest.mark.parametrize("n", [24, 72])
def test_8_a_line_against_the_median(n):
    """The textbook's asymptotic variance of a median, pi/2 of a mean's, by chance (seeded)."""
    readings = np.random.default_rng(8).normal(0.0, U_LINE, (40_000, n))
    found = np.std(readings[:, 0] - np.median(readings, axis=1))

    assert found == pytest.approx(offsets.u_against_median(n, 1), rel=0.015)


def test_0_angles_have_their_sign_and_size():
    """Slope of the model's section 10: -9.2308 mm/m is +.5289 degrees."""
    value, _, _ = completion.target(
        [c._replace(mm=float(ROWS[c.row])) for c in straight(3)],
        completion.slope_weights(straight(3)),
    )

    assert value == pytest.approx(-9.2308, abs=5.1e-5)
    assert degrees(value) == pytest.approx(0.5289, abs=5.1e-5)
    assert small_degrees(value) == pytest.approx(-0.5289, abs=5.1e-5)
