"""Every code that work in a cell can be stopped with."""

from collections.abc import Mapping

__all__ = ["CODES"]

CODES: Mapping[str, str] = {
    "job-too-large": "A job was stopped because it took more memory than its limit.",
    "job-too-slow": "A job was stopped because it took longer than its limit.",
    "worker-died": "The process that worked on a job died, and so did the next one.",
}
