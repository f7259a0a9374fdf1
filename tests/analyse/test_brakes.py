"""Brakes: travel against the line set, free travel, verdict, evenness."""

import math

import numpy as np
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
    measured = {
        k: more.pop(k) for k in ("free_travel_mm", "left", "right", "repeat_mm") if k in more
    }
    return build.findings(build.job(spec, build.measurement(spec, both, **measured), **more)).before


@pytest.mark.parametrize(
    ("brake", "expectation"),
    [
        # 20 mm and twice 5.8: soft lines, and the line set at the trailing edge
        (8, Expectation.NONE),
        (9, Expectation.POSSIBLE),
        (31, Expectation.POSSIBLE),
        (32, Expectation.EXPECTED),
        (-32, Expectation.EXPECTED),
    ],
)
def test_long_brakes_have_more_free_travel(build, spec, brake, expectation):
    state = state_of(build, spec(), FLAT | {"brake": brake})

    travel = state.brakes[Side.LEFT].travel_change
    assert travel.value == pytest.approx(brake)
    assert travel.expectation is expectation


def test_brakes_are_judged_by_the_makers_table_and_handled_by_the_line_set(build, spec):
    """Rear lines short: the trailing edge comes down with them, the brakes have slack."""
    state = state_of(build, spec(), {"A": 0, "B": -10, "C": -20, "brake": -10})

    brake = state.brakes[Side.LEFT]
    assert state.offset.value_mm == pytest.approx(-10)
    assert brake.line_set_mm == pytest.approx(-10 - 20 / 1.3 * 1.5)
    assert brake.travel_change.value == pytest.approx(20 / 1.3 * 1.5)
    assert brake.relative_mm == -10
    line = state.line(Side.LEFT, Point("brake", 1))
    assert line.relative_mm == -10


STUDY = {"A": -2, "B": -6, "C": -14}  # the line set at the trailing edge, 2.5 m: -22.1026 mm


@pytest.mark.parametrize(
    ("brake", "verdict", "travel"), [(0, Verdict.PASS, 22.10), (-33, Verdict.FAIL, -10.90)]
)
def test_brakes_are_those_of_our_own_study(build, spec, brake, verdict, travel):
    """Section 9: within though the travel may be felt, and outside though it may not."""
    found = state_of(build, spec(trailing_edge_m=2.5), STUDY | {"brake": brake})

    for one in found.brakes.values():
        assert one.line_set_mm == pytest.approx(-22.1026, abs=5e-5)
        assert one.verdict is verdict
        assert one.travel_change.value == pytest.approx(travel, abs=5.1e-3)
        assert one.travel_change.expectation is Expectation.POSSIBLE
    assert found.brake_verdict is verdict


def test_the_line_set_at_the_edge_is_as_uncertain_as_in_our_own_study(build):
    """Section 9: rows at 0.3 and 1.6 m, the edge at 2.3 m, 20 lines each: 2.551 mm."""
    weights = [0.5 + side * 1.35 / 1.3 for side in (-1, 1)]
    assert weights == pytest.approx([-0.5385, 1.5385], abs=5e-5)
    assert math.sqrt(sum(w * w * (4 / 20 + 2.25) for w in weights)) == pytest.approx(
        2.551, abs=5e-4
    )
    spec = build.specification({"A": 0.3, "B": 1.6}, 10, {"brake": 4}, trailing_edge_m=2.3)
    flat = {"A": 0, "B": 0, "brake": 0}
    # The study leaves out what a tape reads short: brake lines are as long as the others.
    found = state_of(
        build, spec, flat, repeat_mm=math.sqrt(4 - 1 / 12), thresholds={"u_scale_mm_per_m": 1e-9}
    )

    travel = found.brakes[Side.LEFT].travel_change
    assert travel.u == pytest.approx(math.hypot(5.0, 2.551), abs=1e-3)


def test_a_brakes_verdict_is_as_certain_as_its_lengths(build, spec):
    """Section 9: u_L²/n + (cL)²; the 5 mm of soft lines are for handling only.

    Besides, 1.5 mm that all lengths of one session share: judgement, no source.
    """
    state = state_of(build, spec(), FLAT | {"brake": 0}, repeat_mm=math.sqrt(4 - 1 / 12))

    length_m = (6400 - 11 * 1.5) / 1000  # the mean of four
    brake = state.brakes[Side.LEFT]
    assert brake.u_mm == pytest.approx(math.sqrt(4 / 4 + (0.12 * length_m) ** 2 + 1.5**2))
    line = state.line(Side.LEFT, Point("brake", 1))
    assert line.u_mm == pytest.approx(math.sqrt(4 + (0.12 * 6.4) ** 2 + 1.5**2))


