"""Check values of the trim model, computed by the project's own study apart from this code.

None of them is published, so they are not an outside reference. Source of every value here: the
study "From line-length deviations to handling statements", section 10, computed there with other
code. Its wing: rows at 0.25, 0.90 and 1.55 m, four points each.
"""

import math

import numpy as np
import pytest

from trimscribe.analyse.judging import assess_effect
from trimscribe.analyse.pitch import angle_deg, angle_u_deg, slope_weights, speed_range
from trimscribe.analyse.uncertainty import ErrorModel, Shared
from trimscribe.model.findings import Expectation
from trimscribe.model.thresholds import Thresholds
from trimscribe.model.wing import Band, Side

ROWS = {"A": 0.25, "B": 0.90, "C": 1.55}
CHORD = np.repeat([0.25, 0.90, 1.55], 4)
DEVIATIONS = np.array([-2, -1, -3, -2, -6, -5, -7, -6, -14, -13, -15, -14], dtype=float)
LINES = {"A": (-2, -1, -3, -2), "B": (-6, -5, -7, -6), "C": (-14, -13, -15, -14)}


def test_slope_and_sum_of_squares_of_the_example_wing():
    weights = slope_weights(CHORD)

    assert weights @ DEVIATIONS == pytest.approx(-9.2308, abs=5e-5)
    assert 1 / (weights @ weights) == pytest.approx(3.3800, abs=5e-5)
    rows = slope_weights(np.array([0.25, 0.90, 1.55]))
    assert 1 / (rows @ rows) == pytest.approx(0.8450, abs=5e-5)


def test_angle_of_the_example_wing_with_and_without_lean():
    assert angle_deg(-9.2308) == pytest.approx(0.5289, abs=5e-5)
    assert angle_deg(-9.2308, lean_deg=15) == pytest.approx(0.5475, abs=5e-5)


@pytest.mark.parametrize(("lean", "angle"), [(0.0, 0.5289), (15.0, 0.5475)])
def test_the_example_wing_through_the_whole_analysis(wing, analysed, lean, angle):
    state = analysed(wing(ROWS, 4, lean_deg=lean), LINES).before

    assert state.offset.value_mm == pytest.approx(-7.3333, abs=5e-5)
    assert state.pitch.slope_mm_per_m == pytest.approx(-9.2308, abs=5e-5)
    assert state.pitch.wing.value == pytest.approx(angle, abs=5e-5)


def test_brake_against_the_line_set_at_the_trailing_edge(wing, analysed):
    lines = LINES | {"brake": (-30,) * 4}

    state = analysed(wing(ROWS, 4, trailing_edge_m=2.5), lines).before

    brake = state.brakes[Side.LEFT]
    assert brake.line_set_mm == pytest.approx(-22.1026, abs=5e-5)
    assert brake.travel_change.value == pytest.approx(-7.8974, abs=5e-5)


@pytest.mark.parametrize(
    ("angle", "central", "low", "high"),
    [
        (0.5289, -0.8219, -0.3762, -1.5162),
        (1.0, -1.5540, -0.8991, -2.5097),
        (0.1, -0.1554, 0.0, -0.6116),
    ],
)
def test_recommended_speed_range_at_37_km_h(angle, central, low, high):
    effect = assess_effect(angle, 0.095, 0.5, "deg")  # U = 0.19

    speed = speed_range(effect, None, Thresholds())

    assert speed.central_km_h == pytest.approx(central, abs=6e-5)
    assert speed.low_km_h == pytest.approx(low, abs=6e-5)
    assert speed.high_km_h == pytest.approx(high, abs=6e-5)
    assert (speed.base_km_h, speed.assumed) == (37.0, True)


def test_uncertainty_of_the_angle_of_28_lines_a_row():
    chord, row = np.repeat([0.25, 0.90, 1.55], 28), np.repeat([0, 1, 2], 28)

    sources = (Shared(2.0, np.arange(chord.size)), Shared(1.5, row))
    errors = ErrorModel(sources, 0.0, np.zeros(chord.size))
    u = angle_u_deg(errors.u(slope_weights(chord)))

    assert u == pytest.approx(0.0964, abs=5e-5)
    by_hand = math.sqrt(2.0**2 / 28 + 1.5**2) / math.sqrt(0.845) / 1000
    assert u == pytest.approx(math.degrees(math.atan(by_hand)), rel=1e-12)


