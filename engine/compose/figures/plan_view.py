"""Plan view: where lines were changed, and by how much, on the wing seen from above."""

from collections.abc import Iterator, Set
from dataclasses import dataclass
from itertools import chain

from trimscribe.canvas import XY, Canvas
from trimscribe.compose.figures import LETTER_PT, Box, figure_of, rows_spread
from trimscribe.compose.figures.outline import Outline
from trimscribe.contracts import View
from trimscribe.model.document import Figure
from trimscribe.model.findings import LedgerEntry, Verdict
from trimscribe.model.wing import BRAKE, BRAKE_MAIN, CascadeLine, Point, Side, Specification

_ARROW = 12.0
_NEAR = 4.0  # from an arrow to its number, and a little
_HALF = 3.5  # half the height of a number


@dataclass(frozen=True)
class PlanView:
    """Draws an arrow for each changed line and a ring for each main line left alone."""

    contract: int = 2
    name: str = "plan_view"

    def draw(self, view: View) -> Figure | None:
        """Return the plan, or None when nothing was changed or the places are not known."""
        spec, ledger = view.job.specification, view.findings.ledger
        changes = {(e.line, e.side): one for e in ledger if (one := _Change.of(e))}
        refuted = {(e.line, e.side) for e in ledger if _refuted(e)}
        if spec is None or not changes:
            return None
        pulled = any(line == BRAKE_MAIN for line, _ in (*changes, *refuted))
        outline = Outline.of(spec, view.width_pt, brakes=pulled)
        if outline is None:
            return None
        ink, labels = view.ink, view.statements.labels
        sheet = outline.sheet(view)
        untouched: list[XY] = []
        crosses: list[XY] = []
        arrows: list[_Arrow] = []
        for side in Side:
            moved = _with_lines_above(spec, {name for name, s in changes if s is side})
            for line in spec.cascade:
                place = _place(line, side, outline)
                if place is None:
                    continue
                if (line.name, side) in refuted:
                    crosses.append(place)
                elif (line.name, side) in changes:
                    arrows.append(_Arrow(*place, changes[line.name, side], side))
                elif line.parent is None and line.name not in moved and _holds_the_wing(line):
                    untouched.append(place)
        sheet.marks(untouched, "dot", 3.0, ink.quiet, fill=ink.quiet)
        if not arrows and not crosses:
            return None
        ends = (_HALF - 0.5, 0.5 - _HALF)
        strokes = [
            [(x - d, y - _HALF + 0.5), (x + d, y + _HALF - 0.5)] for x, y in crosses for d in ends
        ]
        sheet.lines(strokes, ink.outside, 1.2)
        marks = [Box(x, y, 3.0, 3.0) for x, y in (*untouched, *crosses)]
        marks += [Box(arrow.x, arrow.y, 3, _ARROW / 2) for arrow in arrows]
        marks += _row_names(sheet, view, spec, outline, marks)
        _arrows(sheet, view, arrows, marks, outline)
        shift = next((e.shift_mm for e in ledger if e.measured_mm is not None), None)
        explained = _explained(arrows, untouched, crosses, shift)
        return figure_of(
            self.name,
            sheet,
            _alt(view, changes, refuted),
            " ".join(filter(None, [*(labels[one] for one in explained), rows_spread(view)])),
        )


def _refuted(entry: LedgerEntry) -> bool:
    """Whether measuring shows that a line did not move as entered, nor clearly at all."""
    return entry.verdict is Verdict.FAIL and entry.moved_mm is None


# How arrows are to be read, by whether any and all of them are shown by measuring.
_AS = {
    (False, False): "plan_view_all_entered",
    (True, False): "plan_view_entered",
    (True, True): "plan_view_measured",
}


def _explained(
    arrows: "list[_Arrow]", untouched: list[XY], crosses: list[XY], shift_mm: float | None
) -> Iterator[str]:
    """What of the plan needs a word: arrows, dashed ones, crosses and dots where there are.

    `shift_mm` is what measured changes are without; None where that is not known.
    """
    yield "plan_view_caption"
    if crosses:
        yield "plan_view_crosses"
    shown = [arrow.change.shown for arrow in arrows]
    if arrows:
        yield _AS[any(shown), all(shown)]
    if any(shown) and shift_mm is None:
        yield "plan_view_with_shift"
    if untouched:
        yield "plan_view_dots"


def _with_lines_above(spec: Specification, changed: set[str]) -> set[str]:
    """Names of changed lines and of all lines that they hang on."""
    parents = {line.name: line.parent for line in spec.cascade}
    moved = set(changed)
    for name in changed:
        while (above := parents.get(name)) is not None:
            moved.add(above)
            name = above
    return moved


