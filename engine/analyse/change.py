"""The analysis `change`: what differs from before to after, from lines measured both times."""

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace
from statistics import NormalDist

import numpy as np

from trimscribe.analyse.adjustment_effect import effects_of
from trimscribe.analyse.brakes import Brake, Edge, brakes_of, edge_of
from trimscribe.analyse.carry_over import occasion_errors
from trimscribe.analyse.completion import Estimator
from trimscribe.analyse.free_travel import as_read, carried_over, travel_difference, travel_gained
from trimscribe.analyse.judging import assess_effect, not_assessed
from trimscribe.analyse.line_set import NO_LINES
from trimscribe.analyse.line_table import Bools, LineTable
from trimscribe.analyse.load import comparable
from trimscribe.analyse.measurings import Measured, measurings_of
from trimscribe.analyse.pitch import (
    PitchEstimator,
    bands_of,
    effect_of,
    effective_of,
    speed_range,
    twist_of,
)
from trimscribe.analyse.riser_effect import RiserEffect, riser_change
from trimscribe.analyse.symmetry import symmetry_of
from trimscribe.analyse.uncertainty import ErrorModel, Shared, repeat_of_both_mm
from trimscribe.contracts import CONTRACT
from trimscribe.model.findings import BrakeFinding, Change, Effect, Findings, State, Verdict, WhyNot
from trimscribe.model.job import Job
from trimscribe.model.thresholds import Thresholds, thresholds_of
from trimscribe.model.wing import LineKey, Side, Specification

_RARE = 0.05  # of wings that nobody touched: one of their lines changed by more than chance makes


@dataclass(frozen=True)
class ChangeAnalysis:
    """Fills `change`, None unless the wing was measured before and after, and free travel."""

    contract: int = CONTRACT
    name: str = "change"
    needs: tuple[str, ...] = ("line_set",)

    def analyse(self, job: Job, findings: Findings) -> Findings:
        """After minus before: lengths, angles, brake travel and speed.

        What brakes gained also tells their free travel where it was measured only the other time.
        """
        if findings.before is None or findings.after is None:
            return findings
        if job.specification is None:
            return self.analyse(replace(job, specification=NO_LINES), findings)
        measurings = measurings_of(job)
        if measurings.before is None or measurings.after is None:
            return findings
        change = _change(job, job.specification, measurings.before, measurings.after, findings)
        offset = _difference(findings.after, findings.before)
        had, has, thresholds = findings.before.brakes, findings.after.brakes, thresholds_of(job)
        gained = {side: (e.value, e.u) for side, e in change.brakes.items()}
        lost = {side: (None if mm is None else -mm, u) for side, (mm, u) in gained.items()}
        after = _travels(has, had, gained, thresholds)
        if not (job.adjustments or job.replacements):
            after = {
                side: as_read(brake, had[side], change.brakes[side], thresholds.u_brake_mm)
                if side in had
                else brake
                for side, brake in after.items()
            }
        return replace(
            findings,
            change=replace(change, offset_mm=offset),
            before=replace(findings.before, brakes=_travels(had, has, lost, thresholds)),
            after=replace(
                findings.after, brakes=after, travel_difference=travel_difference(after, thresholds)
            ),
        )


def _travels(
    brakes: Mapping[Side, BrakeFinding],
    others: Mapping[Side, BrakeFinding],
    gained: Mapping[Side, tuple[float | None, float]],
    thresholds: Thresholds,
) -> dict[Side, BrakeFinding]:
    """The brakes of one measuring, with free travel that was read at the other one only."""
    return {
        side: carried_over(brake, others[side], *gained[side], thresholds)
        if side in others
        else brake
        for side, brake in brakes.items()
    }


def _blocked(job: Job, before: Measured, after: Measured, thresholds: Thresholds) -> WhyNot:
    """Why nothing may be concluded for the whole wing from lines measured both times.

    Loads must agree with the specification's, and with each other where that is unknown. Lines
    measured again do not stand for others that nothing ties them to, nor lines that were measured
    for those that work was done on and that were not.
    """
    first, last = before.measurement.tension_n, after.measurement.tension_n
    loads = (
        before.loaded.verdict,
        after.loaded.verdict,
        comparable(first, last, thresholds.load_ratio),
    )
    if Verdict.FAIL in loads:
        return WhyNot.LOAD_DIFFERS
    work = effects_of(job)
    then, now = (x.measurement.lengths_mm.keys() for x in (before, after))
    both = then & now
    rows = {row.name for row in job.specification.rows} if job.specification else set()
    # Brakes that were left out say nothing of the rows.
    part = any(point.group in rows for _, point in then - now)
    if work and part and after.carry_over is not None and after.carry_over.why_not:
        return after.carry_over.why_not
    unseen = any(
        any(point.group in rows for _, point in effect.keys) and effect.keys.isdisjoint(both)
        for effect in work
    )
    return WhyNot.NOT_MEASURED if unseen else WhyNot.ASSESSED


