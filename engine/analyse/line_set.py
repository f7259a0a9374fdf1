"""The analysis `line_set`: the wing as it came and as it leaves.

The state is what one measuring tells: the level that lines are judged from, with its uncertainty,
then lines, groups and rows, angles and differences, brakes and risers.
"""

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, fields, is_dataclass, replace
from itertools import product
from typing import Any

from trimscribe.analyse.brakes import Brake, BrakeTable, brake_difference, brake_finding, brakes_of
from trimscribe.analyse.free_travel import travel_difference
from trimscribe.analyse.judging import fold
from trimscribe.analyse.measurings import Measured, measurings_of
from trimscribe.analyse.offsets import OffsetEstimate, common_offset, shared_level
from trimscribe.analyse.pitch import pitch_of, residuals_of, speed_range
from trimscribe.analyse.riser_effect import riser_findings
from trimscribe.analyse.symmetry import symmetry_of
from trimscribe.analyse.tolerance_check import (
    LEFT_RIGHT,
    Check,
    group_counts,
    line_findings,
    row_findings,
)
from trimscribe.contracts import CONTRACT
from trimscribe.model.findings import BrakeFinding, Effect, Findings, LineFinding, State, WhyNot
from trimscribe.model.job import Job
from trimscribe.model.verdicts import Verdict, worst
from trimscribe.model.wing import BRAKE, GroupKind, LineKey, Side, Specification, Tolerances

# What free travel alone is judged by.
NO_LINES = Specification("", "", "", "", "", ())


@dataclass(frozen=True)
class LineSetAnalysis:
    """Fills `before` and `after`; without a specification only where free travel was measured.

    The least that it should be is no maker's: too little of it is reported without a line set, too.

    Lines that were not measured again after the work, and that it left alone, are carried over.
    """

    contract: int = CONTRACT
    name: str = "line_set"
    needs: tuple[str, ...] = ()

    def analyse(self, job: Job, findings: Findings) -> Findings:
        """Deviations, verdicts, angles, differences, brakes and risers of each measuring."""
        if job.specification is None:
            if not any(one and one.free_travel_mm for one in (job.before, job.after)):
                return findings
            return self.analyse(replace(job, specification=NO_LINES), findings)
        specification = job.specification
        measurings = measurings_of(job)
        before, after = (
            None if one is None else _state_of(job, specification, one)
            for one in (measurings.before, measurings.after)
        )
        return replace(findings, before=before, after=after)


def _state_of(job: Job, specification: Specification, measured: Measured) -> State:
    """Everything that one measuring tells, without its lines in doubt.

    What is not assessed for want of these says so.
    """
    state = _judged(job, specification, measured)
    if measured.whole is None:
        return state
    return _hanging_on_doubts(state, _judged(job, specification, measured.whole))


def _judged(job: Job, specification: Specification, measured: Measured) -> State:
    """Everything that the sound lines of one measuring tell.

    When the measuring load differs from the specification's and cannot be corrected, lengths are
    still set against those specified, but no verdict, no angle, no difference and no speed is
    drawn from them.
    """
    thresholds, loaded, spread = measured.thresholds, measured.loaded, measured.spread
    tolerances = _tolerances_for(job, loaded.verdict)
    found = common_offset(measured.lines, job.offset_method, job.offset_row, thresholds)
    offset = None if isinstance(found, WhyNot) else found
    brakes = brakes_of(
        specification, measured.sound_mm, measured.pitch, thresholds, measured.carried
    )
    table = _brake_table(specification, measured, offset, tolerances)
    levels, u_mm = _levels(specification, measured, offset, table, tolerances)
    check = Check(
        tolerances,
        job.decision_rule,
        level_mm=levels,
        u_mm=u_mm,
        pair_u_mm=math.sqrt(2.0) * math.hypot(spread.repeat_mm, thresholds.u_row_side_mm),
        carried=measured.carried.keys if measured.carried else frozenset(),
        doubted=measured.doubted,
    )
    lines = line_findings(specification, loaded, check)
    counts = group_counts(specification, lines, check)
    pitch = pitch_of(measured.pitch, measured.risers, thresholds)
    by_side = _brake_findings(job, specification, measured, brakes, lines, table, tolerances)
    risers = riser_findings(
        specification,
        measured.measurement,
        tolerances.riser_mm,
        thresholds.u_riser_mm,
        job.decision_rule,
    )
    between_sides = [count.verdict for count in counts if count.group == LEFT_RIGHT]
    trim = [x for x in lines if not x.kind.is_brake]
    judged = [x.u_mm for x in trim if x.u_mm is not None]
    known = any(x.relative_mm is not None for x in trim)
    return State(
        offset=offset.offset if offset and known else None,
        lines=lines,
        rows=row_findings(specification.rows, lines),
        tolerances=counts,
        verdict=fold([*(x.verdict for x in trim), *between_sides]),
        brake_verdict=worst(brake.verdict for brake in by_side.values()),
        pitch=pitch,
        symmetry=symmetry_of(measured.pitch, thresholds),
        residuals=residuals_of(measured.pitch, thresholds),
        brakes=by_side,
        brake_difference=brake_difference(brakes, spread.repeat_mm, measured.blocked, thresholds),
        travel_difference=travel_difference(by_side, thresholds),
        speed=speed_range(pitch.effective, job.wing.trim_speed_km_h, thresholds),
        risers=risers,
        riser_verdict=fold(riser.verdict for riser in risers),
        comparable_load=loaded.verdict,
        budget=measured.budget,
        line_u_mm=max(judged, default=None),
        correction=loaded.correction,
        offset_why=_offset_why(found, known=known),
        level=None if measured.blocked else shared_level(measured.lines, thresholds.u_row_side_mm),
        carry_over=measured.carry_over,
        risers_in=measured.risers.basis,
    )


