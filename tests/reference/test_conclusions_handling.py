"""The plain rules for what may be felt, against the check values of the study.

Source of every figure here: our own study (section numbers in the names), unless said otherwise.
"""

import math

import plain_brake_rules as brakes
import plain_riser_rules as risers
import plain_shrinkage as shrinkage
import plain_speed as speed
import plain_turn as turn
import pytest
from plain_cells import CHORDS, Cell, degrees, study_wing, with_rows
from plain_completion import slope_weights, target


def straight(rows=3):
    """Rows that are not tapered, as where a figure gives chord positions alone."""
    return [c._replace(x=CHORDS[rows]["ABCDE".index(c.row)], mm=0.0) for c in study_wing(rows)]


# Section 5


@pytest.mark.parametrize(
    ("rows", "change", "u"),
    [
        (2, False, (0.112, 1.15, 0.262)),
        (3, False, (0.110, 0.94, 0.254)),
        (4, False, (0.088, 0.81, 0.204)),
        (5, False, (0.074, 0.73, 0.173)),
        (2, True, (0.126, 1.29, 0.294)),
        (3, True, (0.124, 1.05, 0.287)),
        (4, True, (0.099, 0.91, 0.230)),
        (5, True, (0.084, 0.81, 0.195)),
    ],
)
def test_5_uncertainties(rows, change, u):
    u_angle, u_length, u_rate = turn.uncertainties(study_wing(rows), change)

    assert u_angle == pytest.approx(u[0], abs=5.1e-4)
    assert u_length == pytest.approx(u[1], abs=5.1e-3)
    assert u_rate() == pytest.approx(u[2], abs=5.1e-4)


def test_5_coefficient_of_the_length():
    assert pytest.approx(turn.PER_MM, abs=5e-5) == 0.044 * 10.87 / 10
    assert turn.rate(0.4, 0) == pytest.approx(0.91, abs=0.005)
    assert turn.rate(0, 10) == pytest.approx(-0.48, abs=0.005)


@pytest.mark.parametrize(
    ("angle", "length", "y", "expected", "side"),
    [
        (0.6, 0, 1.368, "possible", "right"),
        (0.6, -10, 1.846, "expected", "right"),
        (0.6, 20, 0.412, "possible", "open"),
        (0.4, 20, -0.044, "possible", "open"),
        (0.2, 20, -0.500, "expected", "left"),
        (1.2, 10, 2.258, "expected", "right"),
        (1.2, 20, 1.780, "possible", "right"),
        (2, 20, 3.604, "expected", "right"),
        (0.3, 8, 0.302, "possible", "open"),
    ],
)
@pytest.mark.parametrize("mirrored", [False, True])
def test_5_turn(angle, length, y, expected, side, mirrored):
    sign = -1 if mirrored else 1
    side = {"right": "left", "left": "right"}.get(side, side) if mirrored else side

    found = turn.turn(sign * angle, sign * length, *turn.uncertainties(study_wing()))

    assert found == (pytest.approx(sign * y, abs=5.1e-4), expected, side)


def test_5_change_of_a_turn():
    found = turn.turn(0, 18, *turn.uncertainties(study_wing(), change=True))

    assert found == (pytest.approx(-0.860, abs=5.1e-4), "expected", "left")


# Section 6


def test_6_risers_enter_the_angle():
    cells = with_rows(straight(), {"A": -2, "B": -6, "C": -14})
    rho = {(s, r): mm for s in ("left", "right") for r, mm in (("A", 4), ("B", 0), ("C", -6))}

    slopes = [
        target(found, slope_weights(found))[0]
        for found in (
            cells,
            risers.effective(cells, rho),
            risers.effective(cells, rho, included=True),
        )
    ]

    assert slopes[1] == pytest.approx(-16.9231, abs=5.1e-5)
    assert degrees(slopes[1]) == pytest.approx(0.9695, abs=5.1e-5)
    assert degrees(slopes[0]) == pytest.approx(0.5289, abs=5.1e-5)
    assert slopes[2] == slopes[0]


def test_6_u_with_risers_measured():
    assert risers.row_u(True) == pytest.approx(1.66, abs=0.0051)
    assert risers.row_side_u(True) == pytest.approx(math.hypot(1, 1))
    assert risers.angle_u(straight(), True) == pytest.approx(0.106, abs=5.1e-4)
    # Printed .135, which follows from u_L 2.0; with repeats alone, as in section 5, it is .1345.
    assert risers.side_angle_u(straight(), True, line=2.0) == pytest.approx(0.135, abs=5.1e-4)
    assert risers.side_angle_u(straight(), True) == pytest.approx(0.13446, abs=5.1e-6)


def test_6_u_with_risers_not_measured():
    u = risers.angle_u(straight(), False)

    assert 5 / math.sqrt(3) == pytest.approx(2.89, abs=0.0051)
    assert risers.row_u(False) == pytest.approx(3.25, abs=0.0051)
    assert u == pytest.approx(0.204, abs=5.1e-4)
    assert risers.angle_u(straight(4), False) == pytest.approx(0.163, abs=5.1e-4)
    assert 0.5 - 2 * u == pytest.approx(0.09, abs=0.0051)
    assert 0.5 + 2 * u == pytest.approx(0.91, abs=0.0051)
    assert risers.row_side_u(False) == pytest.approx(3.06, abs=0.0051)
    side = risers.side_angle_u(straight(), False)
    assert side == pytest.approx(0.274, abs=5.1e-4)
    assert not risers.turn_assessed(side, turn.ANGLE_LIMIT)
    assert risers.turn_assessed(risers.side_angle_u(straight(), True), turn.ANGLE_LIMIT)


