"""Verdicts of many, and the thresholds of a job."""

from trimscribe.model.thresholds import Thresholds

ORDER = ("fail", "conditional fail", "not assessed", "conditional pass", "pass")


def worst(verdicts):
    """The worst of several; what was not assessed outweighs a pass."""
    present = set(verdicts)
    return next((v for v in ORDER if v in present), "not assessed")


def fold(verdicts):
    """The worst of those that were assessed."""
    return worst(v for v in verdicts if v != "not assessed")


def table(job):
    """The thresholds of a job."""
    return Thresholds().with_overrides(job.thresholds)
