"""A run of `plan`: what is proposed, shown and written, in this order."""

from dataclasses import replace
from pathlib import Path

import click

from trimscribe.archive import put
from trimscribe.cell import Limits, SerialWorker
from trimscribe.cli.faults import counted, fault_data, print_faults
from trimscribe.cli.output import clean, print_document, print_error, print_result
from trimscribe.cli.plan_view import show_plan
from trimscribe.cli.writing import write_over
from trimscribe.desk.planning import NewText, Planned, PlanWish
from trimscribe.errors import TrimscribeError
from trimscribe.model.plain import to_plain
from trimscribe.resources.worlds import world_of

_WORK = "trimscribe.desk.planning"
_LIMITS = Limits(seconds=8.0, memory_mb=900.0)
# A search is bounded by its nodes; the slowest of 200 wings took 12 s, and by the median more.
_STEPS = {"understood": 0.0, "proposed": 60.0, "laid_out": 0.0}


def run_plan(wish: PlanWish, *, mark_done: bool, as_json: bool) -> int:
    """Propose, show and write what is wished for; return the exit code.

    As data that is `format`, `exit_code`, `job`, `faults` as elsewhere, `plan` (`now`,
    `proposals`, `not_mendable`; null where there is none) and `written` (paths).
    """
    job = wish.job
    if mark_done and (wish.sheet or wish.into or wish.take != 1):
        raise click.UsageError("--done is about the plan that is in the job: use it alone.")
    cell = SerialWorker(_LIMITS)
    done, written = Planned(), list[Path]()
    world = world_of([job], shop=wish.shop, theme=wish.theme, more=[wish.into])
    try:
        if mark_done:
            change: NewText = cell.call(job, f"{_WORK}:marked_done", Path(job), reads=world)
            write_over(Path(job), change.before, change.after)
            written.append(Path(job))
        else:
            if wish.sheet:
                cell.warm("trimscribe.desk.work:get_ready")
            for step, seconds in _STEPS.items():
                done = cell.call(job, f"{_WORK}:{step}", wish, reads=world, seconds=seconds)
                if done.exit_code:
                    break
            written += _write(done, wish)
    except TrimscribeError as error:
        done = replace(done, faults=(*done.faults, *error.faults), exit_code=error.exit_code)
    finally:
        cell.close()
    if as_json:
        plan, parts = done.plan, ("now", "proposals", "not_mendable")
        print_document(
            done.exit_code,
            job=job,
            faults=[*map(fault_data, done.faults)],
            plan={name: to_plain(getattr(plan, name)) for name in parts} if plan else None,
            written=[path.as_posix() for path in written],
        )
        return done.exit_code
    print_faults((*done.passed_over, *done.faults))
    if done.plan and done.job:
        show_plan(done.plan, done.job)
    print_error(f"{job}: {counted(done.faults) or 'no faults'}")
    for path in written:
        print_result(clean(path.as_posix()))
    return done.exit_code


def _write(done: Planned, wish: PlanWish) -> list[Path]:
    """Write what was made, once all of it is."""
    written = []
    if done.exit_code:
        return []
    if wish.sheet and done.sheet:
        put(done.sheet, wish.sheet, force=wish.force)
        written.append(wish.sheet)
    if wish.into and done.change:
        if done.change.before != done.change.after:
            write_over(wish.into, done.change.before, done.change.after)
        written.append(wish.into)
    return written
