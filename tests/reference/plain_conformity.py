"""Conformity of a value with a limit under three decision rules.

Source: ILAC-G8:09/2019 for simple acceptance (AL = TL) and guard bands (AL = TL - w), as decision
rules that laboratories publish quote it; JCGM 106:2012, 7.4, for the probability, as UKAS LAB
48:2019 has it. Which u belongs in: our own study, section 8.
"""

import math


def normal(z):
    """Standard normal distribution function."""
    return 0.5 * math.erfc(-z / math.sqrt(2))


def within(value, u, limit):
    """Probability that the true value is within +-limit, nothing known beforehand."""
    return normal((limit - value) / u) - normal((-limit - value) / u)


def passes(value, u, limit, rule="simple", guard=2.0, least=0.95):
    """True for a clear pass: simple acceptance, guard band of guard * u, or probability."""
    if rule == "simple":
        return abs(value) <= limit
    if rule == "guarded":
        return abs(value) <= limit - guard * u
    return within(value, u, limit) >= least


def edge(u, limit, rule="simple", guard=2.0, least=0.95):
    """The largest value that passes clearly; None where no value does (section 8: say so)."""
    if rule == "simple":
        return limit
    if rule == "guarded":
        return limit - guard * u if limit >= guard * u else None
    if within(0.0, u, limit) < least:
        return None
    low, high = 0.0, limit
    for _ in range(200):
        middle = (low + high) / 2
        low, high = (middle, high) if within(middle, u, limit) >= least else (low, middle)
    return low


def risk_at_edge(u_used, u_right, limit, rule="simple", guard=2.0, least=0.95):
    """Probability that a line which only just passes is truly outside (section 8)."""
    value = edge(u_used, limit, rule, guard, least)
    return None if value is None else 1 - within(value, u_right, limit)
