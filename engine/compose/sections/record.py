"""The record: identification, method, every line, and what the report does not cover."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import Any

from trimscribe.compose.sections import NearLimit, why_finer
from trimscribe.compose.sections.record_facts import method_facts, visit_facts, wing_facts
from trimscribe.contracts import SectionView, View
from trimscribe.model.findings import LedgerEntry, LineFinding, State, Verdict
from trimscribe.model.job import Adjustment, OffsetMethod
from trimscribe.model.manifest import NAME as MANIFEST
from trimscribe.model.statements import Place
from trimscribe.model.template_values import RecordValues
from trimscribe.model.wing import BRAKE, BRAKE_MAIN, STABILO, Point, Side

_MUCH = 2500  # characters of facts from which on a page break may fall among them
_ONE_PIECE = 800  # characters of a fact up to which it must not be torn over pages


@dataclass(frozen=True)
class RecordSection:
    """What must still be in ten years: the items of ISO/IEC 17025:2017, 7.8.2.1."""

    contract: int = 2
    name: str = "record"
    template: str = "record.typ.j2"

    def view(self, view: View) -> SectionView:
        """Values for the record's tables."""
        labels = view.statements.labels
        wing, visit, method = wing_facts(view), visit_facts(view), method_facts(view)
        lines, planned = line_table(view), plan_result(view)
        values: RecordValues = {
            "title": labels["record_title"],
            "parts": [
                {"title": labels["the_wing"], "facts": wing},
                {"title": labels["the_visit"], "facts": visit},
            ],
            "keep_together": len(f"{wing}{visit}") < _MUCH,
            "method": {"title": labels["how_measured"], "facts": method},
            "notes_title": labels["notes"],
            "notes": view.job.notes.strip(),
            "lines": lines,
            "planned": planned,
            "statements": [s.text for s in view.statements.at(Place.RECORD)],
            "scope_title": labels["scope"],
            "scope": _scope(view),
            "software": [f"{name} {version}" for name, version in view.versions.items()],
            "software_title": labels["software"],
            "hashes_title": labels["attached_files"],
            "hashes": _attached(view),
        }
        return SectionView(
            values=values,
            required=(
                *(value for _, value in (*wing, *visit, *method) if len(value) < _ONE_PIECE),
                *(" ".join(row) for row in (planned or {}).get("rows", ())),
                *(" ".join(row) for group in (lines or {}).get("groups", ()) for row in group),
            ),
        )


def _scope(view: View) -> list[str]:
    """What the report says and what it does not; of flying nothing where no length was measured."""
    states = (view.findings.before, view.findings.after)
    lengths = any(x.measured_mm is not None for state in states if state for x in state.lines)
    keys = {
        "decision_rule": True,
        "handling_estimate_basis": lengths,
        "not_covered": True,
        "redacted": view.job.redacted,
    }
    return [view.statements.labels[key] for key, holds in keys.items() if holds]


def _attached(view: View) -> list[str]:
    """How many files travel in the report, and what proves them; the manifest has the rest."""
    if MANIFEST not in view.hashes:
        return []
    label = view.statements.label("attached_count", count=len(view.hashes), manifest=MANIFEST)
    return [f"{label}\nSHA-256 {view.hashes[MANIFEST]}"]


def line_table(view: View) -> dict[str, Any] | None:
    """One table row per point: specified, then each side before, now and its deviation."""
    spec, now = view.job.specification, view.findings.now
    if spec is None or now is None:
        return None
    labels = view.statements.labels
    before = view.findings.before if view.findings.after is not None else None
    states = [s for s in (before, now) if s is not None]
    index = [{(x.side, x.point): x for x in state.lines} for state in states]
    # One number of decimals for all lengths of a column, that of the one written with most.
    digits = [_decimals(view, (x.measured_mm for x in state.lines)) for state in states]
    specified_digits = _decimals(view, (mm for group in spec.groups for mm in group.lengths_mm))
    groups = []
    for group in spec.groups:
        rows = []
        for point, specified in zip(group.points, group.lengths_mm, strict=True):
            cells = [_name(view, point), view.formats.number(specified, specified_digits)]
            for side in Side:
                found = [lines.get((side, point)) for lines in index]
                cells += [_length(view, x, n) for x, n in zip(found, digits, strict=True)]
                cells += [_deviation(view, x) for x in found]
            rows.append(cells)
        groups.append(rows)
    columns = ["before", "now"] if before is not None else ["measured"]
    deviations = [labels[f"deviation_{column}"] for column in columns]
    per_side = [*(labels[column] for column in columns), *deviations]
    facts = view.assessment.facts
    differs = (facts["found_load_differs"], facts["now_load_differs"])
    unjudged = [name for name, other in zip(deviations, differs, strict=False) if other]
    return {
        "title": labels["every_line"],
        "explained": _explained(view, states, unjudged),
        "sides": [labels[side.value] for side in Side],
        "head": [labels["line"], labels["specified"], *per_side, *per_side],
        "per_side": len(per_side),
        "groups": groups,
    }


