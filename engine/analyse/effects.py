"""Judge a quantity against the size from which a pilot may notice it.

Guarded decision with guard band U = 2 u (JCGM 106:2012, 8.3.3; UKAS LAB 48:2019, example 13).
"""

import math

from trimscribe.model.findings import Effect, Expectation, WhyNot

_ROOT_2 = math.sqrt(2.0)
_HAIR = 1e-12


def normal_cdf(z: float) -> float:
    """Standard normal distribution function; erfc keeps the small tail exact."""
    return 0.5 * math.erfc(-z / _ROOT_2)


def conformance_probability(y: float, u: float, lower: float, upper: float) -> float:
    """Probability that the true value lies in [lower, upper] when y ± u was measured.

    Flat prior, normal distribution (JCGM 106:2012, 7.3 and 7.4). `u` > 0 is a standard
    uncertainty; an open limit is ±inf.
    """
    scale = u * _ROOT_2
    return 0.5 * (math.erf((upper - y) / scale) - math.erf((lower - y) / scale))


def expectation(y: float, u: float, threshold: float) -> Expectation:
    """None expected up to T - U, expected from T + U, possible between; U = 2 u."""
    guard = 2.0 * u
    if abs(y) <= threshold - guard:
        return Expectation.NONE
    if abs(y) >= threshold + guard:
        return Expectation.EXPECTED
    return Expectation.POSSIBLE


def assess_effect(value: float, u: float, threshold: float, unit: str) -> Effect:
    """The effect of a known value with standard uncertainty `u`, all in `unit`.

    `u` is 0 where nothing was touched: the value is then known for certain.
    Where the expanded uncertainty 2 u is larger than the threshold, it is not assessed: nothing
    could then be called none expected.
    """
    if 2.0 * u > threshold * (1.0 + _HAIR):
        return not_assessed(WhyNot.TOO_UNCERTAIN, threshold, unit)
    return Effect(
        value=value,
        u=u,
        threshold=threshold,
        unit=unit,
        expectation=expectation(value, u, threshold),
        probability=_beyond(value, u, threshold),
    )


def _beyond(value: float, u: float, threshold: float) -> float:
    """Probability that the true value lies beyond ±threshold."""
    if u == 0.0:
        return 1.0 if abs(value) > threshold else 0.0
    # Both tails by themselves: one minus their complement would lose the small ones.
    return normal_cdf((value - threshold) / u) + normal_cdf((-threshold - value) / u)


def not_assessed(why: WhyNot, threshold: float, unit: str) -> Effect:
    """An effect without a value. Its `u` is 0, as there is nothing to be uncertain about."""
    return Effect(
        value=None,
        u=0.0,
        threshold=threshold,
        unit=unit,
        expectation=Expectation.NOT_ASSESSED,
        why_not=why,
    )
