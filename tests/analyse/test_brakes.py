"""Brakes: travel against the line set, free travel, verdict, evenness."""

import pytest

from trimscribe.model.findings import Expectation, Verdict, WhyNot
from trimscribe.model.job import OffsetMethod
from trimscribe.model.wing import Point, Side, Tolerances

FLAT = {"A": 0, "B": 0, "C": 0}


@pytest.fixture
def spec(build):
    def make(others=None, **more):
        known = {"trailing_edge_m": 2.4, "brake_free_travel_mm": 70.0}
        return build.specification(
            build.three_rows, 4, {"brake": 4} if others is None else others, **(known | more)
        )

    return make


def state_of(build, spec, both, **more):
    measured = {k: more.pop(k) for k in ("free_travel_mm", "left", "right") if k in more}
    return build.findings(build.job(spec, build.measurement(spec, both, **measured), **more)).before


@pytest.mark.parametrize(
    ("brake", "expectation"),
    [
        (10, Expectation.NONE),
        (11, Expectation.POSSIBLE),
        (29, Expectation.POSSIBLE),
        (30, Expectation.EXPECTED),
        (-30, Expectation.EXPECTED),
    ],
)
def test_long_brakes_have_more_free_travel(build, spec, brake, expectation):
    state = state_of(build, spec(), FLAT | {"brake": brake})

    travel = state.brakes[Side.LEFT].travel_change
    assert travel.value == pytest.approx(brake)
    assert travel.expectation is expectation


def test_brakes_are_set_against_the_line_set_not_the_offset(build, spec):
    """Rear lines short: the trailing edge comes down with them, the brakes have slack."""
    state = state_of(build, spec(), {"A": 0, "B": -10, "C": -20, "brake": -10})

    brake = state.brakes[Side.LEFT]
    assert state.offset.value_mm == pytest.approx(-10)
    assert brake.line_set_mm == pytest.approx(-10 - 20 / 1.3 * 1.5)
    assert brake.travel_change.value == pytest.approx(20 / 1.3 * 1.5)
    line = state.line(Side.LEFT, Point("brake", 1))
    assert line.relative_mm == pytest.approx(brake.travel_change.value)


def test_without_a_trailing_edge_brakes_are_judged_against_the_offset_only(build, spec):
    state = state_of(build, spec(trailing_edge_m=None), {"A": -5, "B": -5, "C": -5, "brake": 22})

    brake = state.brakes[Side.RIGHT]
    assert brake.travel_change.why_not is WhyNot.NO_TRAILING_EDGE
    assert (brake.line_set_mm, brake.free_travel_mm, brake.below_minimum) == (None, None, None)
    assert brake.verdict is Verdict.FAIL  # 27 mm from the offset
    assert state.line(Side.RIGHT, Point("brake", 1)).relative_mm == pytest.approx(27)
    assert state.brake_difference.value == pytest.approx(0)


def test_with_neither_line_set_nor_offset_brakes_are_not_assessed(build, spec):
    state = state_of(build, spec(), {"brake": 3})

    brake = state.brakes[Side.LEFT]
    assert brake.mean_mm == 3
    assert brake.verdict is Verdict.NOT_ASSESSED
    assert brake.travel_change.why_not is WhyNot.NOT_MEASURED


def test_the_mean_of_the_fan_is_judged_and_the_shortest_line_told(build, spec):
    state = state_of(build, spec(), FLAT | {"brake": [-40, 20, 20, 20]})

    brake = state.brakes[Side.LEFT]
    assert (brake.mean_mm, brake.shortest_mm) == (5, -40)
    assert brake.verdict is Verdict.PASS
    assert state.line(Side.LEFT, Point("brake", 1)).verdict is Verdict.FAIL


def test_a_brake_line_outside_its_limit_is_not_hidden_by_a_good_mean(build, spec):
    good = state_of(build, spec(), FLAT | {"brake": [-5, 5, 5, -5]})
    bad = state_of(build, spec(), FLAT | {"brake": [-40, 20, 20, 20]})

    assert good.brake_verdict is Verdict.PASS
    assert bad.brake_verdict is Verdict.FAIL


def test_the_main_brake_line_stands_in_for_a_fan_that_was_not_measured(build, spec):
    wing = spec({"brake": 4, "brake_main": 1})

    few = state_of(build, wing, FLAT | {"brake": [9, 9, None, None], "brake_main": -30})
    none = state_of(build, wing, FLAT | {"brake_main": -30})

    assert [s.brakes[Side.LEFT].mean_mm for s in (few, none)] == [-30, -30]
    assert [s.brakes[Side.LEFT].shortest_mm for s in (few, none)] == [9, None]
    assert none.brakes[Side.LEFT].verdict is Verdict.FAIL


