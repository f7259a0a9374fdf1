"""Facts about the work done: which lines it touched, which it left, and what it moved them by."""

from collections.abc import Iterable
from dataclasses import dataclass

from trimscribe.assess.declare import fact
from trimscribe.assess.effect_words import way
from trimscribe.model.findings import Findings, LedgerEntry, LineFinding, State, Verdict, WorkCheck
from trimscribe.model.job import Job, StrengthTest
from trimscribe.model.replaced import (
    carried_points,
    is_whole_set,
    lines_named,
    of_brakes,
    points_named,
    points_of_whole,
    says_all,
    words_of,
)
from trimscribe.model.wing import BRAKE, BRAKE_MAIN, CascadeLine, Side, Specification


@dataclass(frozen=True)
class WorkFacts:
    """What was done. Counts take each side's line as one line."""

    adjusted: bool = fact(False, "any line was adjusted", "adjustments")
    lines_adjusted: bool = fact(False, "any row or stabilo line was adjusted", "adjustments")
    lines_worked: bool = fact(
        False, "any of them was adjusted, or replaced by its name", "adjustments replacements"
    )
    longer: int = fact(
        0,
        "how many lines measuring shows to have been let out (left and right count as two)",
        "ledger",
    )
    longer_rows: tuple[str, ...] = fact((), "the rows that they carry", "ledger")
    shorter: int = fact(0, "how many lines it shows to have been shortened", "ledger")
    shorter_rows: tuple[str, ...] = fact((), "the rows that they carry", "ledger")
    entered_longer: int = fact(
        0, "lines entered as let out, of which measuring does not say whether they were", "ledger"
    )
    entered_longer_rows: tuple[str, ...] = fact((), "the rows that they carry", "ledger")
    entered_shorter: int = fact(0, "lines entered as shortened, likewise", "ledger")
    entered_shorter_rows: tuple[str, ...] = fact((), "the rows that they carry", "ledger")
    entered_small: bool = fact(
        False, "of each so little was measured that it may be chance", "ledger"
    )
    entered_least_mm: float | None = fact(
        None, "up to which change that may be, for all adjusted lines alike", "ledger"
    )
    adjusted_for_angle: int = fact(
        0,
        "moved lines that carry none found outside limits, moved so that the wing turned back",
        "ledger before.lines before.pitch",
    )
    adjusted_main: bool = fact(
        False,
        "all adjusted lines are main lines at the maillon, some of which branch into several",
        "ledger",
    )
    other_lines: int = fact(0, "adjusted lines whose change is not known", "ledger")
    brake_work: str = fact(
        "", "longer, shorter, mixed or unknown; empty = the brakes were left alone", "ledger"
    )
    brake_work_shown: bool = fact(
        False, "measuring shows that every brake line that was adjusted moved that way", "ledger"
    )
    brake_work_shown_sides: tuple[str, ...] = fact(
        (), "sides of which it shows that of all their brake lines that were adjusted", "ledger"
    )
    brake_work_left_mm: float | None = fact(
        None, "change of the left main brake line, + = longer", "ledger"
    )
    brake_work_right_mm: float | None = fact(
        None, "change of the right main brake line, + = longer", "ledger"
    )
    brakes_worked: tuple[str, ...] = fact(
        (),
        "sides of which a brake line was adjusted, or one, its handle or its pulley replaced",
        "ledger replacements",
    )
    replaced: tuple[tuple[str, str], ...] = fact(
        (), "parts replaced, with their side", "replacements"
    )
    replaced_lines: bool = fact(
        False, "one of them is a line of this wing by its name, or of its brakes", "replacements"
    )
    replaced_why: tuple[str, ...] = fact((), "why each of them was", "replacements")
    ledger_agrees: int = fact(0, "adjusted lines that moved as planned", "ledger")
    ledger_differs: int = fact(0, "adjusted lines that did not", "ledger")
    ledger_unknown: int = fact(0, "adjusted lines of which this cannot be known", "ledger")
    ledger_lines: tuple[tuple[str, str], ...] = fact(
        (), "the lines that did not move as planned", "ledger"
    )
    ledger_on: tuple[str, ...] = fact(
        (), "of lines and brakes, those of which adjusted lines did not move as planned", "ledger"
    )
    ledger_limit_mm: float | None = fact(None, "within which the others did", "ledger")
    ledger_gap_mm: float | None = fact(
        None, "by more than which each that did not move as planned is off its plan", "ledger"
    )
    ledger_off_plan: bool = fact(
        False, "each of these is off its plan, whatever all lines changed by together", "ledger"
    )
    ledger_unlike: bool = fact(
        False, "each of these is off only compared with the other adjusted lines", "ledger"
    )
    together: str = fact("not_assessed", "verdict on all adjusted lines together", "work")
    together_gap_mm: float | None = fact(
        None,
        "how much longer they are than planned on average, + = longer; none where the next says "
        "more",
        "work",
    )
    together_short_mm: float | None = fact(
        None,
        "how much less far they moved than planned on average, those let out and those shortened "
        "alike, + = less far; none where the mean length says more",
        "work",
    )
    together_limit_mm: float | None = fact(None, "what that may be by chance", "work")
    still_outside: tuple[tuple[str, str], ...] = fact(
        (),
        "lines found outside limits that nobody adjusted, replaced or measured again, worst first",
        "before.lines adjustments replacements",
    )
    plan_open: int = fact(
        0,
        "changes of a proposed retrim that nobody has said to be done, nor entered loop by loop",
        "plan adjustments",
    )
    shift_known: bool = fact(
        False, "it is known what the whole line set changed by between both measurings", "work"
    )


