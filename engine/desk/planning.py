"""What a worker does of a retrim plan: proposed, set on a sheet, and put into a job's text."""

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any

from trimscribe.doubt_messages import nearest_mark
from trimscribe.errors import Fault, InputError, Mark, PlanError, Severity, TrimscribeError
from trimscribe.exports.editing.kinds import not_a_job, of_another_wing
from trimscribe.exports.editing.plan_text import done_in_text, plan_in_text
from trimscribe.exports.files import as_typed, load_file
from trimscribe.marked_yaml import ValuePath
from trimscribe.model.document import Content
from trimscribe.model.job import Job
from trimscribe.model.plan import LoopChange, Plan, Proposal
from trimscribe.model.report import Report
from trimscribe.model.wing import BRAKE, BRAKE_MAIN, Side, Specification
from trimscribe.pipeline import bench_sheet, prepare, propose
from trimscribe.registry import installed
from trimscribe.whereabouts import at
from trimscribe.world import World


@dataclass(frozen=True)
class PlanWish:
    """A job, the alternative to take of its plan (counted from 1), and what to make of that.

    Where none is named, a sheet shows the one in the job, else the first. `sheet` is the file to
    set it in for the line room, `into` the job file whose text is to hold the plan; `force`
    replaces another plan there.
    """

    job: str
    take: int | None = None
    sheet: Path | None = None
    into: Path | None = None
    theme: str = ""
    shop: str = ""
    force: bool = False


@dataclass(frozen=True)
class NewText:
    """The text of a file as it is, and as it shall be."""

    before: str
    after: str


@dataclass(frozen=True)
class Planned:
    """The result: warnings, or what stopped it (`exit_code`), and what was made until then."""

    faults: tuple[Fault, ...] = ()
    passed_over: tuple[Fault, ...] = ()
    exit_code: int = 0
    job: Job | None = None
    plan: Plan | None = None
    sheet: Report | None = None
    change: NewText | None = None


# Where a refusal is mended; what is not here is about the job as a whole.
_WHERE: Mapping[str, ValuePath] = {
    "plan-no-lengths": ("before",),
    "plan-no-cascade": ("specification",),
    "plan-angle-unknown": ("specification",),
    "plan-no-line": ("specification",),
    "plan-loops-not-stated": ("before",),
    "plan-too-few-lines": ("before",),
    "plan-other-load": ("before", "tension_n"),
}


@dataclass
class _Begun:
    """What a worker has made so far, for the steps that follow."""

    done: Planned = field(default_factory=Planned)
    content: Content | None = None


_begun: list[_Begun] = []


def understood(wish: PlanWish) -> Planned:
    """The first step: read the job."""
    _begun[:] = [_Begun()]

    def work(now: _Begun) -> None:
        now.content = content = prepare(wish.job, installed(), wish.shop, before_work=True)
        now.done = replace(now.done, faults=content.warnings, job=content.reading.job)

    return _went_on(wish, work)


def proposed(wish: PlanWish) -> Planned:
    """The second step, which alone takes its time: propose a retrim."""

    def work(now: _Begun) -> None:
        assert now.content is not None  # else there was a fault
        try:
            plan = propose(now.content, installed())
        except PlanError as error:
            marks = now.content.reading.marks
            raise PlanError([_placed(fault, marks) for fault in error.faults]) from None
        old = _from_old_lengths(now.content)
        now.done = replace(now.done, faults=(*now.done.faults, *old, *plan.warnings))
        _look_up(wish, plan)
        now.done = replace(now.done, plan=plan)

    return _went_on(wish, work)


def laid_out(wish: PlanWish) -> Planned:
    """The last step: the plan's sheet and the job's new text, where they are asked for."""

    def work(now: _Begun) -> None:
        content, plan = now.content, now.done.plan
        assert content is not None  # else there was a fault
        assert plan is not None
        if wish.sheet:
            number = _taken(wish, content.reading.job, plan)
            sheet = bench_sheet(
                content, plan, installed(), World.real(), number=number, theme=wish.theme
            )
            faults = (*now.done.faults, *sheet.warnings)
            now.done = replace(now.done, sheet=sheet, faults=faults)
        if wish.into:
            change = _into(wish, wish.into, content.reading.job, plan)
            now.done = replace(now.done, change=change)

    return _went_on(wish, work)