@pytest.mark.parametrize(
    ("main", "relative", "verdict"),
    [
        (7, 7, Verdict.PASS),  # as it was made, below a fan that kept its length too
        (-20, 0, Verdict.PASS),  # shortened to suit the line set
        (-40, -10, Verdict.PASS),
        (60, 60, Verdict.FAIL),
        (-60, -30, Verdict.FAIL),
    ],
)
def test_a_main_brake_line_may_lie_between_its_own_length_and_the_line_set(
    build, spec, main, relative, verdict
):
    """Common practice, no source: brakes are set to suit lines that have shrunk by 30 mm."""
    shrunk = dict.fromkeys(FLAT, -30)
    state = state_of(
        build, spec({"brake": 4, "brake_main": 1}), shrunk | {"brake": -30, "brake_main": main}
    )

    line = state.line(Side.LEFT, Point("brake_main", 1))
    assert line.relative_mm == pytest.approx(relative)
    assert line.verdict is state.brake_verdict is verdict


def test_free_travel_is_the_measured_one_else_estimated(build, spec):
    state = state_of(build, spec(), FLAT | {"brake": -25}, free_travel_mm={Side.LEFT: 52.0})

    left, right = state.brakes[Side.LEFT], state.brakes[Side.RIGHT]
    assert (left.free_travel_mm, left.estimated, left.below_minimum) == (52, False, False)
    assert right.free_travel_mm == pytest.approx(45)
    assert (right.estimated, right.below_minimum) == (True, True)


def test_free_travel_is_estimated_by_the_line_that_pulls_first(build, spec):
    state = state_of(build, spec(), FLAT | {"brake": [-40, 20, 20, 20]})

    assert state.brakes[Side.LEFT].free_travel_mm == pytest.approx(30)


@pytest.mark.parametrize(("travel", "below"), [(49.9, True), (50.0, False)])
def test_free_travel_must_be_at_least_five_centimetres(build, spec, travel, below):
    """Draft prEN 926-2:2012, 5.3.2.2."""
    state = state_of(build, spec(), FLAT | {"brake": 0}, free_travel_mm={Side.LEFT: travel})

    assert state.brakes[Side.LEFT].below_minimum is below


def test_free_travel_alone_is_told_even_when_no_brake_is_specified(build, spec):
    state = state_of(build, spec({}), FLAT, free_travel_mm={Side.LEFT: 40.0})

    assert state.brakes[Side.LEFT].below_minimum is True
    assert state.brakes[Side.LEFT].travel_change.why_not is WhyNot.NOT_MEASURED
    assert state.brakes[Side.RIGHT].free_travel_mm is None
    assert state.brake_verdict is Verdict.NOT_ASSESSED


def test_a_wing_without_brakes_in_its_specification_has_no_brake_findings(build, spec):
    state = state_of(build, spec({}), FLAT)

    assert state.brakes == {}
    assert state.brake_difference.why_not is WhyNot.NOT_MEASURED


def test_one_brake_not_measured_keeps_the_verdict_open(build, spec):
    state = state_of(build, spec(), FLAT, left={"brake": 0})

    assert state.brakes[Side.LEFT].verdict is Verdict.PASS
    assert state.brake_verdict is Verdict.NOT_ASSESSED
    assert state.brake_difference.why_not is WhyNot.NOT_MEASURED


def test_one_bad_brake_fails_whatever_the_other_is(build, spec):
    state = state_of(build, spec(), FLAT, left={"brake": 26})

    assert state.brake_verdict is Verdict.FAIL


@pytest.mark.parametrize(
    ("right", "expectation"),
    [(0, Expectation.NONE), (10, Expectation.POSSIBLE), (-20, Expectation.EXPECTED)],
)
def test_uneven_brakes_are_right_minus_left(build, spec, right, expectation):
    state = state_of(build, spec(), FLAT, left={"brake": 0}, right={"brake": right})

    assert state.brake_difference.value == pytest.approx(right)
    assert state.brake_difference.expectation is expectation
    assert state.brake_difference.threshold == 10


def test_an_uneven_wing_does_not_make_the_brakes_uneven(build, spec):
    """The line set at the trailing edge is that of the whole wing."""
    lines = {"A": 0, "B": 0, "C": -10}

    state = state_of(build, spec(), {"brake": 0}, left=FLAT, right=lines)

    assert state.brake_difference.value == pytest.approx(0)
    edges = {b.line_set_mm for b in state.brakes.values()}
    assert len(edges) == 1


def test_a_line_set_that_is_hardly_known_makes_the_travel_less_certain(build, spec):
    near = build.specification({"A": 0.30, "B": 0.45}, 4, {"brake": 4}, trailing_edge_m=2.4)

    state = state_of(build, near, {"A": 0, "B": 0, "brake": 0})

    assert state_of(build, spec(), FLAT | {"brake": 0}).brakes[Side.LEFT].travel_change.u == 5
    assert state.brakes[Side.LEFT].travel_change.u > 20
    assert state.brakes[Side.LEFT].travel_change.expectation is Expectation.POSSIBLE


def test_the_main_brake_line_shares_the_tolerance_of_the_brake(build, spec):
    wing = spec({"brake": 2, "brake_main": 1}, tolerances=Tolerances(10, {"brake": 25}))

    state = state_of(
        build, wing, FLAT | {"brake": 0, "brake_main": 20}, offset_method=OffsetMethod.NONE
    )

    assert state.line(Side.LEFT, Point("brake_main", 1)).tolerance_mm == 25
    assert state.brakes[Side.LEFT].tolerance_mm == 25
