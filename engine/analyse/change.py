"""The analysis `change`: what differs from before to after, from lines measured both times."""

import math
from dataclasses import dataclass, replace

from trimscribe.analyse.angles import AngleGauge
from trimscribe.analyse.brakes import Brake, brakes_of, travel_change
from trimscribe.analyse.effects import judge, not_assessed
from trimscribe.analyse.line_table import line_table
from trimscribe.analyse.load import comparable
from trimscribe.analyse.pitch import bands_of, effective_of, twist_of, wing_of
from trimscribe.analyse.speed import speed_range
from trimscribe.analyse.state import thresholds_of
from trimscribe.analyse.symmetry import angle_difference
from trimscribe.analyse.uncertainty import Spread, spread_of
from trimscribe.contracts import CONTRACT
from trimscribe.model.findings import Change, Effect, Findings, State, Verdict, WhyNot
from trimscribe.model.job import Job, Measurement
from trimscribe.model.thresholds import Thresholds
from trimscribe.model.wing import Point, Side, Specification

__all__ = ["ChangeAnalysis", "analysis"]


@dataclass(frozen=True)
class ChangeAnalysis:
    """Fills `change`; None unless the wing was measured before and after."""

    contract: int = CONTRACT
    name: str = "change"
    needs: tuple[str, ...] = ("line_set",)

    def analyse(self, job: Job, findings: Findings) -> Findings:
        """After minus before: lengths, angles, brake travel and speed."""
        if findings.before is None or findings.after is None:
            return findings
        if job.specification is None or job.before is None or job.after is None:
            return findings
        common = job.before.lengths_mm.keys() & job.after.lengths_mm.keys()
        before, after = (_only(m, common) for m in (job.before, job.after))
        blocked = _blocked(before, after, findings.before, findings.after, thresholds_of(job))
        change = _change(job, job.specification, before, after, blocked)
        offset = _difference(findings.after, findings.before)
        return replace(findings, change=replace(change, offset_mm=offset))


def _only(measurement: Measurement, keys: set[tuple[Side, Point]]) -> Measurement:
    lengths = {key: mm for key, mm in measurement.lengths_mm.items() if key in keys}
    return replace(measurement, lengths_mm=lengths)


def _blocked(
    before: Measurement, after: Measurement, found: State, left: State, thresholds: Thresholds
) -> WhyNot:
    """Loads must agree with the specification's, and with each other where that is unknown."""
    loads = (
        found.comparable_load,
        left.comparable_load,
        comparable(before.tension_n, after.tension_n, thresholds.load_ratio),
    )
    return WhyNot.LOAD_DIFFERS if Verdict.FAIL in loads else WhyNot.ASSESSED


def _difference(after: State, before: State) -> float | None:
    if after.offset is None or before.offset is None:
        return None
    return after.offset.value_mm - before.offset.value_mm


def _change(
    job: Job,
    specification: Specification,
    before: Measurement,
    after: Measurement,
    blocked: WhyNot,
) -> Change:
    thresholds = thresholds_of(job)
    first, last = (
        AngleGauge(
            line_table(specification, measurement, blocked),
            spread_of(measurement, thresholds),
            specification.lean_deg,
            thresholds.min_station_share,
        )
        for measurement in (before, after)
    )
    gauge = _since(first, last, thresholds)
    bands = bands_of(gauge, thresholds)
    effective = effective_of(gauge, thresholds)
    had = brakes_of(specification, before, first, thresholds)
    has = brakes_of(specification, after, last, thresholds)
    lines = _lines(specification, before, after)
    return Change(
        offset_mm=None,
        pitch=wing_of(gauge, thresholds),
        bands=bands,
        twist=twist_of(bands, thresholds),
        symmetry_angle=angle_difference(gauge, thresholds),
        rows_mm=_rows(specification, lines),
        lines_mm=lines,
        brakes={side: _brake(had[side], has[side], thresholds) for side in Side},
        speed=speed_range(effective, job.wing.trim_speed_km_h, thresholds),
        effective=effective,
    )


def _since(before: AngleGauge, after: AngleGauge, thresholds: Thresholds) -> AngleGauge:
    """A gauge for the difference: lines err twice; of a row's error little is left."""
    line = math.hypot(before.spread.line_mm, after.spread.line_mm)
    spread = Spread(line, thresholds.u_row_change_mm)
    return replace(after, spread=spread, earlier=before.table)


def _lines(
    specification: Specification, before: Measurement, after: Measurement
) -> dict[tuple[Side, Point], float]:
    """After minus before in mm of every line measured twice, in the order of the specification."""
    return {
        (side, point): after.lengths_mm[side, point] - before.lengths_mm[side, point]
        for side in Side
        for group in specification.groups
        for point in group.points
        if (side, point) in after.lengths_mm
    }


def _rows(specification: Specification, lines: dict[tuple[Side, Point], float]) -> dict[str, float]:
    """Mean change in mm of each row that has a line measured twice."""
    by_row = {
        row.name: [mm for (_, point), mm in lines.items() if point.group == row.name]
        for row in specification.rows
    }
    return {name: math.fsum(mm) / len(mm) for name, mm in by_row.items() if mm}


def _brake(before: Brake, after: Brake, thresholds: Thresholds) -> Effect:
    """How much free travel one brake gained (+) or lost (-), in mm."""
    first, last = travel_change(before, thresholds), travel_change(after, thresholds)
    if first.value is None or last.value is None:
        why = first.why_not or last.why_not
        return not_assessed(why, thresholds.brake_mm, "mm")
    return judge(last.value - first.value, max(first.u, last.u), thresholds.brake_mm, "mm")


analysis = ChangeAnalysis()
