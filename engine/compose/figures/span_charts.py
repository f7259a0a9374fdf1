"""Span charts: every line of every row from the left tip over the centre to the right tip.

Before is a hollow diamond, now a dot, a stem joins them; dashed lines bound the tolerance; a line
outside it now is ringed and labelled, within its own row and on its own side. A dot that is half
filled is too close to the limit to be sure, a cross is a line that was not measured, a square one
that was carried over from before, a question mark one in doubt, at no height. All rows share one
scale; each takes only the height it needs. Without limits the scale has round steps. Where it is
not known what all lines share, then or now, plain deviations are drawn: both from one zero.
"""

from dataclasses import dataclass
from itertools import chain

from trimscribe.canvas import XY, Canvas
from trimscribe.compose.figures import LETTER_PT, Box, figure_of
from trimscribe.contracts import View
from trimscribe.model.document import Figure
from trimscribe.model.findings import LineFinding, State
from trimscribe.model.wing import LineGroup, Side

_LEFT = 28.0  # room for the scale
_TITLE = 16.0  # a row's name is above its chart
_MARGIN_MM = 2.5
_LEAST_MM = 5.0  # a row without limits shows at least so much, so that its scale has a number
_STEPS_MM = (5.0, 10.0, 20.0, 50.0, 100.0, 200.0, 500.0)  # of a scale without limits
_APART = 9.0  # from one number of the scale to the next
_LINE = 12.0  # from one line of small text to the next
_ROOM = 12.0  # above or below a row whose rings may need a label there
_CROSS = 1.8  # half of the mark for a line that was not measured
_PAGE = 470.0  # all charts together stay below this height


@dataclass(frozen=True)
class _Panel:
    row: LineGroup
    before: tuple[LineFinding, ...]
    now: tuple[LineFinding, ...]
    missing: tuple[LineFinding, ...]
    doubted: tuple[LineFinding, ...]
    tolerance: float | None
    low: float
    high: float
    plain: bool
    above: float  # points for labels beyond what is longest, and below what is shortest
    below: float

    def height(self, per_mm: float) -> float:
        """How high the row is without its name, in points."""
        return self.above + (self.high - self.low) * per_mm + self.below

    def mm(self, line: LineFinding) -> float:
        """Where a line is drawn, from the zero that all marks of the panel have."""
        return _drawn_mm(line, self.plain) or 0.0


@dataclass(frozen=True)
class SpanCharts:
    """Draws one chart per row on one sheet."""

    contract: int = 2
    name: str = "span_charts"

    def draw(self, view: View) -> Figure | None:
        """Return the charts, or None when no row was measured."""
        spec, now = view.job.specification, view.findings.now
        if spec is None or now is None:
            return None
        before = view.findings.before if view.findings.after is not None else None
        plain = any(state is not None and state.plain for state in (before, now))
        panels = [_panel(row, before, now, plain) for row in spec.rows]
        panels = [p for p in panels if p.before or p.now or p.doubted]
        if not panels:
            return None
        span = sum(p.high - p.low for p in panels)
        fixed = sum(_TITLE + p.above + p.below for p in panels)
        per_mm = min(2.4, (_PAGE - fixed) / span)
        height = span * per_mm + fixed + 22
        ink = view.ink
        sheet = Canvas(view.width_pt, height, ink.font)
        taken = _span_axis(sheet, view, height - 4)
        top, left_out = 0.0, 0
        for panel in panels:
            left_out += _draw(sheet, view, panel, top + _TITLE, per_mm, taken)
            top += _TITLE + panel.height(per_mm)
        if left_out:
            height = sheet.height = height + _LINE
            note = view.statements.label("chart_unlabelled", count=left_out)
            sheet.text(view.width_pt, height - 2, note, 7.5, ink.quiet, "right")
        return figure_of(self.name, sheet, _alt(view, panels))


