"""Risers count for the wing where specified lengths leave them out: our own study, section 6."""

import math
from dataclasses import replace

import pytest
from wing_w import REPEAT_MM

from trimscribe.model.findings import Expectation, RiserBasis, WhyNot
from trimscribe.model.job import Replacement
from trimscribe.model.wing import RiserLengths, Side

LEVELS = {"A": -2.0, "B": -6.0, "C": -14.0}
RISERS = {"A": 4.0, "B": 0.0, "C": -6.0}


@pytest.fixture
def wing(build):
    return build.specification(
        build.three_rows,
        risers={row: RiserLengths(520.0, 380.0) for row in "ABC"},
        includes_risers=False,
        trailing_edge_m=2.5,
    )


def measured_risers(off=RISERS, sides=tuple(Side)):
    return {(s, row): RiserLengths(520.0 + mm, None) for s in sides for row, mm in off.items()}


def state(build, spec, risers=None, levels=LEVELS, **more):
    made = build.measurement(spec, levels, risers=risers or {})
    return build.findings(build.job(spec, made, **more)).before


def test_the_angle_with_risers_is_that_of_our_own_study(build, wing):
    """-2, -6, -14 and risers of +4, 0, -6: slope -16.9231, 0.9695 degrees; 0.5289 without."""
    found = state(build, wing, measured_risers())
    without = state(build, replace(wing, includes_risers=True), measured_risers())

    assert found.pitch.slope_mm_per_m == pytest.approx(-16.9231, abs=5e-5)
    assert found.pitch.wing.value == pytest.approx(0.9695, abs=5e-5)
    assert without.pitch.wing.value == pytest.approx(0.5289, abs=5e-5)
    assert (found.risers_in, without.risers_in) == (RiserBasis.MEASURED, RiserBasis.INCLUDED)


def test_lines_are_judged_without_their_risers(build, wing):
    found, without = state(build, wing, measured_risers()), state(build, wing)

    assert [x.relative_mm for x in found.lines] == [x.relative_mm for x in without.lines]
    assert found.offset.value_mm == pytest.approx(-22.0 / 3.0)
    assert found.verdict is without.verdict


def test_risers_count_for_the_line_set_at_the_trailing_edge(build, wing):
    spec = build.specification(
        build.three_rows,
        others={"brake": 4},
        risers=wing.risers,
        includes_risers=False,
        trailing_edge_m=2.5,
    )
    made = build.measurement(spec, LEVELS | {"brake": 0.0}, risers=measured_risers())

    brake = build.findings(build.job(spec, made)).before.brakes[Side.LEFT]

    mean = (2.0 - 6.0 - 20.0) / 3.0
    assert brake.line_set_mm == pytest.approx(mean - 16.923077 * 1.6)


def test_one_sides_risers_count_between_the_sides(build, wing):
    uneven = measured_risers({"A": 0.0, "B": 0.0, "C": 0.0}, (Side.LEFT,)) | measured_risers(
        {"A": 0.0, "B": 0.0, "C": -12.0}, (Side.RIGHT,)
    )

    found = state(build, wing, uneven, dict.fromkeys("ABC", 0.0)).symmetry

    assert found.rows["C"].value == pytest.approx(-12.0)
    assert found.all_lines.value == pytest.approx(-4.0)
    assert found.angle.value == pytest.approx(math.degrees(math.atan(0.012 * 0.65 / 0.845)))


def test_a_riser_measured_once_counts_for_both_measurings(build, wing):
    before = build.measurement(wing, LEVELS, risers=measured_risers())
    after = build.measurement(wing, dict.fromkeys("ABC", 0.0))

    found = build.findings(build.job(wing, before, after=after))

    assert found.after.risers_in is RiserBasis.MEASURED
    assert found.after.pitch.slope_mm_per_m == pytest.approx(-10.0 / 1.3)
    assert found.change.pitch.value == pytest.approx(
        found.after.pitch.wing.value - found.before.pitch.wing.value
    )


def test_a_riser_that_was_replaced_does_not_count_for_the_other_measuring(build, wing):
    before = build.measurement(wing, LEVELS, risers=measured_risers())
    after = build.measurement(wing, LEVELS)
    new = Replacement("riser A left", Side.LEFT, "worn")

    found = build.findings(build.job(wing, before, after=after, replacements=(new,)))

    assert found.before.risers_in is RiserBasis.MEASURED
    assert found.after.risers_in is RiserBasis.NOT_MEASURED


def test_risers_of_some_rows_only_are_partly_measured(build, wing):
    found = state(build, wing, measured_risers({"A": 4.0}))

    assert found.risers_in is RiserBasis.PARTLY_MEASURED
    assert found.pitch.slope_mm_per_m == pytest.approx((-14.0 - 2.0) / 1.3)