# Section 9


def rows_at(chords, count):
    """Rows of `count` lines, both sides together, 7 m long."""
    return [
        Cell(row, ("left", "right")[i % 2], i // 2 + 1, x, 1, 7000.0, 0.5, 0.0)
        for row, x in chords.items()
        for i in range(count)
    ]


def test_9_u_at_the_trailing_edge():
    cells = rows_at({"A": 0.3, "B": 1.6}, 20)
    sums = brakes.row_sums(cells, brakes.edge_weights(cells, 2.3))

    assert list(sums.values()) == pytest.approx([-0.5385, 1.5385], abs=5.1e-5)
    assert brakes.edge_u(cells, 2.3) == pytest.approx(2.551, abs=5.1e-4)
    assert brakes.edge_u_by_rows(sums.values(), [20, 20]) == pytest.approx(2.551, abs=5.1e-4)
    scale = math.hypot(2.551, 0.12 * 1.5)
    assert brakes.edge_u(cells, 2.3, brake_m=8.5) == pytest.approx(scale, abs=5.1e-4)


@pytest.mark.parametrize(
    ("rows", "edge", "u", "change"),
    [(2, 2.3, 3.0, 2.3), (3, 2.4, 3.1, 2.3), (4, 2.7, 2.9, 2.2), (5, 2.7, 2.4, 1.8)],
)
def test_9_u_at_the_trailing_edge_of_the_test_wing(rows, edge, u, change):
    """The study does not print where the edges are; with these all eight figures follow."""
    cells = study_wing(rows)

    assert brakes.edge_u(cells, edge) == pytest.approx(u, abs=0.051)
    repeats = math.sqrt(2) * 1.98
    assert brakes.edge_u(cells, edge, line=repeats, row=1.0) == pytest.approx(change, abs=0.051)


@pytest.mark.parametrize(
    ("brake", "verdict", "travel", "statement"),
    [
        (0.0, "within", 22.10, "as long as specified; about 22 mm more free travel"),
        (-33.0, "outside", -10.90, "outside"),
    ],
)
def test_9_brakes_of_the_worked_example(brake, verdict, travel, statement):
    """The line set is the model's of section 10, T 25 mm."""
    values = {"A": (-2, -1, -3, -2), "B": (-6, -5, -7, -6), "C": (-14, -13, -15, -14)}
    cells = [
        Cell(row, "left", i + 1, CHORDS[3]["ABC".index(row)], 1, 7000.0, 0.5, float(mm))
        for row, found in values.items()
        for i, mm in enumerate(found)
    ]
    edge = brakes.edge_deviation(cells, 2.5)
    found = brakes.free_travel(brake, edge, brakes.edge_u(study_wing(), 2.5))

    assert edge == pytest.approx(-22.1026, abs=5.1e-5)
    assert brakes.brake_verdict(brake, 25.0) == verdict
    assert found == (pytest.approx(travel, abs=0.0051), "possible")
    assert brakes.brake_statement(verdict, found) == statement


def test_9_outside_that_moved_with_the_line_set():
    travel = brakes.free_travel(-33.0, -32.0, 3.0)

    assert travel[1] == "none"
    assert brakes.brake_statement("outside", travel) == "outside; it moved with the line set"
    assert brakes.brake_u(7.2) == pytest.approx(math.hypot(2.0, 0.864))
    assert brakes.brake_u(7.2, n=4, u_offset=1.2) == pytest.approx(math.hypot(1.0, 0.864, 1.2))
    assert brakes.travel_caution(49.0)


# Section 10


def test_10_shared_only_where_it_is_shared():
    shared = with_rows(study_wing(), {"A": -20, "B": -19, "C": -22})
    rear = with_rows(study_wing(), {"A": 0, "B": 0, "C": -48})
    uneven = with_rows(study_wing(), {"A": -16, "B": -16, "C": -24})
    tips = [c._replace(mm=-17.0 - 20.0 * (c.station > 8)) for c in study_wing()]

    assert shrinkage.shared_offset(shared) == (True, [])
    assert shrinkage.shared_offset(rear) is None  # the median is nought
    assert shrinkage.shared_offset(uneven) == (False, [("C", "left"), ("C", "right")])
    assert shrinkage.shared_offset(tips)[0] is False
    assert shrinkage.shared_offset(with_rows(study_wing(), dict.fromkeys("ABC", -51))) is None


# Section 11


@pytest.mark.parametrize(
    ("angle", "u", "unit", "exact", "as_printed"),
    [
        (0.5289, 0.095, 37, (0.376, 1.516), (0.0, 2.0)),
        (1, 0.095, 37, (0.899, 2.510), (0.5, 3.0)),
        (1.3, 0.1, 38, (1.254, 3.249), (1.0, 3.5)),
        (0.7, 0.095, 38, None, (0.5, 2.0)),
    ],
)
def test_11_ranges_are_rounded_outwards(angle, u, unit, exact, as_printed):
    if exact:
        assert speed.computed(angle, u, unit) == pytest.approx(exact, abs=5.1e-4)
    assert speed.printed(angle, u, unit) == as_printed
    assert speed.printed(-angle, u, unit) == as_printed


def test_11_beyond_two_degrees_only_at_least():
    assert speed.printed(2.3, 0.095, 38) == (2.0, None)
    assert speed.change_beyond(2.3, 0.7)
    assert not speed.change_beyond(-1.9, 0.7)
    assert speed.printed(1.6, 0.07, 38, beyond=True) == (1.5, None)
