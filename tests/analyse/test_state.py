"""One measuring: verdicts, counts, rows, angles; and what is not assessed, with its reason."""

import math
from dataclasses import replace

import pytest

from trimscribe.model.findings import Expectation, Verdict, WhyNot
from trimscribe.model.job import OffsetMethod
from trimscribe.model.wing import Band, Point, Side, Tolerances


def angles(state):
    """Every angle of one state, by name."""
    pitch = state.pitch
    return {
        "wing": pitch.wing,
        "effective": pitch.effective,
        "twist": pitch.twist,
        "left-right": state.symmetry.angle,
        **{side.value: effect for side, effect in pitch.sides.items()},
        **{band.value: effect for band, effect in pitch.bands.items()},
    }


def reasons(state):
    return {name: effect.why_not for name, effect in angles(state).items()}


@pytest.mark.parametrize(
    "rows",
    [
        {"A": 0.3, "B": 1.4},
        {"A": 0.2, "B": 0.9, "C": 1.6},
        {"A": 0.2, "B": 0.7, "C": 1.3, "D": 1.8},
        {"A": 0.2, "B": 0.6, "C": 1.0, "D": 1.5, "E": 1.9},
        {"front": 0.3, "rear main": 1.2, "Ö-3": 1.7},
    ],
)
def test_wings_of_two_to_five_rows_with_any_names(build, rows):
    spec = build.specification(rows, 9)
    tilted = {name: -17.455 * chord for name, chord in rows.items()}  # one degree

    state = build.findings(build.job(spec, build.measurement(spec, tilted))).before

    for name in ("wing", "effective", "left", "right", "centre", "middle", "tip"):
        assert angles(state)[name].value == pytest.approx(1.0, abs=1e-4)
    assert state.pitch.twist.value == pytest.approx(0, abs=1e-9)
    assert state.symmetry.angle.value == pytest.approx(0, abs=1e-9)
    assert state.pitch.wing.expectation is Expectation.EXPECTED
    assert list(state.symmetry.rows) == list(rows)
    assert list(state.residuals) == (list(rows) if len(rows) > 2 else [])
    assert all(e.value == pytest.approx(0, abs=1e-9) for e in state.residuals.values())
    assert len(state.rows) == len(rows) * 3 * 4


def test_row_findings_cover_every_side_and_band(build):
    spec = build.specification({"A": 0.2, "B": 1.2}, 6)
    before = build.measurement(
        spec, {"B": 0}, left={"A": [0, 0, 0, 0, 0, 14]}, right={"A": [0, None, 0, 0, 0, 0]}
    )
    job = build.job(spec, before, offset_method=OffsetMethod.NONE)

    rows = {(r.row, r.side, r.band): r for r in build.findings(job).before.rows}

    whole = rows["A", None, None]
    assert (whole.measured, whole.specified, whole.outside) == (11, 12, 1)
    assert whole.mean_mm == pytest.approx(14 / 11)
    assert whole.worst_mm == 14
    assert rows["A", Side.LEFT, Band.TIP].mean_mm == 7
    assert rows["A", Side.LEFT, Band.TIP].verdict is Verdict.FAIL
    assert rows["A", Side.LEFT, Band.CENTRE].verdict is Verdict.PASS
    assert rows["A", Side.RIGHT, Band.CENTRE].measured == 1
    assert rows["B", None, None].verdict is Verdict.PASS


def test_the_worst_deviation_keeps_its_sign(build):
    spec = build.specification({"A": 0.2, "B": 1.2}, 3)
    job = build.job(
        spec, build.measurement(spec, {"A": [3, -9, 4], "B": 0}), offset_method=OffsetMethod.NONE
    )

    assert build.findings(job).before.rows[0].worst_mm == -9


