"""When no plan is made: what is asked of a job before anything is proposed."""

from collections.abc import Iterator

from trimscribe.errors import Fault, Severity
from trimscribe.model.doubts import DoubtKind
from trimscribe.model.findings import Findings, State, Verdict
from trimscribe.model.job import Job, OffsetMethod
from trimscribe.model.wing import GroupKind, Side, Specification
from trimscribe.plan.lines import main_lines

# A common offset whose uncertainty is more than this share of the limit judges lines by chance.
_OFFSET_SHARE = 5.0
# Without an estimate of what was not measured: half of a row's points on each side; of the row
# that the offset is taken from alone, six in ten.
_HALF, _OF_ONE_ROW = 0.5, 0.6
_MOST_NAMED = 8


def refusals(job: Job) -> Iterator[Fault]:
    """What is missing in the job itself."""
    specification, before = job.specification, job.before
    if specification is None or before is None or not before.lengths_mm:
        yield Fault(
            "plan-no-lengths",
            "There are no lengths before the work with a specification to plan from.",
            hint="Write the lengths under `before` and name the specification."
            if before or job.after is None
            else "For a retrim after this work start a new job: as `before` what was measured "
            "last, under `before.tied` the loops as they are now.",
        )
        return
    lines = main_lines(specification)
    if not lines:
        yield Fault(
            "plan-no-cascade",
            "The specification does not say which points hang on which main line.",
            hint="Write its `cascade`: without it nobody knows what a loop moves.",
        )
    if not any(row.chord_m for row in specification.rows):
        yield Fault(
            "plan-angle-unknown",
            "The specification does not say where the points of its rows are.",
            hint="Write `chord_m` of each row: without it a plan could make the wing faster than "
            "specified.",
        )
    allowed = [line.name for line in lines if line.name not in specification.retrim.never]
    if lines and not allowed:
        yield Fault(
            "plan-no-line",
            "The specification forbids to change the loop of any main line.",
            hint="See `retrim.never` in the specification, and the maker's own trim procedure.",
        )
    tied = before.tied
    unknown = [
        f"{name} {side}" for name in allowed for side in Side
        if tied is None or tied.at(side, name) is None
    ]  # fmt: skip
    if unknown or (tied is None and not lines):
        named = "any main line" if len(unknown) == 2 * len(allowed) else _listed(unknown)
        yield Fault(
            "plan-loops-not-stated",
            f"The loops as found are not stated for {named}.",
            hint="Write them under `before`, such as `tied: {default: single loop, c1: double "
            "loop}`.",
        )


def _listed(names: list[str]) -> str:
    more = len(names) - _MOST_NAMED
    return ", ".join(names[:_MOST_NAMED]) + (f" and {more} more" if more > 0 else "")


def state_refusals(job: Job, findings: Findings, state: State) -> Iterator[Fault]:
    """What the analysis of the wing as found says against a plan."""
    if state.comparable_load is Verdict.FAIL:
        yield Fault(
            "plan-other-load",
            "The lengths were measured at another load than the specification's.",
            hint="Measure at the load that the specification holds at.",
        )
        return
    doubts = [
        doubt.name for doubt in findings.doubts
        if doubt.confirmed is None and doubt.kind is not DoubtKind.NOTHING
    ]  # fmt: skip
    if doubts:
        yield Fault(
            "plan-doubts",
            f"Lengths look wrong, and nobody has confirmed them: {_listed(doubts)}.",
            hint="`trimscribe check` says what looks wrong. Measure again, or confirm each.",
        )
    yield from _offset_refusals(job, state)
    if state.pitch.wing.value is None:
        yield Fault(
            "plan-angle-unknown",
            f"The wing's angle is not assessed: {state.pitch.wing.why_not or 'no reason given'}.",
            hint="Without it a plan could make the wing faster than specified. Give `chord_m` and "
            "measure every row.",
        )


def _offset_refusals(job: Job, state: State) -> Iterator[Fault]:
    """Lines are judged against each other only where what all share is known well enough."""
    specification, before = job.specification, job.before
    if specification is None or before is None or job.offset_method is OffsetMethod.NONE:
        return
    missing = list(_missing(job, specification))
    if missing:
        yield Fault(
            "plan-too-few-lines",
            f"Too few lines were measured to know what all lines share: {'; '.join(missing)}.",
            hint="Measure each row on both sides, half of its points or more, and one line of "
            "each main line.",
        )
        return
    unjudged = [
        f"{x.point} {x.side}"
        for x in state.lines
        if x.kind is GroupKind.ROW
        and x.measured_mm is not None
        and x.tolerance_mm
        and x.verdict is Verdict.NOT_ASSESSED
    ]
    if unjudged:
        yield Fault(
            "plan-too-few-lines",
            f"Measured lines could not be judged: {_listed(unjudged)}.",
            hint="Measure more lines: what all lines share is not known well enough.",
        )
        return
    limits = [x.tolerance_mm for x in state.lines if x.kind is GroupKind.ROW and x.tolerance_mm]
    u = state.offset.u_mm if state.offset else None
    if limits and u is not None and u > min(limits) / _OFFSET_SHARE:
        yield Fault(
            "plan-too-few-lines",
            f"What all lines share is known to {u:.1f} mm; for a limit of {min(limits):g} mm that "
            f"must be {min(limits) / _OFFSET_SHARE:.1f} mm or less.",
            hint="Measure more lines, and with a smaller uncertainty.",
        )


def _missing(job: Job, specification: Specification) -> Iterator[str]:
    assert job.before is not None
    lengths = job.before.lengths_mm
    one_row = job.offset_method is OffsetMethod.ROW
    for row in specification.rows:
        if one_row and row.name != job.offset_row:
            continue
        for side in Side:
            known = sum((side, point) in lengths for point in row.points)
            least = _OF_ONE_ROW if one_row else _HALF
            if known < least * len(row.points):
                yield f"row {row.name} {side}, {known} of {len(row.points)}"
    if one_row:
        return
    rows = {row.name for row in specification.rows}
    for line in main_lines(specification):
        for side in Side:
            carried = [point for point in line.points if point.group in rows]
            if carried and not any((side, point) in lengths for point in carried):
                yield f"none of {line.name} {side}"


def tied_warnings(job: Job, specification: Specification) -> Iterator[Fault]:
    """Loops as found that the maker does not allow: the plan may leave them."""
    allowed, tied = specification.retrim.loops, job.before.tied if job.before else None
    if not allowed or tied is None:
        return
    loops = {tied.at(side, line.name) for line in main_lines(specification) for side in Side}
    for loop in sorted({loop.loop for loop in loops if loop} - {*allowed}):
        yield Fault(
            "plan-loop-not-allowed",
            f"“{loop}” was found on the wing, but is not among the loops that the maker allows.",
            hint="A plan changes it only where lengths ask for it.",
            severity=Severity.WARNING,
        )
