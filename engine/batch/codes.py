"""Every code that a fault of a batch can carry, beside those of the jobs themselves."""

from collections.abc import Mapping

__all__ = ["CODES"]

CODES: Mapping[str, str] = {
    "cluster-not-found": "No Dask scheduler answers at the address.",
    "dask-missing": "A Dask cluster was asked for, and the library for it is not installed.",
    "no-jobs": "A folder that was named holds no job.",
    "worker-differs": "A worker of a cluster has another version of what reports depend on.",
    "worker-lost": "The cluster lost every worker that it gave a job to.",
}
