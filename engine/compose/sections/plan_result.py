"""Plan and result: what was planned, what was done, what was measured, line by line."""

from collections.abc import Iterator
from typing import Any

from trimscribe.contracts import View
from trimscribe.model.findings import LedgerEntry, Verdict
from trimscribe.model.job import Adjustment
from trimscribe.model.wing import BRAKE_MAIN, Side

_Key = tuple[str, Side]


def plan_result(view: View) -> dict[str, Any] | None:
    """The table, where a plan was recorded as done; work beyond the plan is in it as well."""
    plan = view.job.plan
    if plan is None or not plan.done:
        return None
    labels = view.statements.labels
    return {
        "title": labels["plan_result"],
        "explained": labels["plan_result_explained"],
        "head": [
            labels[key]
            for key in ("line", "side", "plan_planned", "plan_done", "plan_measured", "plan_agrees")
        ],
        "rows": list(_rows(view, plan.changes)),
    }


def _rows(view: View, planned: tuple[Adjustment, ...]) -> Iterator[list[str]]:
    wanted: dict[_Key, Adjustment] = {(one.line, one.side): one for one in planned}
    done: dict[_Key, LedgerEntry] = {(one.line, one.side): one for one in view.findings.ledger}
    labels, number = view.statements.labels, view.formats.number
    for line, side in dict.fromkeys([*wanted, *done]):
        change, entry = wanted.get((line, side)), done.get((line, side))
        mm = None if change is None else change.promised_mm(view.job.loops)
        measured = entry.measured_mm if entry else None
        yield [
            labels["brake_main"] if line == BRAKE_MAIN else line,
            labels[side.value],
            labels["plan_not_planned"] if change is None else number(mm, 0, sign=True),
            labels["plan_not_done"] if entry is None else number(entry.expected_mm, 0, sign=True),
            number(measured, 0, sign=True),
            _agrees(view, mm, entry),
        ]


def _agrees(view: View, planned: float | None, entry: LedgerEntry | None) -> str:
    """How near to the plan it measured, within what measuring can tell; never "exactly"."""
    if planned is None or entry is None or entry.measured_mm is None or entry.limit_mm is None:
        return view.statements.labels["not_assessed"]
    near = abs(entry.measured_mm - planned) <= entry.limit_mm
    # A line that nobody touched would be as near to so small a plan.
    if near and (entry.verdict is Verdict.NOT_ASSESSED or abs(planned) <= entry.limit_mm):
        return view.statements.labels["cannot_tell"]
    limit = view.formats.number(entry.limit_mm, 1)
    return view.statements.label("plan_within" if near else "plan_beyond", limit=limit)
