"""Which thresholds hold for a job, and which tolerance for which group of lines."""

from trimscribe.model.findings import Verdict
from trimscribe.model.job import Job
from trimscribe.model.thresholds import Thresholds
from trimscribe.model.wing import BRAKE, BRAKE_MAIN, Tolerances

_BUILT_IN = Thresholds()


def thresholds_of(job: Job) -> Thresholds:
    """The table with the job's own entries; KeyError for a name that validation let through."""
    return _BUILT_IN.with_overrides(job.thresholds)


def tolerances_for(job: Job, load: Verdict) -> Tolerances:
    """The job's tolerances; of those only the risers' when lines were measured at another load.

    The maker's tolerances hold at the maker's load: at another one a line stretches otherwise, and
    to call it within limits would promise what nobody measured. Risers are not under load.
    """
    tolerances = job.tolerances
    if load is not Verdict.FAIL:
        return tolerances
    return Tolerances(riser_mm=tolerances.riser_mm, source=tolerances.source)


def limit_mm(tolerances: Tolerances, group: str) -> float | None:
    """The half width in mm for a group; the main brake line shares the brake's, None = not set."""
    if group == BRAKE_MAIN and group not in tolerances.groups:
        group = BRAKE
    return tolerances.groups.get(group, tolerances.default_mm)
