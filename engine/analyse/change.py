"""The analysis `change`: what differs from before to after, from lines measured both times."""

import math
from dataclasses import dataclass, replace

from trimscribe.analyse.angles import AngleGauge
from trimscribe.analyse.brakes import Brake, brakes_of, travel_change
from trimscribe.analyse.effects import judge, not_assessed
from trimscribe.analyse.line_table import line_table
from trimscribe.analyse.load import Loaded, at_specified_load, comparable
from trimscribe.analyse.pitch import bands_of, effective_of, twist_of, wing_of
from trimscribe.analyse.speed import speed_range
from trimscribe.analyse.state import thresholds_of
from trimscribe.analyse.symmetry import angle_difference
from trimscribe.analyse.uncertainty import Spread, budget_of, spread_of
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
        thresholds = thresholds_of(job)
        before, after = (
            at_specified_load(job.specification, _only(m, common), thresholds)
            for m in (job.before, job.after)
        )
        blocked = _blocked(before, after, thresholds)
        change = _change(job, job.specification, before, after, blocked)
        offset = _difference(findings.after, findings.before)
        return replace(findings, change=replace(change, offset_mm=offset))


def _only(measurement: Measurement, keys: set[tuple[Side, Point]]) -> Measurement:
    if len(keys) == len(measurement.lengths_mm):
        return measurement
    lengths = {key: mm for key, mm in measurement.lengths_mm.items() if key in keys}
    return replace(measurement, lengths_mm=lengths)


def _blocked(before: Loaded, after: Loaded, thresholds: Thresholds) -> WhyNot:
    """Loads must agree with the specification's, and with each other where that is unknown."""
    first, last = before.measurement.tension_n, after.measurement.tension_n
    loads = (before.verdict, after.verdict, comparable(first, last, thresholds.load_ratio))
    return WhyNot.LOAD_DIFFERS if Verdict.FAIL in loads else WhyNot.ASSESSED


def _difference(after: State, before: State) -> float | None:
    if after.offset is None or before.offset is None:
        return None
    return after.offset.value_mm - before.offset.value_mm


def _change(
    job: Job,
    specification: Specification,
    before: Loaded,
    after: Loaded,
    blocked: WhyNot,
) -> Change:
    thresholds = thresholds_of(job)
    first, last = (
        AngleGauge(
            line_table(specification, loaded.measurement, blocked),
            spread_of(budget_of(loaded.measurement, specification, thresholds, loaded.correction)),
            specification.lean_deg,
            thresholds.min_station_share,
        )
        for loaded in (before, after)
    )
    gauge = replace(
        last, spread=_spread(before, after, first, last, thresholds), earlier=first.table
    )
    effective = effective_of(gauge, thresholds)
    had = brakes_of(specification, before.measurement, first, thresholds)
    has = brakes_of(specification, after.measurement, last, thresholds)
    lines = _moved(specification, before.measurement, after.measurement)
    return Change(
        offset_mm=None,
        pitch=wing_of(gauge, thresholds),
        bands=bands_of(gauge, thresholds),
        twist=twist_of(gauge, thresholds),
        symmetry_angle=angle_difference(gauge, thresholds),
        rows_mm=_rows(specification, lines),
        lines_mm=lines,
        brakes={side: _brake(had[side], has[side], thresholds) for side in Side},
        speed=speed_range(effective, job.wing.trim_speed_km_h, thresholds),
        effective=effective,
    )


def _spread(
    before: Loaded, after: Loaded, first: AngleGauge, last: AngleGauge, thresholds: Thresholds
) -> Spread:
    """That of a difference: lines err twice, less the rounding of what both were held against.

    Of a row's error little is left, of what the tape reads short nothing; of a correction for load
    what was corrected the second time and not the first.
    """
    lines = [gauge.spread.between_equal_lines.line_mm for gauge in (first, last)]
    corrections = [x.correction.u_mm if x.correction else 0.0 for x in (before, after)]
    row = math.hypot(thresholds.u_row_change_mm, corrections[1] - corrections[0])
    return Spread(math.hypot(*lines), row)


def _moved(
    specification: Specification, before: Measurement, after: Measurement
) -> dict[tuple[Side, Point], float]:
    """After minus before in mm of every line measured twice, in the order of the specification."""
    had, has = before.lengths_mm, after.lengths_mm
    keys = ((side, p) for side in Side for group in specification.groups for p in group.points)
    return {key: has[key] - had[key] for key in keys if key in has}


def _rows(specification: Specification, lines: dict[tuple[Side, Point], float]) -> dict[str, float]:
    """Mean change in mm of each row that has a line measured twice."""
    by_row: dict[str, list[float]] = {row.name: [] for row in specification.rows}
    for (_, point), mm in lines.items():
        if point.group in by_row:
            by_row[point.group].append(mm)
    return {name: math.fsum(mm) / len(mm) for name, mm in by_row.items() if mm}


def _brake(before: Brake, after: Brake, thresholds: Thresholds) -> Effect:
    """How much free travel one brake gained (+) or lost (-), in mm."""
    first, last = travel_change(before, thresholds), travel_change(after, thresholds)
    if first.value is None or last.value is None:
        why = first.why_not or last.why_not
        return not_assessed(why, thresholds.brake_mm, "mm")
    return judge(last.value - first.value, max(first.u, last.u), thresholds.brake_mm, "mm")


analysis = ChangeAnalysis()