def _difference(after: State, before: State) -> float | None:
    if after.offset is None or before.offset is None:
        return None
    return after.offset.value_mm - before.offset.value_mm


def _change(
    job: Job, specification: Specification, before: Measured, after: Measured, findings: Findings
) -> Change:
    thresholds = thresholds_of(job)
    pitch = _pitch(job, before, after, thresholds)
    effective = effective_of(pitch, thresholds)
    had, has = _brakes(specification, before, after, thresholds)
    edge = edge_of(specification, pitch)
    lines = _lines_changed(specification, before, after)
    symmetry = symmetry_of(pitch, thresholds)
    shift = after.carried.shift_mm if after.carried else 0.0
    return Change(
        offset_mm=None,
        pitch=effect_of(pitch.angle(), thresholds.pitch_deg),
        bands=bands_of(pitch, thresholds),
        twist=twist_of(pitch, thresholds),
        symmetry_angle=symmetry.angle,
        all_lines=symmetry.all_lines,
        turn=symmetry.turn,
        rows_mm=_rows(specification, lines),
        lines_mm=lines,
        brakes=_gained(findings, had, has, shift, edge, thresholds),
        speed=speed_range(
            effective,
            job.wing.trim_speed_km_h,
            thresholds,
            beyond=_beyond(findings.before, thresholds) or _beyond(findings.after, thresholds),
        ),
        effective=effective,
        brake_lines_mm=_brake_lines(had, has, shift + _shared(pitch)),
        chance_mm=_chance_mm(before, after, len(lines), thresholds),
    )


def _chance_mm(
    before: Measured, after: Measured, lines: int, thresholds: Thresholds
) -> float | None:
    """What the line of so many that changed most may be off the middle one by chance, in mm."""
    if not lines:
        return None
    repeat = repeat_of_both_mm(before.measurement, after.measurement, thresholds)
    line = math.sqrt(2.0) * math.hypot(repeat, thresholds.u_row_side_occasion_mm)
    return NormalDist().inv_cdf(1.0 - _RARE / (2.0 * lines)) * line


def _beyond(state: State | None, thresholds: Thresholds) -> bool:
    """Whether the angle that sets the speed lies beyond what its estimate was checked for."""
    angle = state.pitch.effective.value if state and state.pitch.effective else None
    return angle is not None and abs(angle) > thresholds.pitch_valid_deg


def _pitch(job: Job, before: Measured, after: Measured, thresholds: Thresholds) -> PitchEstimator:
    """What takes angles from the differences between both measurings.

    Risers change only where one was exchanged: what two readings of one riser differ by is no
    change.
    """
    misread = before.misread | after.misread
    first, last = (
        x.table.with_lengths(x.measurement.without(misread).lengths_mm, x.blocked)
        for x in (before, after)
    )
    carried, keys = after.carried, last.line_keys
    moved = np.array([carried is None or key in carried.moved for key in keys], dtype=np.bool_)
    apart = last.deviation_mm - first.deviation_mm
    if carried is not None:
        known = ~np.isnan(last.deviation_mm) & ~np.isnan(first.deviation_mm)
        apart = np.where(moved, apart - carried.shift_mm, np.where(known, 0.0, np.nan))
    risers = riser_change(job, last, before.risers, after.risers)
    table = replace(
        last, instead_mm=apart + risers.adds_mm, blocked=_blocked(job, before, after, thresholds)
    )
    errors = _errors(table, moved, before, after, risers, thresholds)
    structure = after.pitch.estimator.structure
    return PitchEstimator(
        Estimator(table, errors, structure), errors, after.pitch.lean_deg, before.pitch.estimator
    )


def _errors(
    table: LineTable,
    moved: Bools,
    before: Measured,
    after: Measured,
    risers: RiserEffect,
    thresholds: Thresholds,
) -> ErrorModel:
    """How the differences err: the same line was hooked up and read twice.

    Of a row's error little is left, of what the tape reads short nothing; of a correction for load
    what was corrected the second time and not the first. Where lines were carried over, others than
    those `moved` are known not to have changed, and these share the error of the tie.
    """
    first_u, last_u = (
        x.loaded.correction.u_mm if x.loaded.correction else 0.0 for x in (before, after)
    )
    repeat_mm = math.hypot(before.spread.repeat_mm, after.spread.repeat_mm)
    tie_u_mm = after.carried.u_mm if after.carried else 0.0
    sources = (
        Shared(repeat_mm, np.where(moved, np.arange(len(moved)), -1)),
        *occasion_errors(table, moved, tie_u_mm, thresholds),
        Shared(last_u - first_u, table.row),
        *risers.errors(table),
    )
    return ErrorModel(sources, 0.0, table.length_m)


