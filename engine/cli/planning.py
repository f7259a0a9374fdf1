"""A run of `plan`: what is proposed, shown and written, in this order."""

import contextlib
import sys
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import click

from trimscribe.archive import put
from trimscribe.cli.exits import Exit
from trimscribe.cli.faults import counted, fault_data, tell_faults
from trimscribe.cli.output import FORMAT, clean, say, say_data, tell
from trimscribe.cli.plan_view import show_plan
from trimscribe.errors import Fault, PlanError, TrimscribeError
from trimscribe.imports.files import load_file, typed
from trimscribe.imports.plan_text import done_in_text, plan_in_text
from trimscribe.imports.write import write_over
from trimscribe.model.content import Content
from trimscribe.model.plain import to_plain
from trimscribe.model.plan import LoopChange, Plan, Proposal
from trimscribe.model.wing import BRAKE, BRAKE_MAIN, Side, Specification
from trimscribe.pipeline import bench_sheet, prepare, propose
from trimscribe.registry import Registry
from trimscribe.world import World

__all__ = ["PlanWishes", "run_plan"]


@dataclass(frozen=True)
class PlanWishes:
    """What the person asked for, as on the command line."""

    take: int
    sheet: Path | None
    into: Path | None
    done: bool
    theme: str
    shop: str
    force: bool
    as_json: bool


@dataclass
class _Run:
    """What came of it so far."""

    faults: list[Fault]
    content: Content | None = None
    plan: Plan | None = None
    written: list[Path] | None = None
    exit_code: int = Exit.DONE


def run_plan(registry: Registry, job: str, wishes: PlanWishes) -> int:
    """Propose, show and write as the wishes say; return the exit code."""
    if wishes.done and (wishes.sheet or wishes.into or wishes.take != 1):
        raise click.UsageError("--done is about the plan that stands in the job: use it alone.")
    run = _Run([], written=[])
    try:
        # A plugin that prints must not get into the results.
        with contextlib.redirect_stdout(sys.stderr):
            _done(Path(job), run) if wishes.done else _work(registry, job, wishes, run)
    except TrimscribeError as error:
        run.faults += error.faults
        run.exit_code = error.exit_code
    if wishes.as_json:
        say_data(_document(job, run))
        return run.exit_code
    tell_faults((*registry.faults(), *run.faults))
    if run.plan and run.content:
        show_plan(run.plan, run.content.reading.job)
    tell(f"{job}: {counted(run.faults) or 'no faults'}")
    for path in run.written or ():
        say(clean(typed(path)))
    return run.exit_code


def _work(registry: Registry, job: str, wishes: PlanWishes, run: _Run) -> None:
    run.content = content = prepare(job, registry, wishes.shop)
    run.faults += content.warnings
    plan = propose(content, registry)
    run.faults += plan.warnings
    if wishes.take > len(plan.proposals):
        raise PlanError(
            Fault(
                "plan-number",
                f"There is no alternative {wishes.take}.",
                hint=f"There are {len(plan.proposals)}: `trimscribe plan {job}` shows them.",
            )
        )
    run.plan = plan
    if wishes.sheet:
        world = World.real()
        number, theme = wishes.take - 1, wishes.theme
        report = bench_sheet(content, plan, registry, world, number=number, theme=theme)
        run.faults += report.warnings
        put(report, wishes.sheet, force=wishes.force)
        run.written = [*(run.written or ()), wishes.sheet]
    if wishes.into:
        specification = content.reading.job.specification
        entries = _entries(plan.proposals[wishes.take - 1], specification)
        loaded = load_file(wishes.into)
        text = plan_in_text(loaded, entries, force=wishes.force)
        if text != loaded.text.whole:
            write_over(wishes.into, loaded.text.whole, text)
        run.written = [*(run.written or ()), wishes.into]


def _done(path: Path, run: _Run) -> None:
    loaded = load_file(path)
    write_over(path, loaded.text.whole, done_in_text(loaded))
    run.written = [path]


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


def _document(job: str, run: _Run) -> Any:
    """The run as data: `format`, `exit_code`, `job`, `faults` as elsewhere, `plan` (`now`,
    `proposals`, `not_mendable`; null where there is none), `written` (paths).
    """
    return {
        "format": FORMAT,
        "exit_code": int(run.exit_code),
        "job": job,
        "faults": [*map(fault_data, run.faults)],
        "plan": _plan_data(run.plan),
        "written": [typed(path) for path in run.written or ()],
    }


def _plan_data(plan: Plan | None) -> Any:
    if plan is None:
        return None
    return {
        "now": to_plain(plan.now),
        "proposals": to_plain(plan.proposals),
        "not_mendable": to_plain(plan.not_mendable),
    }
