"""Decision rules against their standards.

Source: JCGM 106:2012, 7.3 (one limit), 7.4 (two limits) and 8.3.3 (guard bands). The numbers of the
clauses are those that UKAS LAB 48:2019 (Decision Rules and Statements of Conformity) gives in its
examples 6, 7, 11 and 12; the text of the guide itself was not at hand. The values were computed
with scipy apart from this code. Limits ±10 mm unless said otherwise.
"""

import math

import pytest
import scipy

from trimscribe.analyse.judging import assess_effect, conformance_probability, normal_cdf, within
from trimscribe.model.findings import Verdict


@pytest.mark.parametrize(
    ("y", "u", "probability"),
    [
        (0, 5, 0.954500),
        (7, 2, 0.933193),
        (8, 1, 0.977250),
        (8, 2, 0.841345),
        (9, 1, 0.841345),
        (10, 1, 0.500000),
        (10, 5, 0.499968),  # the far limit counts
        (12, 1, 0.022750),
        (13, 2, 0.066807),
    ],
)
def test_conformance_probability_between_two_limits(y, u, probability):
    assert conformance_probability(y, u, -10, 10) == pytest.approx(probability, abs=5e-7)
    assert conformance_probability(-y, u, -10, 10) == pytest.approx(probability, abs=5e-7)


@pytest.mark.parametrize(
    ("lower", "y", "u", "probability"), [(20, 25, 3, 0.952210), (30, 28, 2, 0.158655)]
)
def test_conformance_probability_above_one_limit(lower, y, u, probability):
    found = conformance_probability(y, u, lower, math.inf)

    assert found == pytest.approx(probability, abs=5e-7)


@pytest.mark.parametrize(
    ("u", "acceptance_limit"), [(1, 8.35515), (2, 6.71029), (4, 3.40493), (5, 1.01894)]
)
def test_95_percent_acceptance_limits(u, acceptance_limit):
    found = conformance_probability(acceptance_limit, u, -10, 10)

    assert found == pytest.approx(0.95, abs=1e-6)


def test_above_a_certain_uncertainty_no_reading_reaches_95_percent():
    assert conformance_probability(0, 5.1020, -10, 10) > 0.95
    assert conformance_probability(0, 5.1022, -10, 10) < 0.95


def test_guard_band_of_two_u_keeps_false_acceptance_at_phi_of_minus_two():
    """ILAC-G8:09/2019: below 2.5 %, exactly 0.02275."""
    u = 1.0
    accepted_at_most = 10 - 2 * u

    beyond = 1 - conformance_probability(accepted_at_most, u, -math.inf, 10)

    assert beyond == pytest.approx(0.02275, abs=5e-6)
    assert beyond == pytest.approx(normal_cdf(-2), rel=1e-12)


def test_consumer_risk_of_a_gamma_prior():
    """JCGM 106:2012, example 9.5.4: prior gamma(4, 1/4), limit 2, u 0.25; recomputed."""
    prior = scipy.stats.gamma(4, scale=0.25)

    def accepted_though_bad(y):
        return prior.pdf(y) * conformance_probability(y, 0.25, -math.inf, 2.0)

    risk, _ = scipy.integrate.quad(accepted_though_bad, 2.0, 10.0)

    assert prior.sf(2.0) == pytest.approx(0.042380, abs=5e-7)
    assert risk == pytest.approx(0.008019, abs=5e-7)


@pytest.mark.parametrize("z", [-9.0, -3.0, -1.0, 0.0, 0.5, 2.0, 6.0])
def test_normal_distribution_function_agrees_with_scipy(z):
    assert normal_cdf(z) == pytest.approx(scipy.stats.norm.cdf(z), rel=1e-12)


@pytest.mark.parametrize(("y", "u"), [(0.0, 0.1), (0.3, 0.1), (-0.7, 0.2), (2.0, 0.15)])
def test_probability_beyond_the_threshold_agrees_with_scipy(y, u):
    dist = scipy.stats.norm(y, u)

    found = assess_effect(y, u, 0.5, "deg").probability

    assert found == pytest.approx(dist.sf(0.5) + dist.cdf(-0.5), rel=1e-10)


@pytest.mark.parametrize(
    ("value", "verdict"),
    [
        (10.0, Verdict.PASS),
        (-10.0, Verdict.PASS),
        (10.1, Verdict.FAIL),
        (-10.1, Verdict.FAIL),
        (None, Verdict.NOT_ASSESSED),
    ],
)
def test_lines_are_judged_by_simple_acceptance(value, verdict):
    """ILAC-G8:09/2019, as decision rules that laboratories publish quote it: AL = TL."""
    assert within(value, 10.0) is verdict


def test_a_line_without_a_limit_is_not_assessed():
    assert within(3.0, None) is Verdict.NOT_ASSESSED
