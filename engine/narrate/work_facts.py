"""Facts about the work done and what it changed."""

from collections.abc import Iterable
from dataclasses import dataclass

from trimscribe.model.findings import Change, Findings, LedgerEntry, Verdict
from trimscribe.model.job import Job
from trimscribe.model.wing import BRAKE, BRAKE_MAIN, CascadeLine, Side, Specification
from trimscribe.narrate.effect_words import (
    clear_way,
    noticeable,
    seen,
    speed_of,
    strongest,
    way,
)

__all__ = ["ChangeFacts", "WorkFacts", "change_facts", "work_facts"]

_EVEN_MM = 5.0  # brakes that moved within 5 mm of each other moved alike


@dataclass(frozen=True)
class ChangeFacts:
    """Before to after in plain values; same words as `StateFacts`."""

    known: bool = False
    pitch: str = "not_assessed"
    pitch_way: str = ""
    pitch_deg: float | None = None
    pitch_u_deg: float | None = None
    pitch_threshold_deg: float | None = None
    twist: str = "not_assessed"
    twist_way: str = ""
    turn: str = "not_assessed"
    turn_deg: float | None = None
    speed_low: float | None = None
    speed_high: float | None = None
    speed_base: float | None = None
    speed_assumed: bool = False
    brake: str = "not_assessed"
    brake_way: str = ""
    brake_most_side: str = ""
    brake_left_mm: float | None = None
    brake_right_mm: float | None = None


@dataclass(frozen=True)
class WorkFacts:
    """What was done. Counts take each side's line as one line."""

    adjusted: bool = False
    lines_adjusted: bool = False
    longer: int = 0
    longer_rows: tuple[str, ...] = ()
    shorter: int = 0
    shorter_rows: tuple[str, ...] = ()
    other_lines: int = 0
    brake_work: str = ""
    brake_work_left_mm: float | None = None
    brake_work_right_mm: float | None = None
    replaced: tuple[tuple[str, str], ...] = ()
    ledger_agrees: int = 0
    ledger_differs: int = 0
    ledger_unknown: int = 0
    ledger_lines: tuple[tuple[str, str], ...] = ()
    plan_open: int = 0


def change_facts(change: Change | None) -> ChangeFacts:
    """Facts of the change; all "not assessed" when there is none."""
    if change is None:
        return ChangeFacts()
    pitch, speed = change.pitch, speed_of(change.pitch, change.speed)
    brake = strongest(change.brakes.values())
    left, right = (_value(change, side) for side in (Side.LEFT, Side.RIGHT))
    ways = {way(e.value, "more", "less") for e in change.brakes.values() if noticeable(seen(e))}
    return ChangeFacts(
        known=pitch.value is not None,
        pitch=seen(pitch),
        pitch_way=clear_way(pitch, "up", "down"),
        pitch_deg=None if pitch.value is None else abs(pitch.value),
        pitch_u_deg=2 * pitch.u,
        pitch_threshold_deg=pitch.threshold,
        twist=seen(change.twist),
        twist_way=clear_way(change.twist, "up", "down"),
        turn=seen(change.symmetry_angle),
        turn_deg=(
            None if change.symmetry_angle.value is None else abs(change.symmetry_angle.value)
        ),
        speed_low=min(abs(speed.low_km_h), abs(speed.high_km_h)) if speed else None,
        speed_high=max(abs(speed.low_km_h), abs(speed.high_km_h)) if speed else None,
        speed_base=change.speed.base_km_h if change.speed else None,
        speed_assumed=bool(change.speed and change.speed.assumed),
        brake=seen(brake),
        brake_way="mixed" if len(ways) > 1 else next(iter(ways), ""),
        brake_most_side=_larger(left, right),
        brake_left_mm=left,
        brake_right_mm=right,
    )


def _value(change: Change, side: Side) -> float | None:
    effect = change.brakes.get(side)
    return effect.value if effect else None


def _larger(left: float | None, right: float | None) -> str:
    if left is None or right is None or abs(abs(left) - abs(right)) < _EVEN_MM:
        return ""
    return Side.LEFT.value if abs(left) > abs(right) else Side.RIGHT.value


def work_facts(findings: Findings, job: Job) -> WorkFacts:
    """Facts of the adjustments, through the ledger, and of the replacements."""
    lines = [e for e in findings.ledger if not _is_brake(e, job.specification)]
    brakes = [e for e in findings.ledger if _is_brake(e, job.specification)]
    longer = [e for e in lines if (_moved(e) or 0.0) > 0]
    shorter = [e for e in lines if (_moved(e) or 0.0) < 0]
    left, right = (_brake(brakes, side) for side in (Side.LEFT, Side.RIGHT))
    differs = [e for e in findings.ledger if e.verdict is Verdict.FAIL]
    ways = {way(_moved(e), "longer", "shorter") for e in brakes}
    ways.discard("")
    return WorkFacts(
        adjusted=bool(job.adjustments),
        lines_adjusted=bool(lines),
        longer=len(longer),
        longer_rows=_rows(longer, job.specification),
        shorter=len(shorter),
        shorter_rows=_rows(shorter, job.specification),
        other_lines=len(lines) - len(longer) - len(shorter),
        brake_work="mixed" if len(ways) > 1 else next(iter(ways), "unknown" if brakes else ""),
        brake_work_left_mm=left,
        brake_work_right_mm=right,
        replaced=tuple((r.part, r.side.value if r.side else "") for r in job.replacements),
        ledger_agrees=sum(e.verdict is Verdict.PASS for e in findings.ledger),
        ledger_differs=len(differs),
        ledger_unknown=len(findings.ledger)
        - len(differs)
        - sum(e.verdict is Verdict.PASS for e in findings.ledger),
        ledger_lines=tuple((e.line, e.side.value) for e in differs),
        plan_open=0 if job.plan is None or job.plan.done else len(job.plan.changes),
    )


def _moved(entry: LedgerEntry) -> float | None:
    """What was set at the bench, else what the tape says."""
    return entry.measured_mm if entry.expected_mm is None else entry.expected_mm


def _cascade(name: str, spec: Specification | None) -> CascadeLine | None:
    return next((c for c in spec.cascade if c.name == name), None) if spec else None


def _is_brake(entry: LedgerEntry, spec: Specification | None) -> bool:
    line = _cascade(entry.line, spec)
    groups = {p.group for p in line.points} if line else {entry.line}
    return bool(groups & {BRAKE, BRAKE_MAIN})


def _rows(entries: Iterable[LedgerEntry], spec: Specification | None) -> tuple[str, ...]:
    """The rows that the lines carry, front to rear, then other groups."""
    if spec is None:
        return ()
    moved = {p.group for e in entries if (line := _cascade(e.line, spec)) for p in line.points}
    return tuple(group.name for group in spec.groups if group.name in moved)


def _brake(entries: list[LedgerEntry], side: Side) -> float | None:
    """The change of one side's main brake line in mm; other brake lines have no single number."""
    moved = [_moved(e) for e in entries if e.side is side and e.line == BRAKE_MAIN]
    known = [mm for mm in moved if mm is not None]
    return sum(known) if known else None
