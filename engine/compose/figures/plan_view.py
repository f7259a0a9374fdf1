"""Plan view: where lines were changed, and by how much, on the wing seen from above."""

from dataclasses import dataclass

from trimscribe.compose.canvas import XY, Canvas
from trimscribe.compose.figures.outline import Outline
from trimscribe.contracts import View
from trimscribe.model.document import Figure
from trimscribe.model.findings import LedgerEntry
from trimscribe.model.wing import BRAKE_MAIN, CascadeLine, Point, Side, Specification

__all__ = ["figure"]

_ARROW = 13.0


@dataclass(frozen=True)
class PlanView:
    """Draws an arrow for each changed line and a ring for each main line left alone."""

    contract: int = 1
    name: str = "plan_view"

    def draw(self, view: View) -> Figure | None:
        """Return the plan, or None when nothing was changed or the places are not known."""
        spec, ledger = view.job.specification, view.findings.ledger
        changes = {(e.line, e.side): mm for e in ledger if (mm := _shown(e)) is not None}
        if spec is None or not changes:
            return None
        outline = Outline.of(spec, view.width_pt)
        if outline is None:
            return None
        ink, labels = view.ink, view.statements.labels
        sheet = Canvas(view.width_pt, outline.height, ink.font)
        sheet.line(outline.border(), ink.quiet, 0.9, fill=ink.wash, close=True)
        sheet.text(view.width_pt / 2, 8, labels["front"], 7.5, ink.quiet, "center")
        sheet.text(2, 22, labels["left"], 7.5, ink.quiet)
        sheet.text(view.width_pt - 2, 22, labels["right"], 7.5, ink.quiet, "right")
        _row_names(sheet, view, spec, outline)

        untouched: list[XY] = []
        for line in (*_lines(spec),):
            for side in Side:
                place = _place(line, side, outline)
                if place is None:
                    continue
                if (line.name, side) in changes:
                    _arrow(sheet, view, place, changes[line.name, side])
                elif line.parent is None and line.name != BRAKE_MAIN:
                    untouched.append(place)
        sheet.marks(untouched, "ring", 3.6, ink.quiet, fill=ink.paper)
        return Figure(self.name, sheet.svg(), view.width_pt, outline.height, _alt(view, changes))


def _shown(entry: LedgerEntry) -> float | None:
    """What was measured, else what the loops promise."""
    return entry.measured_mm if entry.measured_mm is not None else entry.expected_mm


def _lines(spec: Specification) -> tuple[CascadeLine, ...]:
    brake = CascadeLine(BRAKE_MAIN, (Point(BRAKE_MAIN, 1),))
    return (*spec.cascade, brake)


def _place(line: CascadeLine, side: Side, outline: Outline) -> XY | None:
    places = [p for point in line.points if (p := outline.place(point, side)) is not None]
    if not places:
        return None
    return sum(x for x, _ in places) / len(places), sum(y for _, y in places) / len(places)


def _arrow(sheet: Canvas, view: View, place: XY, mm: float) -> None:
    """Down for a line let out, up for a line shortened; the number says it again."""
    x, y = place
    ink = view.ink
    tip = y + _ARROW / 2 if mm > 0 else y - _ARROW / 2
    tail = y - _ARROW / 2 if mm > 0 else y + _ARROW / 2
    back = -3.5 if mm > 0 else 3.5
    sheet.lines(
        [[(x, tail), (x, tip)], [(x - 3, tip + back), (x, tip), (x + 3, tip + back)]],
        ink.after,
        1.4,
    )
    sheet.text(x + 5, y + 2.5, view.formats.number(mm, 0, sign=True), 7.5, ink.after, bold=True)


def _row_names(sheet: Canvas, view: View, spec: Specification, outline: Outline) -> None:
    for row in spec.rows:
        place = outline.place(Point(row.name, 1), Side.LEFT)
        if place is not None:
            sheet.text(view.width_pt / 2, place[1] + 2.5, row.name, 7.5, view.ink.quiet, "center")


def _alt(view: View, changes: dict[tuple[str, Side], float]) -> str:
    labels = view.statements.labels
    parts = [
        view.statements.label(
            "plan_alt_line",
            line=line,
            side=labels[side.value],
            change=view.formats.number(mm, 0, sign=True),
        )
        for (line, side), mm in changes.items()
    ]
    return f"{labels['plan_view_caption']} {'; '.join(parts)}."


figure = PlanView()
