"""Right minus left, from lines measured on both sides, and the turn that it makes: our own study.

Section 5 of it. Its wing is W; the right half is tilted and lengthened, so that both differences
are exactly what is wanted.
"""

import math

import numpy as np
import pytest
from wing_w import at_two_mm, findings_of, measured, study_job, wing_w

from trimscribe.analyse.completion import Estimator
from trimscribe.analyse.measurings import measurings_of
from trimscribe.model.findings import Expectation, WhyNot
from trimscribe.model.wing import Side

POSSIBLE, EXPECTED = Expectation.POSSIBLE, Expectation.EXPECTED


def symmetry(build, left, right, points=6, **more):
    spec = build.specification(build.three_rows, points)
    before = build.measurement(spec, left=left, right=right, **more)
    return build.findings(build.job(spec, before)).before.symmetry


def test_a_right_half_more_nose_up_is_positive(build):
    found = symmetry(build, {"A": 0, "B": 0, "C": 0}, {"A": 0, "B": -10, "C": -20})

    assert found.angle.value == pytest.approx(0.8814, abs=1e-3)
    assert found.angle.expectation is Expectation.EXPECTED
    assert found.rows["C"].value == pytest.approx(-20)
    assert found.all_lines.value == pytest.approx(-10)


def test_all_lines_of_the_left_side_short_shows_as_positive_mm_without_an_angle(build):
    found = symmetry(build, {"A": -15, "B": -15, "C": -15}, {"A": 0, "B": 0, "C": 0})

    assert found.all_lines.value == pytest.approx(15)
    assert found.all_lines.expectation is Expectation.EXPECTED
    assert found.angle.value == pytest.approx(0, abs=1e-12)


def test_a_line_measured_on_one_side_only_counts_for_part_of_it(build):
    """It is 60 mm long: what the other side's is like is not known, and it may be as long."""
    odd, gap = [60, 0, 0, 0, 0, 0], [None, 0, 0, 0, 0, 0]
    flat = {"A": 0, "B": 0, "C": 0}
    whole = symmetry(build, flat, flat)
    found = symmetry(build, flat | {"A": odd}, flat | {"A": gap}, calculated=True)

    assert -60 / 6 < found.rows["A"].value < 0
    assert -60 / 18 < found.all_lines.value < 0
    assert found.rows["A"].u > whole.rows["A"].u
    assert found.angle.u > whole.angle.u


def test_gaps_make_the_sides_less_certain(build):
    flat = {"A": 0, "B": 0, "C": 0}
    whole = symmetry(build, flat, flat)
    found = symmetry(build, flat | {"A": [0, 0, 0, None, None, None]}, flat)

    assert found.rows["A"].value == pytest.approx(0, abs=1e-9)
    assert found.rows["A"].u > whole.rows["A"].u
    assert found.rows["B"].u == pytest.approx(whole.rows["B"].u)
    assert found.angle.value == pytest.approx(0, abs=1e-9)
    assert found.angle.u > whole.angle.u


def test_gaps_on_both_sides_add_up(build):
    """Two points missing on each side, at different places."""
    flat = {"A": 0, "B": 0, "C": 0}
    left = flat | {"A": [None, None, 0, 0, 0, 0]}
    right = flat | {"A": [0, 0, None, None, 0, 0]}

    us = [symmetry(build, *sides).angle.u for sides in ((flat, flat), (left, flat), (left, right))]

    assert us == sorted(us)
    assert len(set(us)) == 3


def test_a_row_that_one_side_lacks_is_not_compared(build):
    flat = {"A": 0, "B": 0, "C": 0}

    found = symmetry(build, {"B": 0, "C": 0}, flat)

    assert found.rows["A"].why_not is WhyNot.NOT_MEASURED
    assert found.rows["B"].value == 0


def uneven(wing, angle_deg, longer_mm):
    """The right half by so much more nose up, and its lines by so much longer on average."""
    chord = {(row.name, n): x for row in wing.rows for n, x in enumerate(row.chord_m, 1)}
    middle = np.mean([*chord.values()])
    slope = -1000.0 * math.tan(math.radians(angle_deg))

    def deviation(side, point):
        tilted = slope * (chord[point.group, point.number] - middle)
        return longer_mm + tilted if side is Side.RIGHT else 0.0

    return at_two_mm(measured(wing, deviation))


def level(wing):
    return at_two_mm(measured(wing, lambda s, p: 0.0))


def turn_of(wing, angle_deg, longer_mm):
    return findings_of(study_job(wing, uneven(wing, angle_deg, longer_mm))).before.symmetry.turn


@pytest.mark.parametrize(
    ("angle", "longer", "rate", "expectation", "side"),
    [
        (0.6, 0, 1.368, POSSIBLE, Side.RIGHT),
        (0.6, -10, 1.846, EXPECTED, Side.RIGHT),
        (0.6, 20, 0.412, POSSIBLE, None),
        (0.4, 20, -0.044, POSSIBLE, None),
        (0.2, 20, -0.500, EXPECTED, Side.LEFT),
        (1.2, 10, 2.258, EXPECTED, Side.RIGHT),
        (1.2, 20, 1.780, POSSIBLE, Side.RIGHT),
        (2.0, 20, 3.604, EXPECTED, Side.RIGHT),
        (0.3, 8, 0.302, POSSIBLE, None),
    ],
)
def test_turns_are_those_of_our_own_study(angle, longer, rate, expectation, side):
    found = turn_of(wing_w(), angle, longer)

    assert found.rate.value == pytest.approx(rate, abs=5.1e-4)
    assert (found.expectation, found.side) == (expectation, side)


