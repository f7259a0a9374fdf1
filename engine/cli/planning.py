"""A run of `plan`: a retrim is proposed, shown and written, in this order.

Nothing of it was done or measured yet, so all that is shown says "would".
"""

from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import click
from rich.table import Table

from trimscribe.archive import put
from trimscribe.cell import Limits, SerialWorker
from trimscribe.cli.output import (
    clean,
    counted,
    fault_data,
    number_of,
    print_document,
    print_error,
    print_faults,
    print_result,
    print_table,
)
from trimscribe.cli.writing import write_over
from trimscribe.desk.planning import NewText, Planned, PlanWish
from trimscribe.errors import TrimscribeError
from trimscribe.formats import formats_for
from trimscribe.model.findings import Effect, Expectation
from trimscribe.model.job import Job
from trimscribe.model.plain import to_plain
from trimscribe.model.plan import (
    NotMendable,
    Outlook,
    Plan,
    PlanKind,
    Proposal,
    RuleValue,
    WhyNotMended,
    half_steps,
)
from trimscribe.resources.worlds import world_of

_WORK = "trimscribe.desk.planning"
_LIMITS = Limits(seconds=8.0, memory_mb=900.0)
# A search is bounded by its nodes; the slowest of 200 wings took 12 s, and by the median more.
_STEPS = {"understood": 0.0, "proposed": 60.0, "laid_out": 0.0}
_KINDS = {
    PlanKind.FEWEST: "fewest changes",
    PlanKind.BETWEEN: "between",
    PlanKind.ROOM: "most room to the limits",
    PlanKind.SIDES_FREE: "left and right apart",
}
_ALWAYS = (
    "The maker's own trim procedure comes first.",
    "This is a proposal, no approval: whether and how to retrim is the technician's decision.",
    "Measure the whole wing again after the work; only that shows what it has become.",
    "Check free travel with the bar fully pushed.",
)
# As the bench sheet writes numbers, so that both round alike.
_FORMATS = formats_for("en_GB", "not assessed")


def run_plan(wish: PlanWish, *, mark_done: bool, as_json: bool) -> int:
    """Propose, show and write what is wished for; return the exit code.

    As data that is `format`, `exit_code`, `job`, `faults` as elsewhere, `plan` (`now`,
    `proposals`, `not_mendable`; null where there is none) and `written` (paths).
    """
    job = wish.job
    if mark_done and (wish.sheet or wish.into or wish.take):
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
        _show(done.plan, done.job)
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


def _show(plan: Plan, job: Job) -> None:
    """Write the proposal, what each alternative would leave, and what no loop would mend."""
    print_result(
        clean(f"Proposed retrim of {job.wing.model} {job.wing.size}, {job.wing.serial_number}")
    )
    print_result("")
    for number, proposal in enumerate(plan.proposals, 1):
        print_result("\n".join(map(clean, _loops(number, proposal))))
        print_result("")
    print_table(_outlooks(plan))
    print_result("")
    for line in (*map(_not_mended, plan.not_mendable), *_read_again(plan)):
        print_result(clean(line))
    for line in _ALWAYS:
        print_result(line)


def _loops(number: int, proposal: Proposal) -> Iterator[str]:
    count = len(proposal.changes)
    title = f"{number}  {_KINDS[proposal.kind]}: {number_of(count, 'loop')} would change"
    yield title if proposal.proven else f"{title} (not proven to be the best)"
    if not count:
        yield "   No loop would have to change."
    wide = max((len(c.line) for c in proposal.changes), default=0)
    for change in proposal.changes:
        loops = f"{change.loop_now} → {change.loop_proposed}"
        yield f"   {change.line:<{wide}} {change.side:<5}  {loops:<34} {_mm(change.change_mm)} mm"
    for brake in proposal.brakes:
        does = f"{_mm(brake.change_mm)} mm" if brake.change_mm else "would stay"
        yield (
            f"   then the {brake.side} main brake line {does}: free travel "
            f"{_FORMATS.number(brake.now_mm)} mm now, {_FORMATS.number(brake.after_rows_mm)} after "
            f"the rows, would be {_FORMATS.number(brake.then_mm)} "
            f"(±{_FORMATS.number(2 * brake.u_mm)})"
        )