def test_lines_not_measured_are_counted_and_never_fine(build):
    spec = build.specification(build.three_rows, 4, {"stabilo": 2})
    before = build.measurement(spec, {"A": 0, "B": [0, 0, None, 0], "C": 0})

    state = build.findings(build.job(spec, before)).before

    counts = {t.group: (t.judged, t.outside, t.missing, t.verdict) for t in state.tolerances}
    assert counts["A"] == (8, 0, 0, Verdict.PASS)
    assert counts["B"] == (6, 0, 2, Verdict.PASS)
    assert counts["stabilo"] == (0, 0, 4, Verdict.NOT_ASSESSED)
    line = state.line(Side.LEFT, Point("B", 3))
    assert line.verdict is Verdict.NOT_ASSESSED
    assert (line.measured_mm, line.deviation_mm, line.relative_mm) == (None, None, None)
    assert state.verdict is Verdict.PASS


def test_without_a_tolerance_lines_are_not_assessed(build):
    spec = build.specification(build.three_rows, tolerances=Tolerances())

    state = build.findings(
        build.job(spec, build.measurement(spec, {"A": 0, "B": 0, "C": 40}))
    ).before

    assert state.verdict is Verdict.NOT_ASSESSED
    assert all(x.verdict is Verdict.NOT_ASSESSED for x in state.lines)
    assert {t.judged for t in state.tolerances} == {0}
    assert state.pitch.wing.expectation is Expectation.EXPECTED


def test_stabilo_lines_are_judged_against_the_common_offset_without_being_part_of_it(build):
    spec = build.specification(build.three_rows, 4, {"stabilo": 3})
    before = build.measurement(spec, {"A": -8, "B": -8, "C": -8, "stabilo": 5})

    state = build.findings(build.job(spec, before)).before

    assert state.offset.value_mm == pytest.approx(-8)
    stabilo = state.line(Side.RIGHT, Point("stabilo", 1))
    assert stabilo.relative_mm == pytest.approx(13)
    assert stabilo.verdict is Verdict.FAIL
    assert state.verdict is Verdict.FAIL


@pytest.mark.parametrize(
    ("method", "row", "value"),
    [
        (OffsetMethod.MEAN, "", -4.0),
        (OffsetMethod.MEDIAN, "", -3.0),
        (OffsetMethod.ROW, "C", -9.0),
        (OffsetMethod.NONE, "", 0.0),
    ],
)
def test_the_job_chooses_how_the_offset_is_taken(build, method, row, value):
    spec = build.specification(build.three_rows)
    before = build.measurement(spec, {"A": 0, "B": -3, "C": -9})
    job = build.job(spec, before, offset_method=method, offset_row=row)

    state = build.findings(job).before

    assert state.offset.value_mm == pytest.approx(value)
    assert (state.offset.mean_mm, state.offset.median_mm) == (pytest.approx(-4), -3)
    assert state.line(Side.LEFT, Point("A", 1)).relative_mm == pytest.approx(-value)
    assert state.pitch.wing.value == pytest.approx(0.397, abs=1e-3)


def test_an_offset_from_a_row_that_was_not_measured_leaves_lines_not_assessed(build):
    spec = build.specification(build.three_rows)
    before = build.measurement(spec, {"A": 0, "B": 0})
    job = build.job(spec, before, offset_method=OffsetMethod.ROW, offset_row="C")

    state = build.findings(job).before

    assert state.offset is None
    assert state.verdict is Verdict.NOT_ASSESSED


def test_a_line_at_its_limit_is_not_outside_for_the_sake_of_binary_numbers(build):
    """7310.1 less 7300 is 10.100000000000364 in binary, and still 10.1 mm."""
    spec = build.specification({"A": 0.3, "B": 1.3}, 3, tolerances=Tolerances(default_mm=10.1))
    before = build.measurement(spec, {"A": [10.1, 0, 0], "B": 0})
    job = build.job(spec, before, offset_method=OffsetMethod.NONE)

    state = build.findings(job).before

    assert state.line(Side.LEFT, Point("A", 1)).relative_mm > 10.1
    assert state.verdict is Verdict.PASS


def test_a_hundredth_of_a_millimetre_more_is_outside(build):
    spec = build.specification({"A": 0.3, "B": 1.3}, 3)
    lines = {"A": [10.01, -10.01, 0], "B": 0}

    made = build.measurement(spec, lines, calculated=True)  # a slip is looked for elsewhere
    state = build.findings(build.job(spec, made)).before

    assert sum(x.verdict is Verdict.FAIL for x in state.lines) == 4


