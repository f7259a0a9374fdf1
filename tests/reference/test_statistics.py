"""Slopes, means and uncertainties against numpy and scipy as independent references."""

import math

import numpy as np
import pytest
import scipy

from trimscribe.analyse.completion import Estimator, Structure
from trimscribe.analyse.line_table import line_table
from trimscribe.analyse.offsets import common_offset
from trimscribe.analyse.pitch import (
    PitchEstimator,
    angle_deg,
    band_weights,
    plane_weights,
    slope_weights,
)
from trimscribe.analyse.uncertainty import ErrorModel, Shared, UncertaintyComponents
from trimscribe.model.job import OffsetMethod
from trimscribe.model.thresholds import Thresholds
from trimscribe.model.wing import Point, Side

ROWS = {"A": 0.2, "B": 0.7, "C": 1.3, "D": 1.8}


def estimator_of(spec, lengths_mm, spread):
    """What weighs the lines of a table, whose lengths err by line and row."""
    table = line_table(spec, lengths_mm)
    lines = Shared(spread.line_mm, np.arange(table.row.size))
    errors = ErrorModel((lines, Shared(spread.row_mm, table.row)), 0.0, table.length_m)
    return Estimator(table, errors, Structure.of(Thresholds()))


@pytest.fixture
def random():
    return np.random.default_rng(20261016)


def test_slope_agrees_with_polyfit_and_linregress(random):
    chord = random.uniform(0.1, 2.0, 40)
    deviation = random.normal(-8 * chord, 4.0)

    slope = slope_weights(chord) @ deviation

    assert slope == pytest.approx(np.polyfit(chord, deviation, 1)[0], rel=1e-10)
    assert slope == pytest.approx(scipy.stats.linregress(chord, deviation).slope, rel=1e-10)


def test_whole_wing_slope_and_line_set_agree_with_polyfit(wing, analysed, random):
    left, right = (
        {name: tuple(random.normal(-9 * x, 3.0, 9)) for name, x in ROWS.items()} for _ in "lr"
    )
    chord = np.tile(np.repeat(list(ROWS.values()), 9), 2)
    deviation = np.concatenate([*left.values(), *right.values()])
    line = np.poly1d(np.polyfit(chord, deviation, 1))
    brakes = {"brake": (5.0,) * 9}

    state = analysed(wing(ROWS, 9, trailing_edge_m=2.3), left | brakes, right | brakes).before

    assert state.pitch.slope_mm_per_m == pytest.approx(line.coeffs[0], rel=1e-9)
    assert state.pitch.wing.value == pytest.approx(
        -math.degrees(math.atan(line.coeffs[0] / 1000)), rel=1e-9
    )
    assert state.brakes[Side.RIGHT].line_set_mm == pytest.approx(line(2.3), rel=1e-9)
    means = {name: np.mean([*left[name], *right[name]]) for name in ROWS}
    for name, x in ROWS.items():
        assert state.residuals[name].value == pytest.approx(means[name] - line(x), abs=1e-9)


def test_uncertainty_of_the_slope_agrees_with_simulation(random):
    """20 000 made-up wings with line and row errors; their slopes spread as predicted."""
    chord, row = np.repeat([0.25, 0.9, 1.55], [14, 12, 8]), np.repeat([0, 1, 2], [14, 12, 8])
    weights, spread = slope_weights(chord), UncertaintyComponents(2.0, 1.5)
    lines = random.normal(0, spread.line_mm, (20_000, chord.size))
    rows = random.normal(0, spread.row_mm, (20_000, 3))[:, row]

    seen = np.std((lines + rows) @ weights)

    sources = (Shared(spread.line_mm, np.arange(chord.size)), Shared(spread.row_mm, row))
    errors = ErrorModel(sources, 0.0, np.zeros(chord.size))
    assert errors.u(weights) == pytest.approx(seen, rel=0.02)


def test_uncertainty_of_the_line_set_at_the_edge_agrees_with_simulation(wing, analysed, random):
    spec, spread = wing(ROWS, 5), UncertaintyComponents(2.0, 1.5)
    lengths = {(s, p): 7000.0 for s in Side for g in spec.rows for p in g.points}
    estimator = estimator_of(spec, lengths, spread)
    table = estimator.table
    line = plane_weights(table, table.on())
    errors = random.normal(0, 2.0, (20_000, table.row.size))
    errors += random.normal(0, 1.5, (20_000, 4))[:, table.row]
    ends = np.polynomial.polynomial.polyfit(table.chord_m, errors.T, 1)

    seen = np.std(ends[0] + ends[1] * 2.4)

    assert estimator.estimate(line.at(2.4)).u == pytest.approx(seen, rel=0.02)


def test_uncertainty_of_the_effective_angle_agrees_with_simulation(wing, random):
    """Bands share their rows' errors, so weighing them does not average those away."""
    spec, spread = wing(ROWS, 9), UncertaintyComponents(2.0, 1.5)
    lengths = {(s, p): 7000.0 for s in Side for g in spec.rows for p in g.points}
    estimator = estimator_of(spec, lengths, spread)
    table = estimator.table
    errors = random.normal(0, 2.0, (20_000, table.row.size))
    errors += random.normal(0, 1.5, (20_000, 4))[:, table.row]
    slopes = sum(
        weight * np.polyfit(table.chord_m[inside], errors[:, inside].T, 1)[0]
        for band, weight in band_weights(Thresholds()).items()
        for inside in [table.on(band=band)]
    )

    pitch = PitchEstimator(estimator, estimator.errors, 0.0)
    angle = pitch.weighted(band_weights(Thresholds()))

    assert angle.u_deg == pytest.approx(np.rad2deg(np.std(slopes) / 1000), rel=0.02)


def test_offset_agrees_with_numpy_whatever_the_method(wing, random):
    spec = wing(ROWS, 7)
    values = random.normal(-12, 5, (2, 4, 7))
    lengths = {
        (side, Point(name, n + 1)): 7000.0 + values[s, r, n]
        for s, side in enumerate(Side)
        for r, name in enumerate(ROWS)
        for n in range(7)
    }
    estimator = estimator_of(spec, lengths, UncertaintyComponents(2.0, 1.5))

    found = {
        method: common_offset(estimator, method, "B", Thresholds()).offset.value_mm
        for method in OffsetMethod
    }

    assert found[OffsetMethod.MEAN] == pytest.approx(values.mean())
    assert found[OffsetMethod.MEDIAN] == pytest.approx(np.median(values))
    assert found[OffsetMethod.ROW] == pytest.approx(values[:, 1].mean())
    assert found[OffsetMethod.NONE] == 0


def test_left_right_means_agree_with_numpy(wing, analysed, random):
    left, right = ({n: tuple(random.normal(0, 4, 6)) for n in ROWS} for _ in "lr")

    symmetry = analysed(wing(ROWS, 6), left, right).before.symmetry

    differences = {n: np.subtract(right[n], left[n]) for n in ROWS}
    for name, values in differences.items():
        assert symmetry.rows[name].value == pytest.approx(values.mean())
    assert symmetry.all_lines.value == pytest.approx(np.mean([*differences.values()]))


def test_small_angles_are_nearly_slope_over_radians():
    assert angle_deg(-1.0) == pytest.approx(np.rad2deg(1e-3), rel=1e-6)