def _outlooks(plan: Plan) -> Table:
    table = Table(box=None, pad_edge=False, padding=(0, 2, 0, 0))
    table.add_column("")
    table.add_column("before")
    for number in range(1, len(plan.proposals) + 1):
        table.add_column(f"{number} would leave")
    outlooks = [plan.now, *(proposal.outlook for proposal in plan.proposals)]
    for name, row in (
        ("lines beyond their limit", [f"{o.outside} of {o.judged}" for o in outlooks]),
        ("line that fits worst", [_nearest(o) for o in outlooks]),
        ("angle of the wing", [_angle(o.pitch, "nose up", "nose down") for o in outlooks]),
        ("tips against the centre", [_angle(o.twist, "nose up", "nose down") for o in outlooks]),
        ("right against left", [_angle(o.left_right, "nose up", "nose down") for o in outlooks]),
        ("trim speed", [_speed(o) for o in outlooks]),
        ("may read beyond it again", [_about(o.again_outside) for o in outlooks]),
        *_by_rule(outlooks),
    ):
        table.add_row(name, *row)
    return table


def _by_rule(outlooks: list[Outlook]) -> Iterator[tuple[str, list[str]]]:
    for number, rule in enumerate(outlooks[0].rules):
        name = f"{rule.name} {rule.side or ''}".strip()
        yield clean(name), [_rule(outlook.rules[number]) for outlook in outlooks]


def _rule(rule: RuleValue) -> str:
    if rule.value_mm is None:
        return "not assessed"
    text = f"{_mm(rule.value_mm, 1)} mm"
    return text if abs(rule.value_mm - rule.target_mm) <= rule.within_mm else f"{text}, outside"


def _nearest(outlook: Outlook) -> str:
    near = outlook.nearest
    if near is None:
        return "not assessed"
    mm = _FORMATS.beside(near.relative_mm, near.limit_mm, 1, sign=True)
    return f"{near.point} {near.side} {mm} of ±{_FORMATS.written(near.limit_mm)} mm"


def _angle(effect: Effect, up: str, down: str) -> str:
    if effect.value is None:
        return "not assessed"
    size, twice = abs(effect.value), 2 * effect.u
    if size <= twice:  # a direction would claim what is not settled
        return f"within {_FORMATS.at_most(size + twice, 1)}°"
    way = up if effect.value > 0 else down
    return f"{_FORMATS.number(size, 2)}° {way} (±{_FORMATS.number(twice, 2)})"


def _speed(outlook: Outlook) -> str:
    if outlook.speed is None:
        return "not assessed"
    if outlook.effective and outlook.effective.expectation is Expectation.NONE:
        return "no difference expected"
    low, high, faster = half_steps(outlook.speed)
    way = "faster" if faster else "slower"
    if high is None:
        return f"at least {low:g} km/h {way}"
    return f"{low:g} to {high:g} km/h {way}" if low else f"up to {high:g} km/h {way}"


def _about(lines: float) -> str:
    return "fewer than one" if lines < 0.5 else f"about {round(lines)}"


def _read_again(plan: Plan) -> Iterator[str]:
    outlooks = [proposal.outlook for proposal in plan.proposals]
    lines = [
        f"{number_of(round(outlook.again_outside), 'line')} after {number}"
        for number, outlook in enumerate(outlooks, 1)
        if not outlook.outside and outlook.again_outside >= 0.5
    ]
    if lines:
        yield (
            f"Measured again, about {_FORMATS.items(lines)} may read beyond their limit: readings "
            "and loops are not exact."
        )


def _not_mended(one: NotMendable) -> str:
    points = " and ".join(map(str, one.points))
    if one.why is WhyNotMended.APART:
        apart = _FORMATS.number(one.apart_mm)
        text = f"No loop would mend {one.line} {one.side}: {points} are {apart} mm apart"
        return f"{text}; {one.replace} would need replacing." if one.replace else f"{text}."
    return (
        f"No allowed loop would bring {points} {one.side} on {one.line} within limits: about "
        f"{_mm(one.needs_mm)} mm more would be needed."
    )


def _mm(value: float, digits: int = 0) -> str:
    return _FORMATS.number(value, digits, sign=True)
