"""The table of thresholds as a job has it."""

from trimscribe.model.job import Job
from trimscribe.model.thresholds import Thresholds

__all__ = ["thresholds_of"]

_BUILT_IN = Thresholds()


def thresholds_of(job: Job) -> Thresholds:
    """The table with the job's own entries; KeyError for a name that validation let through."""
    return _BUILT_IN.with_overrides(job.thresholds)