def test_uncertainties_of_28_lines_a_row_through_the_whole_analysis(wing, analysed):
    even = dict.fromkeys(ROWS, (0.0,) * 14)

    # The study takes 2 mm for a line as a whole, so that nothing of it cancels in differences.
    budget = dict.fromkeys(("u_tension_mm", "u_hook_up_mm", "rounding_mm"), 1e-9)

    findings = analysed(
        wing(ROWS, 14), even, after=even, thresholds={"u_instrument_mm": 2.0, **budget}
    )

    assert findings.before.pitch.wing.u == pytest.approx(0.0964, abs=5e-5)
    # Of a row's mean 1.0 mm is left in a change, and 0.7 mm of each side and time: our own study.
    by_hand = math.sqrt(2 * 2.0**2 / 28 + 1.0**2 + 2 * 0.7**2 / 2) / math.sqrt(0.845) / 1000
    assert findings.change.pitch.u == pytest.approx(math.degrees(math.atan(by_hand)), rel=1e-6)
    assert findings.before.symmetry.angle.u == pytest.approx(0.0999, abs=5e-5)
    # section 6: "u = 1.6 mm for 14 lines"
    assert findings.before.symmetry.rows["A"].u == pytest.approx(1.6, abs=0.01)


@pytest.mark.parametrize(
    ("angle", "probability", "expectation"),
    [
        (0.25, 0.0042, Expectation.NONE),
        (0.35, 0.0572, Expectation.POSSIBLE),
        (0.5289, 0.6195, Expectation.POSSIBLE),
        (0.75, 0.9958, Expectation.EXPECTED),
    ],
)
def test_probability_and_verdict_around_half_a_degree(angle, probability, expectation):
    effect = assess_effect(angle, 0.095, 0.5, "deg")

    assert effect.probability == pytest.approx(probability, abs=6e-5)
    assert effect.expectation is expectation


def test_bands_are_weighted_by_what_they_do_to_the_speed(wing, analysed):
    angles = (0.2, 0.2, 0.5, 0.5, 1.4, 1.4)  # two points in each band
    lines = {
        name: tuple(-1000 * math.tan(math.radians(a)) * chord for a in angles)
        for name, chord in ROWS.items()
    }

    pitch = analysed(wing(ROWS, 6), lines).before.pitch

    assert [pitch.bands[band].value for band in Band] == pytest.approx([0.2, 0.5, 1.4])
    assert pitch.effective.value == pytest.approx(0.4790, abs=5e-5)
    assert pitch.wing.value == pytest.approx(0.7, abs=1e-3)  # the plain fit counts lines


@pytest.mark.parametrize(
    ("threshold", "u", "none_up_to", "expected_from"),
    [
        ("pitch_deg", 0.095, 0.31, 0.69),
        ("pitch_deg", 0.075, 0.35, 0.65),
        ("band_deg", 0.125, 0.75, 1.25),
        ("left_right_deg", 0.10, 0.20, 0.60),
        ("left_right_mm", 1.5, 7.0, 13.0),
        ("residual_mm", 1.5, 3.0, 9.0),
        ("brake_mm", 5.0, 10.0, 30.0),
    ],
)
def test_table_of_thresholds(threshold, u, none_up_to, expected_from):
    """Section 6 of the study."""
    limit = getattr(Thresholds(), threshold)
    hair = 1e-9

    def at(value):
        return assess_effect(value, u, limit, "").expectation

    assert at(none_up_to - hair) is Expectation.NONE
    assert at(none_up_to + hair) is Expectation.POSSIBLE
    assert at(expected_from - hair) is Expectation.POSSIBLE
    assert at(-expected_from - hair) is Expectation.EXPECTED