def _explained(view: View, states: list[State], unjudged: list[str]) -> str:
    """How to read the table, with what only this one has, and which columns have no verdicts."""
    statements, lines = view.statements, [x for state in states for x in state.lines]
    labels = statements.labels
    spec = view.job.specification
    shares = spec is not None and spec.brakes_share_offset
    offsets = [state.offset for state in states if state.offset is not None]
    taken_out = any(one.method is not OffsetMethod.NONE for one in offsets)
    row = next((one.row for one in offsets if one.method is OffsetMethod.ROW), "")
    parts = [
        statements.label("record_lines_explained_row", row=row)
        if row
        else labels["record_lines_explained" if taken_out else "record_lines_explained_none"]
    ]
    if taken_out:
        parts.append(labels["record_brakes_with_offset" if shares else "record_brakes_by_table"])
    if any(x.verdict.outside for x in lines):
        parts.insert(1, labels["record_lines_ring"])
    if any(x.verdict.conditional and x.relative_mm is not None for x in lines):
        parts.insert(1 + any(x.verdict.outside for x in lines), labels["record_lines_close"])
    if any(_near(x).finer(view) for x in lines):
        parts.append(why_finer(view))
    if any(x.carried for x in lines):
        parts.append(labels["record_lines_carried"])
        tie = states[-1].carry_over
        if tie is not None and round(tie.shift_mm, 1):
            shift = view.formats.number(tie.shift_mm, 1, sign=True)
            which = "record_lines_shifted_all" if shares else "record_lines_shifted"
            parts.append(statements.label(which, value=shift))
    if view.assessment.facts["corrected"]:
        parts.append(labels["lines_corrected"])
    if unjudged:
        parts.append(statements.label("record_lines_other_load", columns=", ".join(unjudged)))
    if any(x.doubted for x in lines):
        parts.append(labels["record_lines_doubted"])
    if any(x.relative_mm is None and x.deviation_mm is not None and not x.doubted for x in lines):
        parts.append(labels["record_lines_plain"])
    return " ".join(parts)


def _name(view: View, point: Point) -> str:
    if point.group == BRAKE_MAIN:
        return view.statements.labels["brake_main"]
    if point.group in (STABILO, BRAKE):
        return f"{view.statements.labels[point.group]} {point.number}"
    return point.name


def _decimals(view: View, lengths: Iterable[float | None]) -> int:
    return max((view.formats.decimals(mm) for mm in lengths if mm is not None), default=0)


def _length(view: View, line: LineFinding | None, digits: int) -> str:
    """As read; an equals sign before one that was carried over from the measuring before."""
    text = view.formats.number(line.measured_mm if line else None, digits)
    return f"= {text}" if line and line.carried else text


def _deviation(view: View, line: LineFinding | None) -> str:
    """Relative deviation; the ring of the charts marks what is outside limits, "*" what is close.

    A plain deviation, where it is not known what all lines share or a length is in doubt, is in
    brackets.
    """
    if line is None or line.deviation_mm is None:
        return "–"
    if line.relative_mm is None:
        plain = f"({view.formats.number(line.deviation_mm, sign=True)})"
        return f"? {plain}" if line.doubted else plain
    mark = "○ " if line.verdict.outside else "* " if line.verdict.conditional else ""
    return f"{mark}{_near(line).text(view)}"


def _near(line: LineFinding) -> NearLimit:
    return NearLimit(line.relative_mm, line.tolerance_mm, line.u_mm)


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


section = RecordSection()
