"""Verdicts: one length against its limit, and many verdicts as one."""

from collections.abc import Iterable

from trimscribe.model.findings import Verdict

__all__ = ["fold", "within", "worst"]

# 7310.1 less 7300 is 10.100000000000364 in binary: that line is not outside 10.1 mm.
_ROUNDING_MM = 1e-9

_FROM_WORST = (
    Verdict.FAIL,
    Verdict.CONDITIONAL_FAIL,
    Verdict.NOT_ASSESSED,
    Verdict.CONDITIONAL_PASS,
    Verdict.PASS,
)


def within(value: float | None, limit: float | None) -> Verdict:
    """Simple acceptance: PASS when |value| <= limit in mm; NOT_ASSESSED when either is missing."""
    if value is None or limit is None:
        return Verdict.NOT_ASSESSED
    return Verdict.PASS if abs(value) <= limit + _ROUNDING_MM else Verdict.FAIL


def fold(verdicts: Iterable[Verdict]) -> Verdict:
    """Many lines as one: FAIL if any fails, PASS if some were judged and none fails.

    Lines that were not assessed don't count: the counts beside the verdict tell about them.
    """
    judged = {v for v in verdicts if v is not Verdict.NOT_ASSESSED}
    return worst(judged)


def worst(verdicts: Iterable[Verdict]) -> Verdict:
    """The worst of several checks; one that was not assessed outweighs a pass.

    Nothing at all is NOT_ASSESSED.
    """
    present = set(verdicts)
    return next((v for v in _FROM_WORST if v in present), Verdict.NOT_ASSESSED)
