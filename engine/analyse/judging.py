"""Judge one value that is known with its uncertainty, and many verdicts as one.

Against a limit it gets a verdict, by the job's decision rule. Against the size from which a pilot
may notice it, it becomes an effect, by a guarded decision with guard band U = 2 u (JCGM 106:2012,
8.3.3; UKAS LAB 48:2019, example 13).
"""

import math
from collections.abc import Iterable

from trimscribe.model.decision import SIMPLE, Acceptance, DecisionRule
from trimscribe.model.findings import Effect, Expectation, WhyNot
from trimscribe.model.verdicts import Verdict, worst

# 7310.1 less 7300 is 10.100000000000364 in binary: that line is not outside 10.1 mm.
_ROUNDING = 1e-9
_HAIR = 1e-12  # of a threshold
_ROOT_2 = math.sqrt(2.0)

_CLEAR = {True: Verdict.PASS, False: Verdict.FAIL}
_CLOSE = {True: Verdict.CONDITIONAL_PASS, False: Verdict.CONDITIONAL_FAIL}


def decide(
    rule: DecisionRule, value: float, u: float | None, lower: float, upper: float
) -> Verdict:
    """A value against the limits, which are within; an open limit is ±inf.

    A guarded or probability rule needs the standard uncertainty `u`; without it the value is
    taken as it is. What lies on the right side, but not as surely as the rule asks, is a
    conditional pass; on the wrong side a conditional fail.
    """
    margin = min(upper - value, value - lower) + _ROUNDING
    inside = margin >= 0.0
    if u is None or rule.acceptance is Acceptance.SIMPLE:
        return _CLEAR[inside]
    if rule.acceptance is Acceptance.GUARDED:
        guard = rule.value * u
        clear = margin >= guard if inside else margin <= -guard + 2 * _ROUNDING
    else:
        conforms = conformance_probability(value, u, lower, upper)
        clear = (conforms if inside else 1.0 - conforms) >= rule.value - _ROUNDING
    return _CLEAR[inside] if clear else _CLOSE[inside]


def within(
    value: float | None, limit: float | None, u: float | None = None, rule: DecisionRule = SIMPLE
) -> Verdict:
    """|value| against a limit by `decide`; NOT_ASSESSED when either is missing."""
    if value is None or limit is None:
        return Verdict.NOT_ASSESSED
    return decide(rule, value, u, -limit, limit)


def probability_within(value: float | None, limit: float | None, u: float | None) -> float | None:
    """Probability that the true value lies within ±limit; None when anything is missing."""
    if value is None or limit is None or not u:
        return None
    return conformance_probability(value, u, -limit, limit)


def fold(verdicts: Iterable[Verdict]) -> Verdict:
    """Many lines as one: FAIL if any fails, PASS if some were judged and none fails.

    Lines that were not assessed don't count: the counts beside the verdict tell about them.
    """
    judged = {v for v in verdicts if v is not Verdict.NOT_ASSESSED}
    return worst(judged)


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


def expectation(y: float, u: float, threshold: float) -> Expectation:
    """None expected up to T - U, expected from T + U, possible between; U = 2 u."""
    guard = 2.0 * u
    if abs(y) <= threshold - guard:
        return Expectation.NONE
    if abs(y) >= threshold + guard:
        return Expectation.EXPECTED
    return Expectation.POSSIBLE


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
