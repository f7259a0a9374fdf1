"""Which lines the work touched, which it left, and which it moved for the wing's angle."""

from collections.abc import Iterable

from trimscribe.model.findings import Findings, LedgerEntry, LineFinding, State, Verdict
from trimscribe.model.job import Job, StrengthTest
from trimscribe.model.wing import CascadeLine, GroupKind, Side, Specification


def left_outside(findings: Findings, job: Job) -> list[LineFinding]:
    """Lines that came outside limits and that nobody touched or measured since, worst first."""
    worked = bool(job.adjustments or job.replacements)
    if findings.before is None or (findings.after is None and not worked):
        return []
    touched = _touched(job)
    left = [
        x
        for x in findings.before.lines
        if x.verdict is Verdict.FAIL
        and x.kind in (GroupKind.ROW, GroupKind.STABILO)
        and (x.side, str(x.point)) not in touched
        and not (findings.after and _measured(findings.after, x))
    ]
    return sorted(left, key=lambda x: -abs(x.relative_mm or 0.0))


def _measured(state: State, line: LineFinding) -> bool:
    again = state.line(line.side, line.point)
    return again is not None and again.deviation_mm is not None


def _touched(job: Job) -> set[tuple[Side, str]]:
    """The points that adjusted lines carry, and all that the name of a replaced part names."""
    touched: set[tuple[Side, str]] = set()
    for one in job.adjustments:
        line = cascade_line(one.line, job.specification)
        names = [str(point) for point in line.points] if line else [one.line]
        touched |= {(one.side, name) for name in names}
    for part in job.replacements:
        for word in part.part.replace(",", " ").split():
            line = cascade_line(word, job.specification)
            names = [str(point) for point in line.points] if line else [word]
            touched |= {(s, n) for n in names for s in ([part.side] if part.side else Side)}
    return touched


def cascade_line(name: str, spec: Specification | None) -> CascadeLine | None:
    """The line of the cascade with this name."""
    return next((c for c in spec.cascade if c.name == name), None) if spec else None


def are_main(entries: Iterable[LedgerEntry], spec: Specification | None) -> bool:
    """Whether all are main lines at the maillon, and one or more branches into several lines."""
    lines = [cascade_line(entry.line, spec) for entry in entries]
    main = [line for line in lines if line is not None and line.parent is None]
    return len(main) == len(lines) and any(len(line.points) > 1 for line in main)


def for_angle(entry: LedgerEntry, findings: Findings, job: Job) -> bool:
    """Whether its lines were clearly within limits, and moving it turned the wing back.

    Nose up, a line before the middle of all rows must have become shorter, one behind it longer.
    """
    spec, before = job.specification, findings.before
    line = cascade_line(entry.line, spec)
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


def names_line(part: str, spec: Specification | None) -> bool:
    """Whether a replaced part has the name of a line of this wing's line set in its own."""
    return bool(_named(part, spec))


def was_replaced(test: StrengthTest, job: Job) -> bool:
    """Whether a replaced part is the line that was pulled, by its name and side."""
    pulled = _named(test.line, job.specification) or _words(test.line)
    return any(
        pulled <= _words(one.part) and (one.side is None or test.side in (None, one.side))
        for one in job.replacements
    )


def _named(text: str, spec: Specification | None) -> set[str]:
    """The lines of the line set whose names are in a text."""
    if spec is None:
        return set()
    points = {str(point).lower() for group in spec.groups for point in group.points}
    return _words(text) & (points | {line.name.lower() for line in spec.cascade})


def _words(text: str) -> set[str]:
    return {word.strip(".,;").lower() for word in text.split()}
