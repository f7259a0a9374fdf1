"""Lengths measured at another load: never corrected silently, never judged uncorrected."""

from dataclasses import replace

import pytest

from trimscribe.analyse.load import at_specified_load
from trimscribe.model.findings import Expectation, Verdict, WhyNot
from trimscribe.model.thresholds import Thresholds
from trimscribe.model.wing import Point, Side

SOFT = {"A": 40_000.0, "B": 25_000.0, "C": 12_000.0}


@pytest.fixture
def spec(build):
    spec = build.specification(build.three_rows, 6)
    stiff = {name: (value,) * 6 for name, value in SOFT.items()}
    return replace(spec, stiffness_n=stiff)


def stretched(build, spec, load_n):
    """A wing at its specified lengths, measured at another load."""
    lengths = {
        (side, point): mm * (1 + (load_n - 50.0) / SOFT[row.name])
        for side in Side
        for row in spec.rows
        for point, mm in zip(row.points, row.lengths_mm, strict=True)
    }
    return replace(build.measurement(spec, {"A": 0, "B": 0, "C": 0}), lengths_mm=lengths,
                   tension_n=load_n)  # fmt: skip


def test_stretch_between_50_and_100_n(build):
    """The study, section 10: 7 m, 1000 N at 4 %: 14.0 mm (secant stiffness 25 000 N)."""
    spec = replace(build.specification({"A": 0.2}, 1), stiffness_n={"A": (25_000.0,)})
    point = Point("A", 1)
    lengths = {(Side.LEFT, point): 7000.0}
    measured = replace(build.measurement(spec, {"A": 0}), lengths_mm=lengths, tension_n=100.0)

    loaded = at_specified_load(spec, measured, Thresholds())

    assert loaded.by_mm[Side.LEFT, point] == pytest.approx(-14.0)
    assert loaded.measurement.lengths_mm[Side.LEFT, point] == pytest.approx(6986.0)
    assert loaded.correction.u_mm == pytest.approx(7.0)  # half of the correction
    assert (loaded.correction.from_n, loaded.correction.to_n) == (100.0, 50.0)


def test_thin_rear_lines_at_another_load_show_a_pitch_that_does_not_exist(build, spec):
    without = replace(spec, stiffness_n={})
    measured = stretched(build, spec, 54.9)  # within 10 %: taken as it is

    near = build.findings(build.job(without, measured)).before

    assert near.comparable_load is Verdict.PASS
    assert near.pitch.wing.value < -0.05


def test_with_the_stiffness_of_every_line_lengths_are_corrected_and_say_so(build, spec):
    state = build.findings(build.job(spec, stretched(build, spec, 100.0))).before

    assert state.comparable_load is Verdict.CONDITIONAL_PASS
    assert state.pitch.slope_mm_per_m == pytest.approx(0, abs=0.3)
    assert state.correction.largest_mm == pytest.approx(-30.9, abs=0.1)
    assert [e.name for e in state.budget][-1] == "correction"
    line = state.line(Side.LEFT, Point("C", 1))
    assert line.correction_mm == pytest.approx(-30.9, abs=0.1)
    assert line.measured_mm == pytest.approx(line.specified_mm * (1 + 50 / 12_000))
    assert abs(line.relative_mm) < 0.2


def test_a_correction_carries_its_own_uncertainty(build, spec):
    plain, corrected = (
        build.findings(build.job(spec, stretched(build, spec, n))).before for n in (50.0, 58.0)
    )

    assert corrected.comparable_load is Verdict.CONDITIONAL_PASS
    assert corrected.pitch.wing.u > 1.5 * plain.pitch.wing.u
    assert corrected.line_u_mm > plain.line_u_mm
    assert corrected.pitch.wing.expectation is not Expectation.EXPECTED


def test_half_of_a_large_correction_is_too_uncertain_for_an_angle(build, spec):
    """At twice the load rear lines are corrected by 31 mm, and 15 mm of it are uncertain."""
    corrected = build.findings(build.job(spec, stretched(build, spec, 100.0))).before

    assert corrected.pitch.wing.why_not is WhyNot.TOO_UNCERTAIN
    assert corrected.speed is None


def test_one_line_without_stiffness_and_nothing_is_corrected(build, spec):
    gap = replace(spec, stiffness_n={**spec.stiffness_n, "C": ()})

    state = build.findings(build.job(gap, stretched(build, spec, 100.0))).before

    assert state.comparable_load is Verdict.FAIL
    assert state.correction is None
    assert state.pitch.wing.why_not is WhyNot.LOAD_DIFFERS
    assert {x.verdict for x in state.lines} == {Verdict.NOT_ASSESSED}


def test_a_change_is_taken_between_corrected_lengths(build, spec):
    job = build.job(spec, stretched(build, spec, 58.0), after=stretched(build, spec, 50.0))

    findings = build.findings(job)

    assert findings.change.pitch.value == pytest.approx(0, abs=0.02)
    assert findings.change.pitch.u > findings.after.pitch.wing.u
    assert not any(doubt.kind.value.startswith("moved") for doubt in findings.doubts)