def _tolerances_for(job: Job, load: Verdict) -> Tolerances:
    """The job's tolerances; of those only the risers' when lines were measured at another load.

    The maker's tolerances hold at the maker's load: at another one a line stretches otherwise, and
    to call it within limits would promise what nobody measured. Risers are not under load.
    """
    tolerances = job.tolerances
    if load is not Verdict.FAIL:
        return tolerances
    return Tolerances(riser_mm=tolerances.riser_mm, source=tolerances.source)


def _offset_why(found: OffsetEstimate | WhyNot, *, known: bool) -> WhyNot:
    """Why lines cannot be judged against each other; empty where they are."""
    if isinstance(found, WhyNot):
        return found
    return WhyNot.ASSESSED if known else WhyNot.TOO_FEW_LINES


def _levels(
    specification: Specification,
    measured: Measured,
    offset: OffsetEstimate | None,
    table: BrakeTable,
    tolerances: Tolerances,
) -> tuple[dict[LineKey, float | None], dict[LineKey, float]]:
    """The level that each line is judged from, in mm; None where it is not known well enough.

    Beside it the standard uncertainty in mm of the line's deviation less that, where one is known.
    """
    keys, carried, spread = measured.table.line_keys, measured.carried, measured.spread
    levels: dict[LineKey, float | None] = {}
    u_mm = dict(zip(keys, offset.line_u_mm().tolist(), strict=True)) if offset else {}
    for side, group in product(Side, specification.groups):
        known = offset is not None and offset.known_for(tolerances.limit_mm(group.name))
        shared = offset.offset.value_mm if offset and known else None
        for point, mm in zip(group.points, group.lengths_mm, strict=True):
            key, metres = (side, point), mm / 1000.0
            over = carried if carried and key in carried.keys else None
            if group.kind.is_brake:
                levels[key] = table.level_of(carried=over is not None)
                u_mm[key] = table.u_mm(metres, carried=over is not None)
                continue
            levels[key] = shared
            if group.kind is not GroupKind.ROW and offset:
                occasion = over.occasion_mm(measured.thresholds) if over else 0.0
                row = math.hypot(spread.row_mm, occasion)
                u_mm[key] = offset.other_u_mm(spread.line_mm, row, metres, over)
    return levels, u_mm


def _brake_table(
    specification: Specification,
    measured: Measured,
    offset: OffsetEstimate | None,
    tolerances: Tolerances,
) -> BrakeTable:
    """Brakes are compared with their table as it is, unless the maker counts them otherwise."""
    spread, correction = measured.spread, measured.loaded.correction
    level: float | None = 0.0
    u = tie = again = 0.0
    if specification.brakes_share_offset:
        known = offset is not None and offset.known_for(tolerances.limit_mm(BRAKE))
        level, u = (offset.offset.value_mm, offset.offset.u_mm) if offset and known else (None, 0.0)
        carried_level, session = level, 0.0
        if over := measured.carried:
            tie = math.hypot(over.u_mm, over.occasion_mm(measured.thresholds))
            level = None if over.brakes_u_mm is None else level
            again = over.brakes_u_mm or 0.0
    else:
        carried_level = measured.carried.shift_mm if measured.carried else 0.0
        session = measured.thresholds.u_session_shift_mm
    return BrakeTable(
        level,
        carried_level,
        u,
        spread.line_mm,
        spread.scale_mm_per_m,
        correction.u_mm if correction else 0.0,
        tie,
        again,
        session,
    )


def _brake_findings(
    job: Job,
    specification: Specification,
    measured: Measured,
    brakes: dict[Side, Brake],
    lines: Iterable[LineFinding],
    table: BrakeTable,
    tolerances: Tolerances,
) -> dict[Side, BrakeFinding]:
    """Both brakes; empty when none is specified and no free travel was measured."""
    free_travel = measured.measurement.free_travel_mm
    specified = any(group.kind.is_brake for group in specification.groups)
    if not specified and not free_travel:
        return {}
    own = [line for line in lines if line.kind.is_brake]
    return {
        side: brake_finding(
            brake,
            specification.brake_free_travel_mm,
            free_travel.get(side),
            own,
            table,
            tolerances,
            measured.thresholds,
            job.decision_rule,
        )
        for side, brake in brakes.items()
    }


def _hanging_on_doubts(state: State, whole: State) -> State:
    """The state, judged without lines in doubt, saying so where `whole`, with them, says more."""
    offset_why = state.offset_why
    if offset_why and not whole.offset_why:
        offset_why = WhyNot.IN_DOUBT
    parts = ("pitch", "symmetry", "residuals", "brakes", "brake_difference")
    hanging = {name: _hanging(getattr(state, name), getattr(whole, name)) for name in parts}
    return replace(state, offset_why=offset_why, **hanging)


def _hanging(part: Any, whole: Any) -> Any:
    """Every effect in it that has no value, and has one in `whole`, names the doubt."""
    if isinstance(part, Effect) and isinstance(whole, Effect):
        if part.value is None and whole.value is not None:
            return replace(part, why_not=WhyNot.IN_DOUBT)
        return part
    if isinstance(part, Mapping) and isinstance(whole, Mapping):
        return {k: _hanging(one, whole[k]) if k in whole else one for k, one in part.items()}
    if is_dataclass(part) and not isinstance(part, type):
        own = {
            f.name: _hanging(getattr(part, f.name), getattr(whole, f.name)) for f in fields(part)
        }
        return replace(part, **own)
    return part


analysis = LineSetAnalysis()
