"""After minus before, from lines measured both times."""

import math

import numpy as np
import pytest

from trimscribe.model.findings import Expectation, WhyNot
from trimscribe.model.job import Adjustment
from trimscribe.model.wing import Band, Point, Side

AS_FOUND = {"A": -2, "B": -9, "C": -20, "brake": 0}
FLAT = {"A": 0, "B": 0, "C": 0, "brake": 0}
AS_LEFT = {"A": -2, "B": -4, "C": -5, "brake": -12}


@pytest.fixture
def spec(build):
    return build.specification(build.three_rows, 6, {"brake": 3}, trailing_edge_m=2.4)


def change(build, spec, before, after, **more):
    one, other = (
        m if not isinstance(m, dict) else build.measurement(spec, m) for m in (before, after)
    )
    return build.findings(build.job(spec, one, after=other, **more)).change


def test_the_change_is_after_minus_before(build, spec):
    found = build.findings(
        build.job(spec, build.measurement(spec, AS_FOUND), after=build.measurement(spec, AS_LEFT))
    )

    c = found.change
    assert c.pitch.value == pytest.approx(
        found.after.pitch.wing.value - found.before.pitch.wing.value
    )
    assert c.pitch.value < -0.6
    assert c.pitch.expectation is Expectation.POSSIBLE  # 0.66 and 2 u 0.18, of 0.5 degrees
    assert c.rows_mm == {"A": 0, "B": 5, "C": 15}
    assert c.lines_mm[Side.RIGHT, Point("C", 4)] == 15
    assert c.lines_mm[Side.LEFT, Point("brake", 1)] == -12
    assert c.offset_mm == pytest.approx(20 / 3)
    assert c.twist.value == pytest.approx(0, abs=1e-9)
    assert c.symmetry_angle.value == pytest.approx(0, abs=1e-9)
    assert c.speed.central_km_h > 0
    assert c.brakes[Side.LEFT].value == pytest.approx(
        found.after.brakes[Side.LEFT].travel_change.value
        - found.before.brakes[Side.LEFT].travel_change.value
    )


def test_the_retrim_moves_the_brakes_free_travel_without_touching_them(build, spec):
    """Longer rear lines lift the trailing edge: the brakes have less slack."""
    c = change(build, spec, AS_FOUND, AS_LEFT | {"brake": 0})

    assert c.lines_mm[Side.LEFT, Point("brake", 1)] == 0
    assert c.brakes[Side.LEFT].value < -20
    assert c.brakes[Side.LEFT].expectation is not Expectation.NONE


def test_what_rows_share_cancels_between_two_measurings(build, spec):
    found = build.findings(
        build.job(spec, build.measurement(spec, AS_FOUND), after=build.measurement(spec, AS_LEFT))
    )

    assert found.change.pitch.u < found.before.pitch.wing.u


def test_the_worse_measuring_rules_the_uncertainty_of_the_change(build, spec):
    fine = build.measurement(spec, AS_FOUND, uncertainty_mm=1.0)
    coarse = build.measurement(spec, AS_LEFT, uncertainty_mm=6.0)

    both_fine = change(build, spec, fine, build.measurement(spec, AS_LEFT, uncertainty_mm=1.0))
    mixed = change(build, spec, fine, coarse)

    assert mixed.pitch.u > 1.5 * both_fine.pitch.u
    assert mixed.pitch.u == pytest.approx(change(build, spec, coarse, fine).pitch.u)