def test_one_row_has_no_angle(build):
    spec = build.specification({"A": 0.3}, 6)

    state = build.findings(build.job(spec, build.measurement(spec, {"A": 3}))).before

    assert set(reasons(state).values()) == {WhyNot.TOO_FEW_ROWS}
    assert all(e.expectation is Expectation.NOT_ASSESSED for e in angles(state).values())
    assert state.pitch.slope_mm_per_m is None
    assert state.speed is None
    assert state.verdict is Verdict.PASS


def test_two_rows_at_one_chord_position_have_no_angle(build):
    spec = build.specification({"A": 0.3, "B": 0.3}, 6)

    state = build.findings(build.job(spec, build.measurement(spec, {"A": 3, "B": 0}))).before

    assert reasons(state)["wing"] is WhyNot.TOO_FEW_ROWS


def test_without_chord_positions_there_is_no_angle(build):
    spec = build.specification(build.three_rows)
    spec = replace(spec, groups=tuple(replace(g, chord_m=()) for g in spec.groups))

    state = build.findings(
        build.job(spec, build.measurement(spec, {"A": 0, "B": 0, "C": 0}))
    ).before

    assert set(reasons(state).values()) == {WhyNot.NO_CHORD}
    assert state.symmetry.all_lines.value == 0
    assert state.verdict is Verdict.PASS


def test_with_one_side_missing_the_wing_has_an_angle_that_is_less_certain(build):
    """Left and right of a line set are alike for the most part; what they may differ by is in u."""
    spec = build.specification(build.three_rows)
    lines = {"A": 0, "B": -6, "C": -12}
    whole = build.findings(build.job(spec, build.measurement(spec, lines))).before

    state = build.findings(build.job(spec, build.measurement(spec, left=lines))).before

    assert state.pitch.sides[Side.LEFT].value == pytest.approx(0.529, abs=1e-3)
    assert state.pitch.sides[Side.RIGHT].why_not is WhyNot.NOT_MEASURED
    assert state.pitch.wing.value == pytest.approx(0.529, abs=1e-3)
    assert state.pitch.wing.u > 1.3 * whole.pitch.wing.u
    assert state.symmetry.angle.why_not is not WhyNot.ASSESSED
    assert state.symmetry.all_lines.why_not is WhyNot.NOT_MEASURED
    assert state.speed.high_km_h < whole.speed.high_km_h < 0


def test_with_one_of_two_rows_missing_there_is_no_angle(build):
    spec = build.specification({"A": 0.3, "B": 1.4})

    state = build.findings(build.job(spec, build.measurement(spec, {"A": 0}))).before

    assert reasons(state)["wing"] is WhyNot.TOO_FEW_ROWS


@pytest.mark.parametrize("gaps", [4, 5, 8])
def test_gaps_make_an_angle_less_certain_instead_of_ending_it(build, gaps):
    """A plane comes back exactly; what the missing lines may differ by is in the uncertainty."""
    spec = build.specification(build.three_rows, 10)
    flat = {"A": 0, "B": -10, "C": -20}
    row = [None] * gaps + [0.0] * (10 - gaps)

    whole, state = (
        build.findings(build.job(spec, build.measurement(spec, lines))).before
        for lines in (flat, flat | {"A": row})
    )

    assert state.pitch.wing.value == pytest.approx(math.degrees(math.atan(20 / 1300)))
    assert state.pitch.wing.u > whole.pitch.wing.u
    assert state.pitch.bands[Band.TIP].value is not None
    assert state.pitch.effective.u > whole.pitch.effective.u


def test_an_angle_that_the_gaps_make_too_uncertain_is_not_assessed(build):
    """Without the front row nobody knows where it is: 2 u is beyond the threshold."""
    spec = build.specification(build.three_rows, 10)

    state = build.findings(build.job(spec, build.measurement(spec, {"B": -10, "C": -20}))).before

    assert reasons(state)["wing"] is WhyNot.TOO_UNCERTAIN
    assert state.pitch.wing.value is None
    assert state.pitch.slope_mm_per_m == pytest.approx(-10 / 0.65)
    assert state.speed is None