@pytest.mark.parametrize(
    ("share", "relative", "verdict"), [(False, -33, Verdict.FAIL), (True, -13, Verdict.PASS)]
)
def test_brakes_take_the_common_offset_only_where_the_maker_counts_them_so(
    build, spec, share, relative, verdict
):
    """Section 9: 33 mm short in a line set 20 mm short."""
    lines = dict.fromkeys("ABC", -20) | {"brake": -33}
    state = state_of(build, spec(brakes_share_offset=share), lines)

    brake = state.brakes[Side.LEFT]
    assert brake.relative_mm == pytest.approx(relative)
    assert (brake.verdict, state.brake_verdict) == (verdict, verdict)
    if share:
        own = state_of(build, spec(), lines).brakes[Side.LEFT].u_mm
        # What the session errs by is in the offset as well, and is gone with it.
        assert brake.u_mm**2 == pytest.approx(own**2 - 1.5**2 + state.offset.u_mm**2)


def test_shared_with_an_offset_that_is_not_known_brakes_are_not_assessed(build, spec):
    state = state_of(build, spec(brakes_share_offset=True), {"brake": 3})

    assert state.brakes[Side.LEFT].verdict is Verdict.NOT_ASSESSED
    assert state.brakes[Side.LEFT].relative_mm is None


@pytest.mark.parametrize("rows", [2, 3])
@pytest.mark.parametrize(("brake", "verdict"), [(0.0, Verdict.PASS), (-33.0, Verdict.FAIL)])
def test_a_brake_as_specified_is_within_whatever_the_line_set_did(build, rows, brake, verdict):
    """Section 9: offset -20, slope of 9 mm/m at random; 62 to 64 % within before the rule."""
    rng = np.random.default_rng(rows)
    chord = {"A": 0.3, "B": 1.6} if rows == 2 else build.three_rows
    spec = build.specification(chord, 4, {"brake": 4}, trailing_edge_m=2.3)
    for _ in range(20):
        slope = rng.normal(0.0, 9.0)
        lines = {name: -20.0 + slope * (x - 0.9) for name, x in chord.items()}
        assert state_of(build, spec, lines | {"brake": brake}).brake_verdict is verdict


def test_without_a_trailing_edge_brakes_are_judged_all_the_same(build, spec):
    state = state_of(build, spec(trailing_edge_m=None), {"A": -5, "B": -5, "C": -5, "brake": 27})

    brake = state.brakes[Side.RIGHT]
    assert brake.travel_change.why_not is WhyNot.NO_TRAILING_EDGE
    assert (brake.line_set_mm, brake.free_travel_mm, brake.below_minimum) == (None, None, None)
    assert brake.verdict is Verdict.FAIL  # 27 mm from the table
    assert state.line(Side.RIGHT, Point("brake", 1)).relative_mm == pytest.approx(27)
    assert state.brake_difference.value == pytest.approx(0)


def test_with_neither_line_set_nor_offset_brakes_are_judged_by_the_table(build, spec):
    state = state_of(build, spec(), {"brake": 3})

    brake = state.brakes[Side.LEFT]
    assert (brake.mean_mm, brake.relative_mm) == (3, 3)
    assert brake.verdict is Verdict.PASS
    assert brake.travel_change.why_not is WhyNot.NOT_MEASURED


def test_a_brake_is_judged_by_its_mean_and_by_each_of_its_lines(build, spec):
    """One judgement of each brake, for page one and table alike."""
    lines = {"brake": [-28, -16, -16, -16]}
    state = state_of(build, spec(), FLAT, left=lines, right={"brake": [5, 5, 5, -5]})

    left, right = state.brakes[Side.LEFT], state.brakes[Side.RIGHT]
    assert (left.mean_mm, left.shortest_mm, left.furthest_mm) == (-19, -28, -28)
    assert state.line(Side.LEFT, Point("brake", 1)).verdict is Verdict.FAIL
    assert (left.verdict, right.verdict, right.furthest_mm) == (Verdict.FAIL, Verdict.PASS, 5)
    assert state.brake_verdict is Verdict.FAIL