def test_a_change_of_travel_takes_the_differences_own_budget(build):
    """Brake lines 5 mm; the line set at the trailing edge by its weights, both readings added up.

    A row's error of 1 mm is what differs between two measurings, 0.7 mm a side and time comes on
    top.
    """
    spec = build.specification(build.three_rows, 4, {"brake": 4}, trailing_edge_m=2.4)
    flat = {"A": 0, "B": 0, "C": 0, "brake": 0}
    fine, coarse = (build.measurement(spec, flat, repeat_mm=u) for u in (0.5, 4.0))

    u = [
        change(build, spec, *pair).brakes[Side.LEFT].u
        for pair in ((fine, coarse), (coarse, fine), (fine, fine))
    ]

    rows = np.array([1 / 3 + x * 1.5 / 0.845 for x in (-0.65, 0.0, 0.65)])
    shared = (rows @ rows) * (1.0 + 2 * 0.7**2 / 2)
    edge = [math.sqrt(rows @ rows / 8 * readings + shared) for readings in (16.25, 16.25, 0.5)]
    assert u == pytest.approx([math.hypot(5.0, e) for e in edge])


def test_only_lines_measured_both_times_count(build, spec):
    """C1 is 90 mm short before and was not measured after."""
    before = {"A": 0, "B": 0, "C": [-90, 0, 0, 0, 0, 0]}
    after = {"A": 0, "B": 0, "C": [None, 0, 0, 0, 0, 0]}

    c = change(build, spec, before, after)

    assert c.pitch.value == pytest.approx(0, abs=1e-9)
    assert c.rows_mm["C"] == 0
    assert (Side.LEFT, Point("C", 1)) not in c.lines_mm
    assert c.brakes[Side.LEFT].why_not is WhyNot.NOT_MEASURED


def test_only_brake_lines_measured_both_times_count(build, spec):
    flat = {"A": 0, "B": 0, "C": 0}

    c = change(build, spec, flat | {"brake": [60, 0, 0]}, flat | {"brake": [None, 0, 0]})

    assert c.brakes[Side.LEFT].value == 0


def test_a_row_not_measured_twice_has_no_change(build, spec):
    c = change(build, spec, AS_FOUND, {"A": 0, "B": 0})

    assert list(c.rows_mm) == ["A", "B"]
    assert c.pitch.why_not is WhyNot.TOO_UNCERTAIN  # what the rear row did, nobody knows
    assert c.pitch.expectation is Expectation.NOT_ASSESSED
    assert c.speed is None


WORK = (Adjustment("C3", Side.LEFT, change_mm=15.0),)


def test_lines_measured_again_do_not_stand_for_others_that_nothing_ties_them_to(build, spec):
    """Only what was worked on was measured again, on another day and without control lines."""
    flat = {"A": 0, "B": 0, "C": 0, "brake": 0}
    again = {"C": [None, None, 15, 0, None, None], "A": 0, "brake": 0}

    for work, why in ((WORK, WhyNot.MEASURED_OTHERWISE), ((), WhyNot.ASSESSED)):
        c = change(build, spec, flat, again | {"B": [0, 0, 0, None, 0, 0]}, adjustments=work)

        assert {e.why_not for e in (c.pitch, c.twist, c.turn.rate)} == {why}
        assert c.brakes[Side.LEFT].why_not is why
        assert (c.speed is None) is bool(work)


def test_work_on_a_row_line_that_was_not_measured_both_times_leaves_the_change_unknown(build, spec):
    flat = {"A": 0, "B": 0, "C": [0, 0, None, 0, 0, 0]}
    both = {"adjustments": WORK}

    assert change(build, spec, flat, flat).pitch.expectation is Expectation.NONE
    c = change(build, spec, flat, flat | {"C": [0, 0, 15, 0, 0, 0]})
    assert c.pitch.expectation is Expectation.NONE
    seen = change(build, spec, flat | {"C": [0, 0, 0, 0, 0, 0]}, flat | {"C": 0}, **both)
    assert seen.pitch.expectation is Expectation.NONE
    for after in (flat, flat | {"C": 0}):
        c = change(build, spec, flat, after, **both)
        assert c.pitch.why_not is c.turn.rate.why_not is WhyNot.NOT_MEASURED