def _holds_the_wing(line: CascadeLine) -> bool:
    return all(point.group not in (BRAKE, BRAKE_MAIN) for point in line.points)


def _place(line: CascadeLine, side: Side, outline: Outline) -> XY | None:
    if not _holds_the_wing(line):
        return outline.place(Point(BRAKE_MAIN, 1), side)
    places = [p for point in line.points if (p := outline.place(point, side)) is not None]
    if not places:
        return None
    return sum(x for x, _ in places) / len(places), sum(y for _, y in places) / len(places)


@dataclass(frozen=True)
class _Change:
    """What a line was moved by in mm, + = longer; as it was entered where not `shown`."""

    mm: float
    shown: bool
    least_mm: float | None = None  # up to which it might be chance

    @classmethod
    def of(cls, entry: LedgerEntry) -> "_Change | None":
        mm = entry.moved_mm
        if mm is not None:
            return cls(mm, shown=True, least_mm=entry.least_mm)
        return None if entry.expected_mm is None else cls(entry.expected_mm, shown=False)


@dataclass(frozen=True)
class _Arrow:
    """Down for a line let out, up for a line shortened, around its place."""

    x: float
    y: float
    change: _Change
    side: Side

    @property
    def mm(self) -> float:
        return self.change.mm

    def strokes(self) -> list[list[XY]]:
        way = 1 if self.mm > 0 else -1
        tip, back = self.y + way * _ARROW / 2, -3.5 * way
        x = self.x
        head = [(x - 3, tip + back), (x, tip), (x + 3, tip + back)]
        return [[(x, self.y - way * _ARROW / 2), (x, tip)], head]

    def numbers(self, half: float) -> tuple[Box, ...]:
        """Where its number may be, the best first: outer side, inner side, above, below."""
        out = -1 if self.side is Side.LEFT else 1
        return (
            *(Box(self.x + way * (5 + half), self.y, half, _HALF) for way in (out, -out)),
            *(Box(self.x, self.y + way * (_ARROW / 2 + 5), half, _HALF) for way in (-1, 1)),
        )


def _arrows(
    sheet: Canvas, view: View, arrows: list[_Arrow], taken: list[Box], outline: Outline
) -> None:
    """All arrows with their numbers, each where it covers nothing; the outermost choose first."""
    middle = view.width_pt / 2
    for shown, dash in ((True, ()), (False, (2.0, 1.6))):
        strokes = [x for arrow in arrows if arrow.change.shown is shown for x in arrow.strokes()]
        sheet.lines(strokes, view.ink.after, 1.4, dash)
    for arrow in sorted(arrows, key=lambda one: (-abs(one.x - middle), one.y)):
        number = view.formats.beside(arrow.mm, arrow.change.least_mm, sign=True)
        places = arrow.numbers(len(number) * 2.4)
        free = [place for place in places if not any(map(place.meets, taken))]
        inside = [place for place in free if not place.struck_by(outline.border)]
        # Best no nearer to another arrow than to its own, or it might be read as that one's.
        others = [Box(one.x, one.y, 3 + _NEAR, _ARROW / 2) for one in arrows if one is not arrow]
        alone = (place for place in inside if not any(map(place.meets, others)))
        place = next(chain(alone, inside, free, places))
        taken.append(place)
        sheet.text(place.x, place.y + 2.5, number, 7.5, view.ink.after, "center", bold=True)


def _row_names(
    sheet: Canvas, view: View, spec: Specification, outline: Outline, marks: list[Box]
) -> list[Box]:
    """The rows' names in the middle, and where they are: none where one would cover a mark."""
    middle, names = view.width_pt / 2, [row.name for row in spec.rows]
    places = {name: outline.place(Point(name, 1), Side.LEFT) for name in names}
    boxes = {
        name: Box(middle, place[1], len(name) * LETTER_PT / 2, _HALF)
        for name, place in places.items()
        if place is not None
    }
    if any(box.meets(mark) for box in boxes.values() for mark in marks):
        return []
    for name, box in boxes.items():
        sheet.text(middle, box.y + 2.5, name, 7.5, view.ink.quiet, "center")
    return [*boxes.values()]


def _alt(
    view: View, changes: dict[tuple[str, Side], _Change], refuted: Set[tuple[str, Side]]
) -> str:
    labels = view.statements.labels
    parts = [
        view.statements.label(
            "plan_alt_refuted"
            if (line, side) in refuted
            else "plan_alt_line"
            if change.shown
            else "plan_alt_entered",
            line=labels["brake_main"] if line == BRAKE_MAIN else line,
            side=labels[side.value].lower(),
            change=view.formats.beside(change.mm, change.least_mm, sign=True),
        )
        for (line, side), change in changes.items()
    ]
    return f"{'; '.join(parts)}."


figure = PlanView()