def _went_on(wish: PlanWish, work: Callable[[_Begun], None]) -> Planned:
    """Do a step, and return all that was made so far; whatever stops it is among the faults."""
    at(wish.job)
    (now,) = _begun
    try:
        work(now)
    except TrimscribeError as error:
        faults = (*now.done.faults, *error.faults)
        now.done = replace(now.done, faults=faults, exit_code=error.exit_code)
    now.done = replace(now.done, passed_over=installed().faults())
    return now.done


def marked_done(path: Path) -> NewText:
    """The text of a job whose plan becomes adjustments; raises InputError and PlanError."""
    at(path.as_posix())
    loaded = load_file(path)
    return NewText(loaded.text.whole, done_in_text(loaded))


def _placed(fault: Fault, marks: Mapping[ValuePath, Mark]) -> Fault:
    """A refusal with the place where what it asks for belongs."""
    at_key = _WHERE.get(fault.code)
    return replace(fault, mark=nearest_mark(at_key, marks)) if at_key else fault


def _from_old_lengths(content: Content) -> Iterator[Fault]:
    """A warning where the wing is not any more as the lengths say that a plan starts from."""
    job, marks = content.reading.job, content.reading.marks
    if not job.adjustments and job.after is None:
        return
    yield Fault(
        "plan-from-old-lengths",
        "This job already has work done or a measuring after it; the proposal starts from the "
        "lengths before that work, and would do it again.",
        nearest_mark(("after",) if ("after",) in marks else ("adjustments",), marks),
        "For a second round start a new job: as `before` what was measured last, under "
        "`before.tied` the loops as they are now.",
        Severity.WARNING,
    )


def _look_up(wish: PlanWish, plan: Plan) -> None:
    if (wish.take or 1) > len(plan.proposals):
        raise PlanError.of(
            "plan-number",
            f"There is no alternative {wish.take}.",
            hint=f"There are {len(plan.proposals)}: `trimscribe plan {as_typed(wish.job)}` shows "
            "them.",
        )


def _taken(wish: PlanWish, job: Job, plan: Plan) -> int:
    """Which proposal is meant, from 0: what goes to the line room is what the job holds."""
    if wish.take or wish.into or job.plan is None:
        return (wish.take or 1) - 1
    held = {(c.line, c.side, c.loop_after, c.change_mm) for c in job.plan.changes}
    for number, proposal in enumerate(plan.proposals):
        if held == {*_changes(proposal, job.specification)}:
            return number
    raise PlanError.of(
        "plan-not-proposed",
        "The plan in the job is none of those that are proposed now.",
        hint="Name the alternative that the sheet shall show with --take.",
    )


def _changes(
    proposal: Proposal, specification: Specification | None
) -> Iterator[tuple[str, Side, str, float | None]]:
    """The changes as the job holds them: line, side, and the loop or the mm."""
    for entry in _entries(proposal, specification):
        sides = Side if entry["side"] == "both" else (Side(entry["side"]),)
        for side in sides:
            yield entry["line"], side, entry.get("loop_after", ""), entry.get("change_mm")


def _into(wish: PlanWish, path: Path, job: Job, plan: Plan) -> NewText:
    entries = _entries(plan.proposals[_taken(wish, job, plan)], job.specification)
    loaded = load_file(path)
    if wrong := not_a_job(loaded) or of_another_wing(loaded, job.wing):
        raise InputError(wrong)
    return NewText(loaded.text.whole, plan_in_text(loaded, entries, force=wish.force))


def _entries(
    proposal: Proposal, specification: Specification | None
) -> Sequence[Mapping[str, Any]]:
    """The changes as adjustments are written; both sides in one entry where they are alike."""
    entries = [*_loops(proposal.changes)]
    fan = specification is not None and specification.group(BRAKE) is not None
    for brake in proposal.brakes:
        line = BRAKE_MAIN if fan else f"{BRAKE_MAIN}1"
        if brake.change_mm:
            entries.append({"line": line, "side": str(brake.side), "change_mm": brake.change_mm})
    return entries


def _loops(changes: Sequence[LoopChange]) -> Iterator[dict[str, Any]]:
    left: dict[tuple[str, ...], set[Side]] = {}
    for change in changes:
        key = (change.line, change.loop_now, change.loop_proposed, change.maillon)
        left.setdefault(key, set()).add(change.side)
    for (line, now, proposed, maillon), sides in left.items():
        side = "both" if len(sides) == len(Side) else str(next(iter(sides)))
        entry = {"line": line, "side": side, "loop_before": now, "loop_after": proposed}
        yield {**entry, "maillon": maillon} if maillon else entry
