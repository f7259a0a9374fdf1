"""The combination of uncertainties against worked examples of its standard, and against chance."""

import math

import numpy as np
import pytest
import scipy

from trimscribe.analyse.line_table import line_table
from trimscribe.analyse.uncertainty import ErrorModel, Shared, UncertaintyComponents
from trimscribe.model.wing import Side

ROWS = {"A": 0.25, "B": 0.90, "C": 1.55}


def combined(sensitivity, *sources):
    """The uncertainty of a weighted sum of quantities that have no scale in common."""
    weights = np.asarray(sensitivity, dtype=float)
    return ErrorModel(sources, 0.0, np.zeros(weights.size)).u(weights)


def independent(sensitivity, u):
    """The uncertainty of a sum of independent quantities."""
    parts = np.asarray(sensitivity) * np.asarray(u)
    return combined(parts, Shared(1.0, np.arange(parts.size)))


def test_end_gauge_calibration():
    """JCGM 100:2008, H.1: u_c 31.66 nm, stated as 32 nm; numbers recomputed from the example.

    l = l_S + d - l_S (δα θ + α_S δθ): the sensitivities to α_S and θ are nought.
    """
    gauge_nm, alpha, theta = 50.000623e6, 11.5e-6, -0.1
    sensitivity = [1.0, 1.0, 0.0, 0.0, -gauge_nm * theta, -gauge_nm * alpha]
    standard, difference = 25.0, math.hypot(5.8, 3.9, 6.7)
    u = [standard, difference, 1.2e-6, 0.41, 0.58e-6, 0.029]

    u_c = independent(sensitivity, u)

    assert difference == pytest.approx(9.7, abs=0.05)
    assert u_c == pytest.approx(31.66, abs=0.1)
    assert round(u_c) == 32


def test_expanded_uncertainty_of_the_end_gauge():
    """JCGM 100:2008, H.1: 16 effective degrees of freedom, U99 = 93 nm (recomputed)."""
    parts, freedom = np.array([25.0, 9.7, 2.9, 16.6]), np.array([18.0, 25.6, 50.0, 2.0])
    u_c = combined(parts, Shared(1.0, np.arange(4)))

    effective = u_c**4 / float(np.sum(parts**4 / freedom))

    assert int(effective) == 16
    assert scipy.stats.t.ppf(0.995, int(effective)) * u_c == pytest.approx(93, abs=0.6)


def test_resistance_and_reactance_measured_together():
    """JCGM 100:2008, H.2: correlated inputs V, I, φ; u_c of R, X and Z in ohms.

    Inputs as in the documentation of the GUM Tree Calculator (gtc.readthedocs.io, API/GUM_H2); the
    values here are what it gives for them (version 1.5.1).
    """
    volt, ampere, phase = 4.9990, 19.6610e-3, 1.04446
    u = np.array([0.0032, 0.0095e-3, 0.00075])
    correlation = np.array([[1, -0.36, 0.86], [-0.36, 1, -0.65], [0.86, -0.65, 1]])
    root = np.linalg.cholesky(correlation * np.outer(u, u))
    z = volt / ampere
    gradients = {
        "R": [z / volt, -z / ampere, 0.0] * np.array(math.cos(phase)) - [0, 0, z * math.sin(phase)],
        "X": [z / volt, -z / ampere, 0.0] * np.array(math.sin(phase)) + [0, 0, z * math.cos(phase)],
        "Z": np.array([z / volt, -z / ampere, 0.0]),
    }

    found = {
        name: combined(root.T @ np.asarray(c), Shared(1.0, np.arange(3)))
        for name, c in gradients.items()
    }

    assert found["R"] == pytest.approx(0.069979, abs=5e-7)
    assert found["X"] == pytest.approx(0.295717, abs=5e-7)
    assert found["Z"] == pytest.approx(0.236603, abs=5e-7)


def test_an_error_that_two_quantities_share_is_one_error():
    shared, alone = np.zeros(2, dtype=int), np.arange(2)

    assert combined([1.0, 1.0], Shared(3.0, shared)) == pytest.approx(6.0)
    assert combined([1.0, -1.0], Shared(3.0, shared)) == 0
    assert combined([1.0, 1.0], Shared(3.0, alone)) == pytest.approx(3.0 * 2**0.5)


def errors_of(table, spread):
    """Lengths that err by line, by row, and with the tape."""
    lines = Shared(spread.line_mm, np.arange(table.row.size))
    return ErrorModel(
        (lines, Shared(spread.row_mm, table.row)), spread.scale_mm_per_m, table.length_m
    )


@pytest.fixture
def table(wing):
    spec = wing(ROWS, 8)
    lengths = {(s, p): 7000.0 for s in Side for g in spec.rows for p in g.points}
    return line_table(spec, lengths)


def test_a_tape_that_reads_short_cancels_between_rows_and_between_sides(table):
    tape = UncertaintyComponents(line_mm=0.0, row_mm=0.0, scale_mm_per_m=5.0)
    mean_of_a = table.in_row("A") / table.in_row("A").sum()
    mean_of_c = table.in_row("C") / table.in_row("C").sum()
    right_less_left = np.where(table.right, 1.0, -1.0) / (len(table.row) // 2)

    errors = errors_of(table, tape)
    assert errors.u(mean_of_a) == pytest.approx(35.0)  # 7 m at 5 mm/m
    assert errors.u(mean_of_a, against_m=7.0) == pytest.approx(0, abs=1e-12)
    assert errors.u(mean_of_c - mean_of_a) == pytest.approx(0, abs=1e-12)
    assert errors.u(right_less_left) == pytest.approx(0, abs=1e-12)


def test_weighted_uncertainty_agrees_with_simulation(table):
    random = np.random.default_rng(20261016)
    spread, weights = UncertaintyComponents(2.0, 1.5, 0.4), random.normal(0, 1, table.row.size)
    lines = random.normal(0, spread.line_mm, (20_000, table.row.size))
    rows = random.normal(0, spread.row_mm, (20_000, 3))[:, table.row]
    scale = random.normal(0, spread.scale_mm_per_m, (20_000, 1)) * table.length_m

    seen = np.std((lines + rows + scale) @ weights)

    errors = errors_of(table, spread)
    assert errors.u(weights) == pytest.approx(seen, rel=0.02)
    own, shared = errors.effects[0], errors.effects[1].columns()
    same_row = table.row[:, None] == table.row
    covariance = (
        spread.line_mm**2 * np.eye(table.row.size)
        + spread.row_mm**2 * same_row
        + spread.scale_mm_per_m**2 * np.outer(table.length_m, table.length_m)
    )
    assert np.diag(own) + shared @ shared.T == pytest.approx(covariance)
    assert errors.u(weights) == pytest.approx(np.sqrt(weights @ covariance @ weights))
    assert errors.covariances_with(weights) == pytest.approx(covariance @ weights)
    assert errors.variances() == pytest.approx(np.diag(covariance))
