"""A run of `plan`: what is proposed, shown and written, in this order."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

import click

from trimscribe.archive import put
from trimscribe.cell import Limits, SerialWorker
from trimscribe.cli.faults import counted, fault_data, print_faults
from trimscribe.cli.output import FORMAT, clean, print_data, print_error, print_result
from trimscribe.cli.plan_view import show_plan
from trimscribe.cli.writing import write_over
from trimscribe.desk.planning import NewText, Planned, PlanWish
from trimscribe.errors import TrimscribeError
from trimscribe.exports.files import typed
from trimscribe.model.plain import to_plain
from trimscribe.model.plan import Plan
from trimscribe.resources import world_of

_WORK = "trimscribe.desk.planning"
_LIMITS = Limits(seconds=8.0, memory_mb=900.0)
# A search is bounded by its nodes; the slowest of 200 wings took 12 s, and by the median more.
_STEPS = {"understood": 0.0, "proposed": 60.0, "laid_out": 0.0}


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


def run_plan(job: str, wishes: PlanWishes) -> int:
    """Propose, show and write as the wishes say; return the exit code."""
    if wishes.done and (wishes.sheet or wishes.into or wishes.take != 1):
        raise click.UsageError("--done is about the plan that is in the job: use it alone.")
    cell = SerialWorker(_LIMITS)
    done, written = Planned(), list[Path]()
    world = world_of([job], shop=wishes.shop, theme=wishes.theme, more=[wishes.into])
    try:
        if wishes.done:
            change: NewText = cell.call(job, f"{_WORK}:marked_done", Path(job), reads=world)
            write_over(Path(job), change.before, change.after)
            written.append(Path(job))
        else:
            if wishes.sheet:
                cell.warm("trimscribe.desk.work:get_ready")
            for step, seconds in _STEPS.items():
                wish = _wish(job, wishes)
                done = cell.call(job, f"{_WORK}:{step}", wish, reads=world, seconds=seconds)
                if done.exit_code:
                    break
            written += _write(done, wishes)
    except TrimscribeError as error:
        done = replace(done, faults=(*done.faults, *error.faults), exit_code=error.exit_code)
    finally:
        cell.close()
    if wishes.as_json:
        print_data(_document(job, done, written))
        return done.exit_code
    print_faults((*done.passed_over, *done.faults))
    if done.plan and done.job:
        show_plan(done.plan, done.job)
    print_error(f"{job}: {counted(done.faults) or 'no faults'}")
    for path in written:
        print_result(clean(typed(path)))
    return done.exit_code


def _wish(job: str, wishes: PlanWishes) -> PlanWish:
    sheet, into = wishes.sheet is not None, wishes.into
    return PlanWish(job, wishes.take, sheet, into, wishes.theme, wishes.shop, wishes.force)


def _write(done: Planned, wishes: PlanWishes) -> list[Path]:
    """Write what was made, once all of it is."""
    written = []
    if done.exit_code:
        return []
    if wishes.sheet and done.sheet:
        put(done.sheet, wishes.sheet, force=wishes.force)
        written.append(wishes.sheet)
    if wishes.into and done.change:
        if done.change.before != done.change.after:
            write_over(wishes.into, done.change.before, done.change.after)
        written.append(wishes.into)
    return written


def _document(job: str, done: Planned, written: Sequence[Path]) -> Any:
    """The run as data: `format`, `exit_code`, `job`, `faults` as elsewhere, `plan` (`now`,
    `proposals`, `not_mendable`; null where there is none), `written` (paths).
    """
    return {
        "format": FORMAT,
        "exit_code": int(done.exit_code),
        "job": job,
        "faults": [*map(fault_data, done.faults)],
        "plan": _plan_data(done.plan),
        "written": [typed(path) for path in written],
    }


def _plan_data(plan: Plan | None) -> Any:
    if plan is None:
        return None
    return {
        "now": to_plain(plan.now),
        "proposals": to_plain(plan.proposals),
        "not_mendable": to_plain(plan.not_mendable),
    }