def work_facts(findings: Findings, job: Job) -> WorkFacts:
    """Facts of the adjustments, through the ledger, and of the replacements."""
    lines = [e for e in findings.ledger if not _is_brake(e, job.specification)]
    brakes = [e for e in findings.ledger if _is_brake(e, job.specification)]
    longer, shorter = ([e for e in lines if (e.moved_mm or 0.0) * sign > 0] for sign in (1, -1))
    untold = [e for e in lines if e.shown is None]
    let_out, shortened = (
        [e for e in untold if (e.expected_mm or 0.0) * sign > 0] for sign in (1, -1)
    )
    shown = [side for side in Side if _all_shown([e for e in brakes if e.side is side])]
    left, right = (_brake(brakes, side, shown=side in shown) for side in (Side.LEFT, Side.RIGHT))
    agrees = [e for e in findings.ledger if e.verdict is Verdict.PASS]
    differs = [e for e in findings.ledger if e.verdict is Verdict.FAIL]
    ways = {way(_brake_mm(e), "longer", "shorter") for e in brakes}
    ways.discard("")
    together = findings.work
    return WorkFacts(
        adjusted=bool(job.adjustments),
        lines_adjusted=bool(lines),
        lines_worked=bool(lines) or _trim_replaced(job),
        longer=len(longer),
        longer_rows=_rows(longer, job.specification),
        shorter=len(shorter),
        shorter_rows=_rows(shorter, job.specification),
        entered_longer=len(let_out),
        entered_longer_rows=_rows(let_out, job.specification),
        entered_shorter=len(shortened),
        entered_shorter_rows=_rows(shortened, job.specification),
        entered_small=bool(untold) and all(_is_small(e) for e in untold),
        entered_least_mm=next((e.least_mm for e in findings.ledger if e.least_mm), None),
        adjusted_for_angle=sum(_for_angle(e, findings, job) for e in (*longer, *shorter)),
        adjusted_main=_are_main(lines, job.specification),
        other_lines=sum(e.expected_mm is None for e in untold),
        brake_work="mixed" if len(ways) > 1 else next(iter(ways), "unknown" if brakes else ""),
        brake_work_shown=_all_shown(brakes),
        brake_work_shown_sides=tuple(side.value for side in shown),
        brake_work_left_mm=left,
        brake_work_right_mm=right,
        brakes_worked=tuple(side.value for side in Side if _on_brake(side, brakes, job)),
        replaced=tuple((r.part, r.side.value if r.side else "") for r in job.replacements),
        replaced_lines=any(
            (job.specification and points_named(r.part, job.specification))
            or of_brakes(r.part, job.specification)
            for r in job.replacements
        ),
        replaced_why=tuple(r.reason for r in job.replacements),
        ledger_agrees=len(agrees),
        ledger_differs=len(differs),
        ledger_unknown=len(findings.ledger) - len(differs) - len(agrees),
        ledger_lines=tuple((e.line, e.side.value) for e in differs),
        ledger_on=tuple(
            name
            for name, own in (("lines", lines), ("brakes", brakes))
            if any(e.verdict is Verdict.FAIL for e in own)
        ),
        ledger_limit_mm=max((e.limit_mm for e in agrees if e.limit_mm), default=None),
        ledger_gap_mm=min((e.limit_mm for e in differs if e.limit_mm), default=None),
        ledger_off_plan=all(map(_off_plan, differs)),
        ledger_unlike=not any(map(_off_plan, differs)),
        together=together.verdict.name.lower() if together else "not_assessed",
        together_gap_mm=together.gap_mm if together and not together.by_way else None,
        together_short_mm=together.short_mm if together and together.by_way else None,
        together_limit_mm=_together_limit_mm(together) if together else None,
        still_outside=tuple((x.point.name, x.side.value) for x in _left_outside(findings, job)),
        plan_open=_plan_open(job),
        shift_known=bool(together and together.limit_mm is not None),
    )