def _lines_changed(
    specification: Specification, before: Measured, after: Measured
) -> dict[LineKey, float]:
    """After minus before in mm of every line measured twice, in the order of the specification.

    Lengths in doubt are no measuring; a doubtful specified length is the same both times.
    """
    had, has = before.measurement.lengths_mm, after.measurement.lengths_mm
    carried = after.carried.keys if after.carried else frozenset()
    left_out = carried | before.misread | after.misread
    keys = ((side, p) for side in Side for group in specification.groups for p in group.points)
    known = (had.keys() & has.keys()) - left_out
    return {key: has[key] - had[key] for key in keys if key in known}


def _rows(specification: Specification, lines: dict[LineKey, float]) -> dict[str, float]:
    """Mean change in mm of each row that has a line measured twice."""
    by_row: dict[str, list[float]] = {row.name: [] for row in specification.rows}
    for (_, point), mm in lines.items():
        if point.group in by_row:
            by_row[point.group].append(mm)
    return {name: math.fsum(mm) / len(mm) for name, mm in by_row.items() if mm}


def _brakes(
    specification: Specification, before: Measured, after: Measured, thresholds: Thresholds
) -> tuple[dict[Side, Brake], dict[Side, Brake]]:
    """Both brakes at both times, from lines that are known at both."""
    both = before.measurement.lengths_mm.keys() & after.measurement.lengths_mm.keys()
    both -= before.misread | after.misread
    had, has = (
        brakes_of(
            specification,
            {k: mm for k, mm in one.measurement.lengths_mm.items() if k in both},
            one.pitch,
            thresholds,
            one.carried,
        )
        for one in (before, after)
    )
    return had, has


def _shared(pitch: PitchEstimator) -> float:
    """What the lines that hold the wing changed by on average, in mm; 0 where none is known."""
    apart = pitch.estimator.table.deviation_mm
    known = apart[~np.isnan(apart)]
    return float(known.mean()) if known.size else 0.0


def _brake_lines(
    had: dict[Side, Brake], has: dict[Side, Brake], shift_mm: float
) -> dict[Side, float]:
    """How far each brake's own lines moved against `shift_mm`, in mm, + = longer."""
    pairs = ((side, had[side].mean_mm, has[side].mean_mm) for side in Side)
    return {
        side: last - first - shift_mm
        for side, first, last in pairs
        if first is not None and last is not None
    }


def _gained(
    findings: Findings,
    had: Mapping[Side, Brake],
    has: Mapping[Side, Brake],
    shift_mm: float,
    edge: Edge,
    thresholds: Thresholds,
) -> dict[Side, Effect]:
    """What each brake gained by its lengths; where these do not say, as it was read both times."""
    states = (findings.before, findings.after)
    gained = {}
    for side in Side:
        first, last = (state.brakes.get(side) if state else None for state in states)
        by_lengths = _brake(had[side], has[side], shift_mm, edge, thresholds)
        read = travel_gained(first, last, thresholds)
        unknown = by_lengths.value is None and read.value is not None
        gained[side] = read if unknown else by_lengths
    return gained


def _brake(
    before: Brake, after: Brake, shift_mm: float, edge: Edge, thresholds: Thresholds
) -> Effect:
    """How much free travel one brake gained (+) or lost (-), in mm.

    Where lines were carried over, `shift_mm` is what the session changed all readings by.
    The uncertainty is the difference's own: how the line set moved at the trailing edge, and how
    soft brake lines are.
    """
    if before.mean_mm is None or after.mean_mm is None or edge.mm is None:
        why = edge.why_not or WhyNot.NOT_MEASURED
        return not_assessed(why, thresholds.brake_mm, "mm")
    if after.tie_u_mm is None:
        return not_assessed(WhyNot.MEASURED_OTHERWISE, thresholds.brake_mm, "mm")
    u = math.hypot(thresholds.u_brake_mm, edge.u_mm, after.tie_u_mm)
    moved = after.mean_mm - before.mean_mm - shift_mm
    return assess_effect(moved - edge.mm, u, thresholds.brake_mm, "mm")


analysis = ChangeAnalysis()