def test_a_line_that_is_missing_does_not_tilt_the_wing(build):
    """Each row is longer towards the tip; one missing point must not read as pitch."""
    spec = build.specification(build.three_rows, 6)
    wave = [0.0, 5.0, 10.0, 15.0, 20.0, 25.0]
    gap = [*wave[:5], None]

    state = build.findings(
        build.job(spec, build.measurement(spec, {"A": wave, "B": wave, "C": gap}))
    ).before

    # Left out, or taken as 0, it would be 0.10 or 0.18 degrees.
    assert abs(state.pitch.wing.value) < 0.25 * state.pitch.wing.u


def test_nothing_measured_is_not_assessed_throughout(build):
    spec = build.specification(build.three_rows, 4, {"brake": 4}, trailing_edge_m=2.4)

    state = build.findings(build.job(spec, build.measurement(spec))).before

    assert set(reasons(state).values()) == {WhyNot.NOT_MEASURED}
    assert state.offset is None
    assert state.verdict is Verdict.NOT_ASSESSED
    assert state.brake_verdict is Verdict.NOT_ASSESSED
    assert state.brakes[Side.LEFT].travel_change.why_not is WhyNot.NOT_MEASURED
    assert state.brakes[Side.LEFT].below_minimum is None
    assert state.speed is None


def test_without_a_specification_nothing_is_compared(build):
    spec = build.specification(build.three_rows)
    before = build.measurement(spec, {"A": 0, "B": 0, "C": 0})

    findings = build.findings(build.job(None, before))

    assert findings.before is None
    assert findings.now is None


@pytest.mark.parametrize(
    ("tension", "verdict"),
    [
        (50, Verdict.PASS),
        (45, Verdict.PASS),
        (55, Verdict.PASS),
        (44.9, Verdict.FAIL),
        (56, Verdict.FAIL),
        (None, Verdict.NOT_ASSESSED),
    ],
)
def test_the_measuring_load_decides_whether_lengths_may_be_compared(build, tension, verdict):
    spec = build.specification(build.three_rows, 4, {"brake": 4}, trailing_edge_m=2.4)
    lines = {"A": 0, "B": -6, "C": -12, "brake": 40}
    before = build.measurement(spec, lines, tension_n=tension)

    state = build.findings(build.job(spec, before)).before

    assert state.comparable_load is verdict
    effects = [
        *angles(state).values(),
        *state.symmetry.rows.values(),
        state.symmetry.all_lines,
        *state.residuals.values(),
        *(brake.travel_change for brake in state.brakes.values()),
        state.brake_difference,
    ]
    blocked = verdict is Verdict.FAIL
    assert all((e.why_not is WhyNot.LOAD_DIFFERS) is blocked for e in effects)
    assert all((e.value is None) is blocked for e in effects)
    assert (state.speed is None) is blocked
    verdicts = {state.line(Side.LEFT, Point("A", 1)).verdict, state.verdict, state.brake_verdict}
    assert (verdicts == {Verdict.NOT_ASSESSED}) is blocked


def test_a_bent_row_shows_as_residual_not_as_pitch(build):
    spec = build.specification({"A": 0.2, "B": 0.9, "C": 1.6})

    state = build.findings(
        build.job(spec, build.measurement(spec, {"A": 0, "B": 15, "C": 0}))
    ).before

    assert state.pitch.wing.value == pytest.approx(0, abs=1e-9)
    assert state.residuals["B"].value == pytest.approx(10)
    assert state.residuals["B"].expectation is Expectation.EXPECTED
    assert state.residuals["A"].value == pytest.approx(-5)


def test_a_line_that_is_missing_hardly_bends_a_row(build):
    """C1 is 60 mm long on both sides, and A1 missing: with A1 as specified it is 10/6, -20/6."""
    spec = build.specification(build.three_rows)
    before = build.measurement(spec, {"A": [None, 0, 0, 0, 0, 0], "B": 0, "C": [60, 0, 0, 0, 0, 0]})
    before = replace(before, calculated=True)

    state = build.findings(build.job(spec, before)).before

    assert [e.value for e in state.residuals.values()] == pytest.approx(
        [10 / 6, -20 / 6, 10 / 6], abs=0.05
    )