def _plan_open(job: Job) -> int:
    """Without what was entered as work from the same loop to the same: that was done once."""
    if job.plan is None or job.plan.done:
        return 0
    done = {(x.line, x.side, x.loop_before, x.loop_after) for x in job.adjustments if x.loop_after}
    return sum((x.line, x.side, x.loop_before, x.loop_after) not in done for x in job.plan.changes)


def was_replaced(test: StrengthTest, job: Job) -> bool:
    """Whether a replaced part is the line that was pulled, by its name and side."""
    spec = job.specification
    pulled = lines_named(test.line, spec) if spec else set()
    points = points_named(test.line, spec) if spec else frozenset()

    def is_it(part: str) -> bool:
        if (is_whole_set(part) and says_all(part)) or (
            spec and points and points <= points_of_whole(part, spec)
        ):
            return True
        if spec and pulled:
            return pulled <= lines_named(part, spec)
        return words_of(test.line.lower()) <= words_of(part.lower())

    return any(
        is_it(one.part) and (one.side is None or test.side in (None, one.side))
        for one in job.replacements
    )


def _is_brake(entry: LedgerEntry, spec: Specification | None) -> bool:
    line = _cascade_line(entry.line, spec)
    groups = {p.group for p in line.points} if line else {entry.line}
    return bool(groups & {BRAKE, BRAKE_MAIN})


def _on_brake(side: Side, brakes: list[LedgerEntry], job: Job) -> bool:
    """Whether work on the brake of this side may have changed its free travel."""
    return any(entry.side is side for entry in brakes) or any(
        part.side in (None, side) and of_brakes(part.part, job.specification)
        for part in job.replacements
    )


def _rows(entries: Iterable[LedgerEntry], spec: Specification | None) -> tuple[str, ...]:
    """The rows that the lines carry, front to rear, then other groups."""
    if spec is None:
        return ()
    moved = {p.group for e in entries if (line := _cascade_line(e.line, spec)) for p in line.points}
    return tuple(group.name for group in spec.groups if group.name in moved)


def _is_small(entry: LedgerEntry) -> bool:
    """Whether a line was measured twice, and what it moved may be chance."""
    if entry.measured_mm is None or entry.least_mm is None:
        return False
    return abs(entry.measured_mm) <= entry.least_mm


def _brake_mm(entry: LedgerEntry) -> float | None:
    """What a brake line was moved by as measuring shows, else as it was entered."""
    return entry.moved_mm if entry.shown else entry.expected_mm