def _shown_mm(line: LineFinding) -> float | None:
    """The deviation less what all lines share, or the plain one where that is not known."""
    return line.deviation_mm if line.relative_mm is None else line.relative_mm


def _drawn_mm(line: LineFinding, plain: bool) -> float | None:
    return line.deviation_mm if plain else _shown_mm(line)


def _panel(row: LineGroup, before: State | None, now: State, plain: bool) -> _Panel:
    def measured(state: State | None) -> tuple[LineFinding, ...]:
        lines = state.lines if state else ()
        return tuple(
            x
            for x in lines
            if x.point.group == row.name and _shown_mm(x) is not None and not x.doubted
        )

    first, last = measured(before), measured(now)
    # Limits are about what is left after the common offset; around a plain zero they are false.
    tolerance = None if plain else next((x.tolerance_mm for x in (*last, *first)), None)
    values = [mm for x in (*first, *last) if (mm := _drawn_mm(x, plain)) is not None]
    reach = [*values, 0.0, *_limits(values, tolerance)]
    missing = tuple(x for x in now.lines if x.point.group == row.name and x.deviation_mm is None)
    doubted = tuple(x for x in now.lines if x.point.group == row.name and x.doubted)
    ringed = [_drawn_mm(x, plain) or 0.0 for x in last if x.verdict.outside]
    return _Panel(
        row,
        first,
        last,
        missing,
        doubted,
        tolerance,
        min(reach) - _MARGIN_MM,
        max(reach) + _MARGIN_MM,
        plain,
        above=_ROOM if any(mm > 0 for mm in ringed) else 0.0,
        below=_ROOM if any(mm < 0 for mm in ringed) else 0.0,
    )


def _draw(
    sheet: Canvas, view: View, panel: _Panel, top: float, per_mm: float, words: list[Box]
) -> int:
    """One row; returns how many values outside found no room for their label."""
    ink, right = view.ink, view.width_pt

    def y(mm: float) -> float:
        return top + panel.above + (panel.high - mm) * per_mm

    def at(line: LineFinding) -> XY:
        return _x(line, panel, view), y(panel.mm(line))

    title = view.statements.label("row_lines", row=panel.row.name)
    sheet.text(0, top - 3, title, 8.5, ink.text, bold=True)
    sheet.line([(_LEFT, y(0)), (right, y(0))], ink.text, 0.6)
    ticks = _ticks(panel, per_mm)
    if panel.tolerance:
        edges = [[(_LEFT, y(mm)), (right, y(mm))] for mm in ticks[1:]]
        sheet.lines(edges, ink.quiet, 0.6, (3, 2))
    for mm in ticks:
        tick = view.formats.written(mm, sign=True)
        sheet.text(_LEFT - 5, y(mm) + 2.5, tick, 7, ink.quiet, "right")

    size = _mark_size(panel, view)
    then = {(x.side, x.point): x for x in panel.before}
    stems = [[at(then[x.side, x.point]), at(x)] for x in panel.now if (x.side, x.point) in then]
    sheet.lines(stems, ink.quiet, 0.5)
    sheet.marks([at(x) for x in then.values()], "diamond", size, ink.before, fill=ink.paper)
    close, clear = (
        [at(x) for x in panel.now if not x.carried and x.verdict.conditional is unsure]
        for unsure in (True, False)
    )
    sheet.marks(clear, "dot", size, ink.after, fill=ink.after)
    sheet.marks(close, "dot", size, ink.after, fill=ink.paper)
    sheet.marks(close, "half", size, ink.after, fill=ink.after)
    squares = [at(x) for x in panel.now if x.carried]
    sheet.marks(squares, "square", size * 0.85, ink.after, fill=ink.paper)
    half = [at(x) for x in panel.now if x.carried and x.verdict.conditional]
    sheet.marks(half, "half", size * 0.7, ink.after, fill=ink.after)
    lines = (*panel.before, *panel.now)
    ringed = [x for x in panel.now if x.verdict.outside]
    sheet.marks([at(x) for x in ringed], "ring", size + 4.5, ink.outside)
    _gaps(sheet, [(_x(x, panel, view), y(0)) for x in panel.missing], ink.quiet)
    for x in panel.doubted:
        sheet.text(_x(x, panel, view), y(0) + 2.8, "?", 8, ink.outside, "center", bold=True)
    taken = [*words, *(Box(*at(x), size / 2, size / 2) for x in lines)]
    taken += [Box(_x(x, panel, view), y(0), 2.5, 4.0) for x in panel.doubted]
    taken += [
        Box(x, (y0 + y1) / 2, 0.3, abs(y1 - y0) / 2) for (x, y0), (_, y1) in stems if y0 != y1
    ]
    field = (top, top + panel.height(per_mm))
    scale = [y(mm) for mm in ticks]
    return _values(sheet, view, [(at(x), x) for x in ringed], taken, size, field, scale)


