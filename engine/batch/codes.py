"""Every code that a fault of a batch can carry, beside those of the jobs themselves."""

from collections.abc import Mapping

__all__ = ["CODES"]

CODES: Mapping[str, str] = {
    "cluster-not-found": "No Dask scheduler answers at the address.",
    "dask-missing": "A Dask cluster was asked for, and the library for it is not installed.",
    "job-too-large": "A job was stopped because it took more memory than its limit.",
    "job-too-slow": "A job was stopped because it took longer than its limit.",
    "no-jobs": "A folder that was named holds no job.",
    "worker-differs": "A worker of a cluster has another version of what reports depend on.",
    "worker-lost": "The cluster lost every worker that it gave a job to.",
    "worker-died": "The process that worked on a job died, and so did the next one.",
}
