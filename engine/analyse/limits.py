"""Which tolerance holds for which group of lines."""

from trimscribe.model.job import Job
from trimscribe.model.wing import BRAKE, BRAKE_MAIN, Tolerances

__all__ = ["limit_mm", "tolerances_of"]


def tolerances_of(job: Job) -> Tolerances:
    """The specification's tolerances with those of the job over them, entry by entry."""
    own = job.tolerances
    if job.specification is None:
        return own
    maker = job.specification.tolerances
    return Tolerances(
        default_mm=maker.default_mm if own.default_mm is None else own.default_mm,
        groups={**maker.groups, **own.groups},
        riser_mm=maker.riser_mm if own.riser_mm is None else own.riser_mm,
        left_right_mm=maker.left_right_mm if own.left_right_mm is None else own.left_right_mm,
        source=own.source or maker.source,
    )


def limit_mm(tolerances: Tolerances, group: str) -> float | None:
    """The half width in mm for a group; the main brake line shares the brake's, None = not set."""
    if group == BRAKE_MAIN and group not in tolerances.groups:
        group = BRAKE
    return tolerances.groups.get(group, tolerances.default_mm)