def _limits(values: list[float], tolerance: float | None) -> list[float]:
    """What a row's chart reaches to, whatever its lines are."""
    if tolerance:
        return [tolerance, -tolerance]
    higher = max(values, default=0.0) >= -min(values, default=0.0)
    return [_LEAST_MM if higher else -_LEAST_MM]


def _ticks(panel: _Panel, per_mm: float) -> list[float]:
    """Where the scale has numbers, in mm: at zero and the limits, else at round steps."""
    if panel.tolerance:
        return [0.0, panel.tolerance, -panel.tolerance]
    step = next((s for s in _STEPS_MM if s * per_mm >= _APART), _STEPS_MM[-1])
    # Of what the chart reaches to, without its margins: a number there meets the row's name.
    up, down = (int((mm - _MARGIN_MM) // step) for mm in (panel.high, -panel.low))
    return [0.0, *(step * n for n in range(1, up + 1)), *(-step * n for n in range(1, down + 1))]


def _gaps(sheet: Canvas, places: list[XY], colour: str) -> None:
    """A small cross on the zero line for each line that was not measured."""
    sheet.lines(
        [
            [(x - _CROSS, y - way * _CROSS), (x + _CROSS, y + way * _CROSS)]
            for x, y in places
            for way in (1, -1)
        ],
        colour,
        0.8,
    )


def _values(
    sheet: Canvas,
    view: View,
    ringed: list[tuple[XY, LineFinding]],
    taken: list[Box],
    size: float,
    field: tuple[float, float],
    scale: list[float],
) -> int:
    """Label what is ringed, the furthest first, with a leader where it cannot be near.

    Returns how many found no room: a label covers nothing, and is never in another row's `field`
    (its upper and lower edge) or on the other side of the wing, where it would be read as theirs.
    """
    left_out = 0
    middle = (_LEFT + view.width_pt) / 2
    halves = {Side.LEFT: (_LEFT, middle), Side.RIGHT: (middle, view.width_pt)}
    for (x, y), line in sorted(ringed, key=lambda r: (-abs(_shown_mm(r[1]) or 0.0), r[0])):
        mm = _shown_mm(line) or 0.0
        borders = view.job.decision_rule.borders(line.tolerance_mm, line.u_mm)
        text = view.formats.beside(mm, line.tolerance_mm, sign=True, borders=borders)
        half = len(text) * LETTER_PT / 2
        away = size / 2 + 8
        # Beyond the ring as seen from zero; else beside it, else led to, first towards zero.
        beyond = [y - d if mm > 0 else y + d for d in (away, away + _LINE)]
        inwards = (22.0, -22.0) if mm > 0 else (-22.0, 22.0)
        near = [
            Box(x, beyond[0], half, 3.5),
            Box(x + size / 2 + 4 + half, y, half, 3.5),
            Box(x - size / 2 - 4 - half, y, half, 3.5),
        ]
        far = [
            *(
                Box(x + way * step, level, half, 3.5)
                for step in (0.0, 16.0, 28.0, 40.0, 56.0)
                for level in (*(y + d for d in inwards), field[0] + 4.0, field[1] - 4.0)
                for way in (1, -1)
            ),
            Box(x, beyond[1], half, 3.5),
        ]
        own = (halves[line.side], field)
        free = [p for p in (*near, *far) if _free(p, own, taken)]
        # Better on no line of the scale.
        clear = (p for p in free if not any(abs(p.y - level) < 4.5 for level in scale))
        place = next(chain(clear, free), None)
        if place is None:
            left_out += 1
            continue
        if place not in near:
            below = place.y > y
            edge = size / 2 + 2.5
            start = (x, y + edge if below else y - edge)
            end = (place.x, place.y - 4.0 if below else place.y + 4.0)
            sheet.line([start, end], view.ink.outside, 0.5)
        sheet.text(place.x, place.y + 2.5, text, 7, view.ink.outside, "center", bold=True)
        taken.append(place)
    return left_out


def _free(place: Box, own: tuple[XY, XY], taken: list[Box]) -> bool:
    """Within its own part of the sheet, across and down, and over nothing that is there."""
    (left, right), (upper, lower) = own
    across = left < place.x - place.half_width and place.x + place.half_width < right
    down = upper <= place.y - place.half_height and place.y + place.half_height <= lower
    return across and down and not any(place.meets(other) for other in taken)


def _x(line: LineFinding, panel: _Panel, view: View) -> float:
    """Left tip at the left edge, centre in the middle with a gap, right tip at the right edge."""
    n = len(panel.row.lengths_mm)
    middle = (_LEFT + view.width_pt) / 2
    reach = (view.width_pt - _LEFT) / 2 - 10
    offset = (line.point.number - 0.25) / (n - 0.25) * reach
    return middle - offset if line.side is Side.LEFT else middle + offset


def _mark_size(panel: _Panel, view: View) -> float:
    gap = (view.width_pt - _LEFT) / 2 / len(panel.row.lengths_mm)
    return max(1.4, min(4.6, gap * 0.5))


def _span_axis(sheet: Canvas, view: View, y: float) -> list[Box]:
    """Write the words below the charts; returns where they are."""
    ink, labels = view.ink, view.statements.labels
    left, right = _LEFT, view.width_pt
    halves = {key: len(labels[key]) * LETTER_PT / 2 for key in ("left_tip", "centre", "right_tip")}
    sheet.text(left - 5, y, labels["chart_unit"], 7, ink.quiet, "right")
    sheet.text(left, y, labels["left_tip"], 7.5, ink.quiet)
    sheet.text((left + right) / 2, y, labels["centre"], 7.5, ink.quiet, "center")
    sheet.text(right, y, labels["right_tip"], 7.5, ink.quiet, "right")
    middles = (left + halves["left_tip"], (left + right) / 2, right - halves["right_tip"])
    return [Box(x, y - 2.5, half, 3.5) for x, half in zip(middles, halves.values(), strict=True)]


def _alt(view: View, panels: list[_Panel]) -> str:
    """What the charts show, row by row: the range, what is outside, what has no place."""
    beside, parts = view.formats.beside, []
    for panel in panels:
        name = view.statements.label("row_lines", row=panel.row.name)
        for key, lines in (("before", panel.before), ("now", panel.now)):
            values = [mm for x in lines if (mm := _shown_mm(x)) is not None]
            if values:
                parts.append(
                    view.statements.label(
                        "chart_alt",
                        row=name,
                        state=view.statements.labels[key],
                        low=beside(min(values), panel.tolerance, sign=True),
                        high=beside(max(values), panel.tolerance, sign=True),
                        outside=sum(x.verdict.outside for x in lines),
                    )
                )
        for key, apart in (("doubted", panel.doubted), ("missing", panel.missing)):
            if apart:
                label = view.statements.label
                parts.append(label(f"chart_alt_{key}", row=name, count=len(apart)))
    return " ".join(parts)


figure = SpanCharts()
