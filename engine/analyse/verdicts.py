"""Verdicts: one result against its limits by the job's decision rule, and many verdicts as one."""

from collections.abc import Iterable

from trimscribe.analyse.effects import conformance_probability, normal_cdf
from trimscribe.model.decision import SIMPLE, Acceptance, DecisionRule
from trimscribe.model.verdicts import Verdict, worst

# 7310.1 less 7300 is 10.100000000000364 in binary: that line is not outside 10.1 mm.
_ROUNDING = 1e-9

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
    value: float | None,
    limit: float | None,
    u: float | None = None,
    rule: DecisionRule = SIMPLE,
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


def false_acceptance(rule: DecisionRule) -> float:
    """The highest probability that a result which passes by the rule does not conform.

    For one limit; a second one that lies within a few uncertainties adds to it.
    """
    if rule.acceptance is Acceptance.SIMPLE:
        return 0.5
    return normal_cdf(-rule.value) if rule.acceptance is Acceptance.GUARDED else 1.0 - rule.value


def fold(verdicts: Iterable[Verdict]) -> Verdict:
    """Many lines as one: FAIL if any fails, PASS if some were judged and none fails.

    Lines that were not assessed don't count: the counts beside the verdict tell about them.
    """
    judged = {v for v in verdicts if v is not Verdict.NOT_ASSESSED}
    return worst(judged)