def test_a_mean_outside_its_limit_is_not_hidden_by_lines_of_which_none_was_measured(build, spec):
    wing = spec({"brake": 4, "brake_main": 1})
    state = state_of(build, wing, FLAT, left={"brake_main": -30}, right={"brake_main": 0})

    assert state.brakes[Side.LEFT].verdict is state.brake_verdict is Verdict.FAIL
    assert state.brakes[Side.RIGHT].verdict is Verdict.PASS


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


def test_a_fan_is_not_compared_with_a_main_line_that_stands_in_for_the_other(build, spec):
    """Both are alike, 20 mm short in their upper lines: of the right one three are unknown."""
    wing = spec({"brake": 4, "brake_main": 1})
    fans = {"left": {"brake": -20}, "right": {"brake": [-20, None, None, None]}}

    state = state_of(build, wing, FLAT | {"brake_main": 0}, **fans)

    assert [state.brakes[side].by_main for side in Side] == [False, True]
    assert state.brake_difference.why_not is WhyNot.NOT_MEASURED
    both = state_of(build, wing, FLAT | {"brake": [-20, None, None, None], "brake_main": 0})
    assert both.brake_difference.value == pytest.approx(0)


@pytest.mark.parametrize(
    ("main", "verdict"), [(7, Verdict.PASS), (-20, Verdict.PASS), (-40, Verdict.FAIL),
                          (60, Verdict.FAIL)]
)  # fmt: skip
def test_a_main_brake_line_is_judged_by_its_own_length(build, spec, main, verdict):
    """Also where the line set has shrunk by 30 mm; that is reported with the free travel."""
    shrunk = dict.fromkeys(FLAT, -30)
    state = state_of(
        build, spec({"brake": 4, "brake_main": 1}), shrunk | {"brake": 0, "brake_main": main}
    )

    line = state.line(Side.LEFT, Point("brake_main", 1))
    assert line.relative_mm == pytest.approx(main)
    assert line.verdict is state.brake_verdict is verdict
    assert state.brakes[Side.LEFT].travel_change.value == pytest.approx(30)


def test_free_travel_is_the_measured_one_else_estimated(build, spec):
    state = state_of(build, spec(), FLAT | {"brake": -25}, free_travel_mm={Side.LEFT: 52.0})

    left, right = state.brakes[Side.LEFT], state.brakes[Side.RIGHT]
    assert (left.free_travel_mm, left.estimated, left.below_minimum) == (52, False, False)
    assert right.free_travel_mm == pytest.approx(45)
    assert (right.estimated, right.below_minimum) == (True, True)
    assert left.free_travel_u_mm is None
    assert right.free_travel_u_mm == pytest.approx(right.travel_change.u)


def test_free_travel_is_estimated_by_the_line_that_pulls_first(build, spec):
    state = state_of(build, spec(), FLAT | {"brake": [-40, 20, 20, 20]})

    assert state.brakes[Side.LEFT].free_travel_mm == pytest.approx(30)


@pytest.mark.parametrize(("travel", "below"), [(49.9, True), (50.0, False)])
def test_free_travel_must_be_at_least_five_centimetres(build, spec, travel, below):
    """Draft prEN 926-2:2012, 5.3.2.2."""
    state = state_of(build, spec(), FLAT | {"brake": 0}, free_travel_mm={Side.LEFT: travel})

    assert state.brakes[Side.LEFT].below_minimum is below


def test_free_travel_alone_is_reported_even_when_no_brake_is_specified(build, spec):
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


def test_a_line_set_that_is_hardly_known_leaves_the_travel_open(build, spec):
    near = build.specification({"A": 0.30, "B": 0.45}, 4, {"brake": 4}, trailing_edge_m=2.4)

    state = state_of(build, near, {"A": 0, "B": 0, "brake": 0})

    assert 5 < state_of(build, spec(), FLAT | {"brake": 0}).brakes[Side.LEFT].travel_change.u < 6
    assert state.brakes[Side.LEFT].travel_change.why_not is WhyNot.TOO_UNCERTAIN
    assert state.brakes[Side.LEFT].verdict is Verdict.PASS


def test_the_main_brake_line_shares_the_tolerance_of_the_brake(build, spec):
    wing = spec({"brake": 2, "brake_main": 1}, tolerances=Tolerances(10, {"brake": 25}))

    state = state_of(
        build, wing, FLAT | {"brake": 0, "brake_main": 20}, offset_method=OffsetMethod.NONE
    )

    assert state.line(Side.LEFT, Point("brake_main", 1)).tolerance_mm == 25
    assert state.brakes[Side.LEFT].tolerance_mm == 25
