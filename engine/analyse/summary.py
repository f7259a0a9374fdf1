"""One service in the few numbers that later services of the same wing look back on."""

from statistics import fmean

from trimscribe.analyse.cloth import flow_l_m2_min
from trimscribe.analyse.limits import thresholds_of
from trimscribe.analyse.uncertainty import reading_u_mm
from trimscribe.model.findings import Findings, State
from trimscribe.model.history import ClothState, How, LineSetLevels, ServiceSummary, Tests
from trimscribe.model.job import Job, Measurement, Porosity, PorosityUnit
from trimscribe.model.wing import GroupKind


def summary_of(job: Job, findings: Findings) -> ServiceSummary:
    """Sum up one service; pure."""
    spec = job.specification
    now = findings.now
    return ServiceSummary(
        service=job.service.number,
        done=job.service.done.isoformat(),
        hours=job.wing.hours,
        specification=spec.called if spec else "",
        before=_levels(job, job.before, findings.before),
        after=_levels(job, job.after, findings.after),
        free_travel_mm={
            side.value: brake.free_travel_mm
            for side, brake in (now.brakes if now else {}).items()
            if brake.free_travel_mm is not None and not brake.estimated
        },
        cloth=_cloth(job.porosity, findings),
        strength=_tests(findings),
    )


def _levels(job: Job, measured: Measurement | None, state: State | None) -> LineSetLevels | None:
    if measured is None or state is None:
        return None
    rows: dict[str, list[float]] = {}
    missing = []
    for line in state.lines:
        if line.kind is not GroupKind.ROW:
            continue
        if line.deviation_mm is None or line.doubted:
            missing.append(f"{line.side} {line.point}")
        else:
            rows.setdefault(line.point.group, []).append(line.deviation_mm)
    if not rows:
        return None
    every = [mm for row in rows.values() for mm in row]
    return LineSetLevels(
        rows_mm={name: fmean(row) for name, row in rows.items()},
        all_mm=fmean(every),
        lines=len(every),
        how=How(measured.method, measured.tension_n, reading_u_mm(measured, thresholds_of(job))),
        missing=tuple(missing),
        pitch_deg=state.pitch.wing.value,
        pitch_u_deg=state.pitch.wing.u,
    )


def _cloth(test: Porosity | None, findings: Findings) -> ClothState | None:
    """In flow where the instrument is known: that is what ages along a line, not its inverse."""
    found = findings.porosity
    if test is None or found is None:
        return None
    instrument = f"{test.method}; {test.volume_l} L; {test.area_cm2} cm2; {test.pressure_pa} Pa"
    flow = found.mean_flow_l_m2_min
    if flow is None:
        rising = test.unit is PorosityUnit.FLOW
        return ClothState(found.mean, test.limit, test.unit.value, rising, instrument)
    limit = test.limit
    if limit is not None and test.unit is PorosityUnit.SECONDS:
        limit = flow_l_m2_min(limit, test.volume_l, test.area_cm2)
    return ClothState(flow, limit, PorosityUnit.FLOW.value, True, instrument)


def _tests(findings: Findings) -> Tests | None:
    """The pull that came closest to what is required; one that held shows no more than its load."""
    pulls = [
        Tests(pull.test.load_n / pull.required_n, pull.test.broke)
        for pull in findings.strength
        if pull.required_n
    ]
    return min(pulls, key=lambda pull: pull.share, default=None)