def test_brakes_have_their_own_verdict(build):
    spec = build.specification(build.three_rows, 4, {"brake": 4}, trailing_edge_m=2.4)
    before = build.measurement(spec, {"A": 0, "B": 0, "C": 0, "brake": 60})

    state = build.findings(build.job(spec, before)).before

    assert (state.verdict, state.brake_verdict) == (Verdict.PASS, Verdict.FAIL)


def test_tips_more_nose_up_than_the_centre_are_a_positive_twist(build):
    spec = build.specification(build.three_rows, 9)
    rear = [0, 0, 0, -15, -15, -15, -40, -40, -40]

    pitch = (
        build.findings(build.job(spec, build.measurement(spec, {"A": 0, "B": 0, "C": rear})))
    ).before.pitch

    assert pitch.bands[Band.CENTRE].value == pytest.approx(0, abs=1e-9)
    assert pitch.twist.value == pytest.approx(pitch.bands[Band.TIP].value, abs=1e-9)
    assert pitch.twist.value > 1.5
    assert pitch.twist.expectation is Expectation.EXPECTED


@pytest.mark.parametrize(("count", "known"), [(7, True), (5, False)])
def test_of_a_row_that_may_end_long_before_the_tip_nothing_is_said_of_the_tips(build, count, known):
    """A rear row of 5 where others have 9: its last line may hang from the middle of the half."""
    whole = build.specification(build.three_rows, 9)
    groups = [
        replace(g, lengths_mm=g.lengths_mm[:count], chord_m=g.chord_m[:count])
        if g.name == "C"
        else g
        for g in whole.groups
    ]
    spec = replace(whole, groups=tuple(groups))
    rear = [0.0] * (count - 2) + [-40.0] * 2

    pitch = (
        build.findings(build.job(spec, build.measurement(spec, {"A": 0, "B": 0, "C": rear})))
    ).before.pitch

    parts = (pitch.twist, *pitch.bands.values())
    assert {e.why_not for e in parts} == {WhyNot.ASSESSED if known else WhyNot.ROWS_UNLIKE}
    assert pitch.wing.value is not None
    if not known:
        assert pitch.effective.value == pitch.wing.value


def test_what_a_row_errs_by_in_tip_and_centre_cancels_in_the_twist(build):
    spec = build.specification(build.three_rows, 9)
    before = build.measurement(spec, {"A": 0, "B": 0, "C": 0})

    usual, coarse = (
        build.findings(build.job(spec, before, thresholds={"u_row_mm": u})).before.pitch
        for u in (1.5, 4.5)
    )

    assert coarse.bands[Band.TIP].u > 2 * usual.bands[Band.TIP].u
    assert coarse.twist.u == pytest.approx(usual.twist.u)


def test_a_stated_measuring_uncertainty_widens_the_angles(build):
    spec = build.specification(build.three_rows)
    lines = {"A": 0, "B": 0, "C": 0}

    def u(stated):
        before = build.measurement(spec, lines, uncertainty_mm=stated)
        return build.findings(build.job(spec, before)).before.pitch.wing.u

    assert u(0.5) < u(1.5) < u(5.0)
    assert u(None) == pytest.approx(u(1.5), rel=0.01)


def test_a_limit_between_the_sides_is_judged_when_one_is_set(build):
    limits = Tolerances(default_mm=10, left_right_mm=8)
    spec = build.specification({"A": 0.2, "B": 1.2}, 3, {"brake": 2}, tolerances=limits)
    before = build.measurement(spec, {"B": 0}, left={"A": [4, 0, None]}, right={"A": [-5, 0, 0]})

    state = build.findings(build.job(spec, before)).before

    count = state.tolerances[-1]
    assert (count.group, count.judged, count.outside, count.missing) == ("left_right", 5, 1, 1)
    assert all(x.verdict is not Verdict.FAIL for x in state.lines)
    assert state.verdict is Verdict.FAIL