FOUR_ROWS = {"A": 0.2, "B": 0.7, "C": 1.2, "D": 1.75}


def level_state(build, rows, *, known):
    """Rows of twelve points at one chord position each, exactly as specified."""
    risers = dict.fromkeys(rows, RiserLengths(520.0, None))
    spec = build.specification(rows, 12, risers=risers, includes_risers=False)
    found = measured_risers(dict.fromkeys(rows, 0.0)) if known else {}
    made = build.measurement(spec, dict.fromkeys(rows, 0.0), risers=found, repeat_mm=REPEAT_MM)
    # The study leaves out what a tape reads short: it hardly matters between rows.
    no_scale = {"u_scale_mm_per_m": 1e-9}
    return build.findings(build.job(spec, made, thresholds=no_scale)).before


def test_measured_risers_add_what_they_add_in_our_own_study(build):
    """u_row hypot(1.5, 1/sqrt 2) = 1.66 mm, u_angle 0.106; side part hypot(1, 1), u_Da 0.135."""
    found = level_state(build, build.three_rows, known=True)

    assert found.risers_in is RiserBasis.MEASURED
    # 0.10655: the study cut it to 0.106
    assert found.pitch.wing.u == pytest.approx(0.106, abs=1e-3)
    plain = plain_u_deg(math.hypot(1.5, 1 / math.sqrt(2.0)))
    assert found.pitch.wing.u == pytest.approx(plain, rel=1e-5)
    assert found.symmetry.angle.u == pytest.approx(
        0.135, abs=6e-4
    )  # 0.1344 by 1.98 mm, 0.1348 by 2
    assert found.symmetry.turn.rate.value == 0.0


@pytest.mark.parametrize(("rows", "u"), [(None, 0.204), (FOUR_ROWS, 0.163)])
def test_risers_nobody_measured_add_what_they_add_in_our_own_study(build, rows, u):
    """A limit of +-5 mm, rectangular, a row's taken as alike: u_row 3.25 mm."""
    found = level_state(build, rows or build.three_rows, known=False)

    assert found.risers_in is RiserBasis.NOT_MEASURED
    assert found.pitch.wing.u == pytest.approx(u, abs=5.1e-4)


def test_without_risers_none_is_said_only_of_a_tenth_of_a_degree(build):
    """ "None" only to 0.09 degrees, "expected" from 0.91."""
    u = level_state(build, build.three_rows, known=False).pitch.wing.u

    assert 0.5 - 2.0 * u == pytest.approx(0.09, abs=5e-3)
    assert 0.5 + 2.0 * u == pytest.approx(0.91, abs=5e-3)


def test_without_risers_a_turn_is_not_assessed(build):
    """Side part 3.06 mm: u_Da 0.274 degrees, and twice that is beyond 0.4."""
    found = level_state(build, build.three_rows, known=False).symmetry

    assert found.angle.why_not is found.turn.rate.why_not is WhyNot.TOO_UNCERTAIN
    assert found.turn.expectation is Expectation.NOT_ASSESSED
    assert found.turn.side is None
    row = math.sqrt(3.06**2 + REPEAT_MM**2 / 12.0)
    assert math.degrees(1e-3 * row * math.sqrt(2.0 / (2.0 * 0.65**2))) == pytest.approx(
        0.274, abs=5e-4
    )


def plain_u_deg(row_mm, lines=24):
    """Of three rows at 0.25, 0.90 and 1.55 m: sqrt(u_L²/n + u_row²) / sqrt(Sxx)."""
    return math.degrees(1e-3 * math.sqrt((4.0 / lines + row_mm**2) / (2.0 * 0.65**2)))


@pytest.mark.parametrize(
    ("sides", "word"),
    [((), Expectation.NOT_ASSESSED), ((Side.LEFT,), Expectation.NOT_ASSESSED),
     (tuple(Side), Expectation.NONE)],
)  # fmt: skip
def test_no_angle_is_called_none_where_risers_were_not_all_measured(build, wing, sides, word):
    """They are taken to be within 5 mm, and a pair that was mixed up is off by more."""
    alike = measured_risers(dict.fromkeys("ABC", 0.0), sides)
    pitch = state(build, wing, alike, dict.fromkeys("ABC", 0.0)).pitch

    every = (pitch.wing, pitch.twist, pitch.effective, *pitch.sides.values(), *pitch.bands.values())
    assert {effect.expectation for effect in every} == {word}
    assert pitch.wing.value == pytest.approx(0.0)
    assert (pitch.wing.why_not is WhyNot.TOO_UNCERTAIN) is (word is Expectation.NOT_ASSESSED)


def test_an_angle_that_is_there_is_named_whatever_risers_may_add(build, wing):
    far = {"A": 0.0, "B": -20.0, "C": -40.0}

    assert state(build, wing, levels=far).pitch.wing.expectation is Expectation.EXPECTED
