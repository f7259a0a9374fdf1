"""The whole state of the wing from one measuring."""

from collections.abc import Iterable

from trimscribe.analyse.angles import AngleGauge
from trimscribe.analyse.brakes import Brake, brake_difference, brake_finding, brakes_of
from trimscribe.analyse.limits import tolerances_for
from trimscribe.analyse.line_table import line_table
from trimscribe.analyse.load import at_specified_load
from trimscribe.analyse.offsets import common_offset
from trimscribe.analyse.pitch import pitch_of
from trimscribe.analyse.risers import riser_findings
from trimscribe.analyse.rows import residuals_of, row_findings
from trimscribe.analyse.speed import speed_range
from trimscribe.analyse.symmetry import symmetry_of
from trimscribe.analyse.tolerance_check import (
    BRAKE_KINDS,
    LEFT_RIGHT,
    Check,
    group_counts,
    line_findings,
)
from trimscribe.analyse.uncertainty import budget_of, spread_of
from trimscribe.analyse.verdicts import fold, worst
from trimscribe.model.findings import (
    BrakeFinding,
    CommonOffset,
    LineFinding,
    State,
    Verdict,
    WhyNot,
)
from trimscribe.model.job import Job, Measurement
from trimscribe.model.thresholds import Thresholds
from trimscribe.model.wing import Side, Specification, Tolerances

__all__ = ["state_of", "thresholds_of"]


_BUILT_IN = Thresholds()


def thresholds_of(job: Job) -> Thresholds:
    """The table with the job's own entries; KeyError for a name that validation let through."""
    return _BUILT_IN.with_overrides(job.thresholds)


def state_of(job: Job, specification: Specification, measurement: Measurement) -> State:
    """Everything that one measuring tells.

    When the measuring load differs from the specification's and cannot be corrected, lengths are
    still set against those specified, but no verdict, no angle, no difference and no speed is
    drawn from them.
    """
    thresholds = thresholds_of(job)
    loaded = at_specified_load(specification, measurement, thresholds)
    load, correction, measurement = loaded.verdict, loaded.correction, loaded.measurement
    blocked = WhyNot.LOAD_DIFFERS if load is Verdict.FAIL else WhyNot.ASSESSED
    tolerances = tolerances_for(job, load)
    table = line_table(specification, measurement, blocked)
    budget = budget_of(measurement, specification, thresholds, correction)
    spread = spread_of(budget)
    gauge = AngleGauge(table, spread, specification.lean_deg, thresholds.min_station_share)
    offset = common_offset(table, job.offset_method, job.offset_row, spread)
    brakes = brakes_of(specification, measurement, gauge, thresholds)
    check = Check(tolerances, job.decision_rule, spread, correction.u_mm if correction else 0.0)
    lines = line_findings(specification, loaded, offset, brakes, check)
    counts = group_counts(specification, lines, check)
    pitch = pitch_of(gauge, thresholds)
    found = _brake_findings(job, specification, measurement, brakes, offset, tolerances)
    risers = riser_findings(
        specification, measurement, tolerances.riser_mm, spread.line_mm, job.decision_rule
    )
    between_sides = [count.verdict for count in counts if count.group == LEFT_RIGHT]
    return State(
        offset=offset,
        lines=lines,
        rows=row_findings(specification.rows, lines),
        tolerances=counts,
        verdict=fold([*(x.verdict for x in lines if x.kind not in BRAKE_KINDS), *between_sides]),
        brake_verdict=_brake_verdict(found.values(), lines),
        pitch=pitch,
        symmetry=symmetry_of(gauge, thresholds),
        residuals=residuals_of(gauge, thresholds),
        brakes=found,
        brake_difference=brake_difference(brakes, spread, blocked, thresholds),
        speed=speed_range(pitch.effective, job.wing.trim_speed_km_h, thresholds),
        risers=risers,
        riser_verdict=fold(riser.verdict for riser in risers),
        comparable_load=load,
        budget=budget,
        line_u_mm=check.line_u_mm,
        correction=correction,
    )


def _brake_verdict(brakes: Iterable[BrakeFinding], lines: Iterable[LineFinding]) -> Verdict:
    """The worst of both brakes and their lines: a good mean does not hide a line that is outside.

    A line that was not assessed does not count; the counts of its group tell about it.
    """
    judged = {x.verdict for x in lines if x.kind in BRAKE_KINDS} - {Verdict.NOT_ASSESSED}
    return worst([*(brake.verdict for brake in brakes), *judged])


def _brake_findings(
    job: Job,
    specification: Specification,
    measurement: Measurement,
    brakes: dict[Side, Brake],
    offset: CommonOffset | None,
    tolerances: Tolerances,
) -> dict[Side, BrakeFinding]:
    """Both brakes; empty when none is specified and no free travel was measured."""
    specified = any(group.kind in BRAKE_KINDS for group in specification.groups)
    if not specified and not measurement.free_travel_mm:
        return {}
    return {
        side: brake_finding(
            brake,
            specification.brake_free_travel_mm,
            measurement.free_travel_mm.get(side),
            offset,
            tolerances,
            thresholds_of(job),
            job.decision_rule,
        )
        for side, brake in brakes.items()
    }
