"""Every code that a fault of a batch can carry, beside those of the jobs themselves."""

from collections.abc import Mapping

__all__ = ["CODES"]

CODES: Mapping[str, str] = {
    "job-too-large": "A job was stopped because it took more memory than its limit.",
    "job-too-slow": "A job was stopped because it took longer than its limit.",
    "no-jobs": "A folder that was named holds no job.",
    "worker-died": "The process that worked on a job died, and so did the next one.",
}