def _all_shown(entries: list[LedgerEntry]) -> bool:
    return bool(entries) and all(e.shown for e in entries)


def _brake(entries: list[LedgerEntry], side: Side, *, shown: bool) -> float | None:
    """The change of one side's main brake line in mm; other brake lines have no single number.

    As measured only where that is `shown` of all brake lines of the side: what goes by the record
    has the number that is in the record.
    """
    own = [e for e in entries if e.side is side and e.line == BRAKE_MAIN]
    moved = [e.moved_mm if shown else e.expected_mm for e in own]
    known = [mm for mm in moved if mm is not None]
    return sum(known) if known else None


def _together_limit_mm(work: WorkCheck) -> float | None:
    return work.short_limit_mm if work.by_way else work.limit_mm


def _off_plan(entry: LedgerEntry) -> bool:
    """Whether a line is off its plan by itself, whatever all lines changed by together."""
    return entry.shift_mm is not None or entry.limit_mm == entry.least_mm


def _left_outside(findings: Findings, job: Job) -> list[LineFinding]:
    """Lines that came outside limits and that nobody touched or measured since, worst first."""
    worked = bool(job.adjustments or job.replacements)
    if findings.before is None or (findings.after is None and not worked):
        return []
    touched = touched_points(job)
    left = [
        x
        for x in findings.before.lines
        if x.verdict is Verdict.FAIL
        and not x.kind.is_brake
        and (x.side, str(x.point)) not in touched
        and not (findings.after and _measured(findings.after, x))
    ]
    return sorted(left, key=lambda x: -abs(x.relative_mm or 0.0))


def _measured(state: State, line: LineFinding) -> bool:
    again = state.line(line.side, line.point)
    return again is not None and again.deviation_mm is not None


def touched_points(job: Job) -> set[tuple[Side, str]]:
    """The points that adjusted lines carry, and all that the name of a replaced part names."""
    spec = job.specification
    if spec is None:
        return set()
    touched = {(x.side, str(p)) for x in job.adjustments for p in carried_points(x.line, spec)}
    return touched | {
        (side, str(p))
        for x in job.replacements
        for p in points_named(x.part, spec)
        for side in x.sides
    }


def _trim_replaced(job: Job) -> bool:
    """Whether a replaced part is by its name a line that holds the wing, or all of them."""
    spec = job.specification
    named_points = (p for x in job.replacements if spec for p in points_named(x.part, spec))
    return any(point.group not in (BRAKE, BRAKE_MAIN) for point in named_points)


def _cascade_line(name: str, spec: Specification | None) -> CascadeLine | None:
    """The line of the cascade with this name."""
    return next((c for c in spec.cascade if c.name == name), None) if spec else None


def _are_main(entries: Iterable[LedgerEntry], spec: Specification | None) -> bool:
    """Whether all are main lines at the maillon, and one or more branches into several lines."""
    lines = [_cascade_line(entry.line, spec) for entry in entries]
    main = [line for line in lines if line is not None and line.parent is None]
    return len(main) == len(lines) and any(len(line.points) > 1 for line in main)


def _for_angle(entry: LedgerEntry, findings: Findings, job: Job) -> bool:
    """Whether its lines were clearly within limits, and moving it turned the wing back.

    Nose up, a line before the middle of all rows must have become shorter, one behind it longer.
    """
    spec, before = job.specification, findings.before
    line = _cascade_line(entry.line, spec)
    if spec is None or before is None or line is None:
        return False
    names = {point.group for point in line.points}
    place = [row.chord_m[0] for row in spec.rows if row.name in names and row.chord_m]
    middle = [row.chord_m[0] for row in spec.rows if row.chord_m]
    if not place or any(_may_be_outside(before.line(entry.side, point)) for point in line.points):
        return False
    behind = sum(place) / len(place) - sum(middle) / len(middle)
    return (before.pitch.wing.value or 0.0) * behind * (entry.moved_mm or 0.0) > 0.0


def _may_be_outside(line: LineFinding | None) -> bool:
    return line is None or line.verdict is not Verdict.PASS