@pytest.mark.parametrize(("angle", "longer"), [(0.6, 20), (1.2, 10), (-0.3, 15), (0.05, 12)])
def test_a_mirrored_wing_turns_to_the_other_side(angle, longer):
    other = {Side.LEFT: Side.RIGHT, Side.RIGHT: Side.LEFT, None: None}

    one, mirror = turn_of(wing_w(), angle, longer), turn_of(wing_w(), -angle, -longer)

    assert mirror.rate.value == pytest.approx(-one.rate.value)
    assert (mirror.expectation, mirror.side) == (one.expectation, other[one.side])


def test_a_change_of_length_alone_is_a_change_of_the_turn():
    """Section 5: 0, +18 gives -0.860, expected, to the left."""
    wing = wing_w()

    found = findings_of(study_job(wing, level(wing), uneven(wing, 0.0, 18.0))).change.turn

    assert found.rate.value == pytest.approx(-0.860, abs=5.1e-4)
    assert (found.expectation, found.side) == (EXPECTED, Side.LEFT)


def test_a_right_side_that_was_short_and_let_out_changes_the_turn():
    """It was 18 mm short and pulled to the right; all of that is gone."""
    wing = wing_w()
    before, after = uneven(wing, 0.0, -18.0), level(wing)

    found = findings_of(study_job(wing, before, after))

    assert (found.before.symmetry.turn.side, found.after.symmetry.turn.side) == (Side.RIGHT, None)
    assert found.after.symmetry.turn.expectation is Expectation.NONE
    assert found.change.turn.expectation is EXPECTED
    assert found.change.turn.side is Side.LEFT


@pytest.mark.parametrize(
    ("rows", "state", "change"),
    [
        (2, (0.112, 1.15, 0.262), (0.126, 1.29, 0.294)),
        (3, (0.110, 0.94, 0.254), (0.124, 1.05, 0.287)),
        (4, (0.088, 0.81, 0.204), (0.099, 0.91, 0.230)),
        (5, (0.074, 0.73, 0.173), (0.084, 0.81, 0.195)),
    ],
)
def test_uncertainties_between_the_sides_are_those_of_our_own_study(rows, state, change):
    """Section 5: of the angle in degrees, of the length in mm, of the turn in degrees a second.

    It takes what a row of one side errs by as 1.0 mm in a change too: 0.7 mm each time makes 0.99.
    """
    wing = wing_w(rows)
    made = level(wing)
    occasion = {"u_row_side_occasion_mm": 1.0 / math.sqrt(2.0)}
    found = findings_of(study_job(wing, made, made, thresholds=occasion))

    now, moved = found.before.symmetry, found.change
    us = (now.angle.u, now.all_lines.u, now.turn.rate.u)
    moved_us = (moved.symmetry_angle.u, moved.all_lines.u, moved.turn.rate.u)

    digits = (6e-4, 6e-3, 6e-4)
    for got, wanted in ((us, state), (moved_us, change)):
        for u, known, last in zip(got, wanted, digits, strict=True):
            assert u == pytest.approx(known, abs=last)


def test_the_turns_uncertainty_is_that_of_its_line_weights():
    """The same from a covariance written out line by line."""
    wing = wing_w()
    before = measurings_of(study_job(wing, level(wing))).before
    table = before.table
    right, left = table.right, ~table.right
    length = np.where(right, 1.0, -1.0) / 36.0
    slope = np.zeros(len(right))
    for half, sign in ((right, 1.0), (left, -1.0)):
        arm = table.chord_m[half] - table.chord_m[half].mean()
        slope[half] = sign * arm / (arm @ arm)
    weights = 2.28 * -math.degrees(1e-3) * slope - 0.0478 * length
    lists = table.row + 3 * right
    covariance = (4.0 - 1.0 / 12.0) * np.eye(72) + (lists[:, None] == lists) * 1.0
    covariance += 0.12**2 * np.outer(table.length_m, table.length_m)

    found = findings_of(study_job(wing, level(wing))).before.symmetry.turn

    assert isinstance(before.pitch.estimator, Estimator)
    assert found.rate.u == pytest.approx(math.sqrt(weights @ covariance @ weights), rel=1e-6)


def test_none_is_said_only_where_angle_length_and_turn_are_none():
    """Neither difference is more than possible, and both are to the same side."""
    alone = [turn_of(wing_w(), 0.17, 0.0), turn_of(wing_w(), 0.0, -8.0)]
    both = turn_of(wing_w(), 0.17, -8.0)

    assert [turn.expectation for turn in alone] == [Expectation.NONE, Expectation.NONE]
    assert both.expectation is POSSIBLE  # 0.77 of 1.0 deg/s, less than two uncertainties off


def test_opposed_differences_are_reported_as_such():
    assert turn_of(wing_w(), 1.2, 20).opposed
    assert not turn_of(wing_w(), 1.2, -20).opposed
    assert not turn_of(wing_w(), 1.2, 1.0).opposed  # a length that may be none


def test_a_side_is_named_only_where_half_and_twice_the_ratio_agree():
    """At 20 mm the turn is zero at 0.42 degrees, by half of the ratio at 0.21, by twice at 0.84."""
    sides = {deg: turn_of(wing_w(), deg, 20.0).side for deg in (0.19, 0.23, 0.42, 0.82, 0.86)}

    assert sides == {0.19: Side.LEFT, 0.23: None, 0.42: None, 0.82: None, 0.86: Side.RIGHT}


def test_one_side_alone_has_no_turn():
    wing = wing_w()
    made = measured(wing, lambda s, p: 0.0, [(Side.RIGHT, p) for r in wing.rows for p in r.points])

    found = findings_of(study_job(wing, made)).before.symmetry

    assert found.turn.expectation is Expectation.NOT_ASSESSED
    assert found.turn.rate.why_not is WhyNot.NOT_MEASURED
    assert found.turn.side is None