def test_different_points_before_and_after_make_the_change_less_certain(build, spec):
    half, other = [0, 0, 0, 0, None, None], [None, None, 0, 0, 0, 0]
    flat = {"A": 0, "B": 0, "C": 0}

    whole = change(build, spec, flat, flat)
    c = change(build, spec, flat | {"A": half}, flat | {"A": other})

    assert c.pitch.value == pytest.approx(0, abs=1e-9)
    assert c.pitch.u > whole.pitch.u
    assert c.bands[Band.MIDDLE].u == pytest.approx(whole.bands[Band.MIDDLE].u)


def test_without_an_after_measurement_there_is_no_change(build, spec):
    assert change(build, spec, AS_FOUND, None) is None


@pytest.mark.parametrize(
    ("spec_n", "before_n", "after_n"), [(50, 50, 100), (50, 100, 50), (None, 50, 100)]
)
def test_another_measuring_load_blocks_what_is_said_of_the_change(build, spec_n, before_n, after_n):
    spec = build.specification(
        build.three_rows, 6, {"brake": 3}, trailing_edge_m=2.4, tension_n=spec_n
    )

    c = change(
        build,
        spec,
        build.measurement(spec, AS_FOUND, tension_n=before_n),
        build.measurement(spec, AS_LEFT, tension_n=after_n),
    )

    for effect in (c.pitch, c.twist, c.symmetry_angle, *c.bands.values(), *c.brakes.values()):
        assert effect.why_not is WhyNot.LOAD_DIFFERS
    assert c.speed is None
    assert c.lines_mm


def test_a_change_of_symmetry_is_right_minus_left(build, spec):
    after = build.measurement(
        spec, left={"A": 0, "B": 0, "C": 0}, right={"A": 0, "B": -10, "C": -20}
    )

    c = change(build, spec, {"A": 0, "B": 0, "C": 0}, after)

    assert c.symmetry_angle.value == pytest.approx(0.8814, abs=1e-3)


def test_free_travel_measured_before_is_carried_on_by_what_the_brake_gained(build, spec):
    """Measured 90 mm left: lengths alone would say 50 mm, the specified 70 less 20."""
    travel = {Side.LEFT: 90.0}
    before = build.measurement(spec, FLAT | {"brake": -20}, free_travel_mm=travel)
    after = build.measurement(spec, FLAT | {"brake": -50})

    found = build.findings(build.job(spec, before, after=after))
    left, right = (found.after.brakes[side] for side in (Side.LEFT, Side.RIGHT))

    assert left.free_travel_mm == pytest.approx(60)
    assert (left.estimated, left.from_reading, left.below_minimum) == (True, True, False)
    assert left.free_travel_u_mm == pytest.approx(math.hypot(5, found.change.brakes[Side.LEFT].u))
    assert (right.free_travel_mm, right.from_reading) == (None, False)  # the maker states none


def test_free_travel_measured_after_tells_what_it_was_before(build, spec):
    """Measured 60 mm left after 30 mm were taken from it."""
    before = build.measurement(spec, FLAT | {"brake": -20})
    after = build.measurement(spec, FLAT | {"brake": -50}, free_travel_mm={Side.LEFT: 60.0})

    found = build.findings(build.job(spec, before, after=after))
    left, right = (found.before.brakes[side] for side in (Side.LEFT, Side.RIGHT))

    assert left.free_travel_mm == pytest.approx(90)
    assert (left.estimated, left.from_reading, left.below_minimum) == (True, True, False)
    assert left.free_travel_u_mm == pytest.approx(math.hypot(5, found.change.brakes[Side.LEFT].u))
    assert (right.free_travel_mm, right.from_reading) == (None, False)  # the maker states none


def test_free_travel_measured_again_is_what_was_measured(build, spec):
    before, after = (
        build.measurement(spec, FLAT | {"brake": mm}, free_travel_mm={Side.LEFT: travel})
        for mm, travel in ((-20, 90.0), (-50, 55.0))
    )

    left = build.findings(build.job(spec, before, after=after)).after.brakes[Side.LEFT]

    assert (left.free_travel_mm, left.estimated, left.from_reading) == (55, False, False)
