"""Lines outside limits on the wing from above: where they are, by name; and what is not known."""

import math
import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from trimscribe.canvas import XY, Canvas
from trimscribe.compose.figures import LETTER_PT, Box, figure_of, rows_spread
from trimscribe.compose.figures.outline import Outline
from trimscribe.contracts import View
from trimscribe.model.document import Figure
from trimscribe.model.verdicts import Verdict
from trimscribe.model.wing import LineKey, Point, Side

_NAME = re.compile(r"(.*?) ?(\d+)")
_DOT, _OPEN, _RING = 2.4, 3.2, 7.0  # across, in points


@dataclass(frozen=True)
class OutsideView:
    """A ring and a name for each line outside limits as the wing leaves.

    A square for one that came so and that nobody touched or measured since. So that nobody takes
    them for lines within limits, one that is too close to be sure is half filled, and one without
    a verdict, such as one that was not measured, an open circle.
    """

    contract: int = 2
    name: str = "outside_view"

    def draw(self, view: View) -> Figure | None:
        """Return the drawing, or None when no row's line is outside or places are not known."""
        spec = view.job.specification
        outline = Outline.of(spec, view.width_pt) if spec else None
        if spec is None or outline is None:
            return None
        outside = [_lines(view, fact) for fact in ("now_outside_lines", "still_outside")]
        now, left = ([x for x in each if outline.place(x[1], x[0])] for each in outside)
        undrawn = [x for each in outside for x in each if not outline.place(x[1], x[0])]
        if not now and not left:
            return None
        ink, labels = view.ink, view.statements.labels
        sheet = outline.sheet(view)
        last = _last_verdicts(view)
        places = {
            (side, point): place
            for side in Side
            for row in spec.rows
            for point in row.points
            if (place := outline.place(point, side)) is not None
        }
        dots = [*places.values()]
        unknown = [place for one, place in places.items() if one not in last]
        seen = [place for one, place in places.items() if one in last]
        close = [place for one, place in places.items() if one in last and last[one].conditional]
        sheet.marks(seen, "dot", _DOT, ink.quiet, fill=ink.quiet)
        sheet.marks(close, "dot", _OPEN, ink.quiet, fill=ink.paper)
        sheet.marks(close, "half", _OPEN, ink.quiet, fill=ink.quiet)
        sheet.marks(unknown, "ring", _OPEN, ink.quiet)
        rings = {one: place for one in (*now, *left) if (place := outline.place(one[1], one[0]))}
        sheet.marks([rings[one] for one in now], "ring", _RING, ink.outside)
        sheet.marks([rings[one] for one in left], "square", _RING, ink.outside)
        taken = [Box(x, y, _RING / 2, _RING / 2) for x, y in rings.values()]
        taken += [Box(x, y, _DOT / 2, _DOT / 2) for x, y in dots]
        taken.append(Box(view.width_pt / 2, 5.5, len(labels["front"]) * LETTER_PT / 2, 3.5))
        lines: list[list[XY]] = [outline.border]
        for (_, point), place in rings.items():
            others = [other for other in rings.values() if other != place]
            _label(sheet, view, point.name, place, taken, lines, others)
        alt = view.statements.label("outside_view_alt", lines=_named(view, rings))
        said = {
            "caption": True,
            "rings_now" if view.findings.after else "rings": now,
            "squares": left,
            "close": close,
            "open": unknown,
            "sides": view.assessment.facts["doubts_sides"],
        }
        captions = [labels[f"outside_view_{key}"] for key, shown in said.items() if shown]
        captions += [spread] if (spread := rows_spread(view)) else []
        if undrawn:
            named = _named(view, undrawn)
            captions.append(view.statements.label("outside_view_undrawn", lines=named))
        caption = " ".join(captions)
        return figure_of(self.name, sheet, alt, caption)


def _last_verdicts(view: View) -> dict[LineKey, Verdict]:
    """The verdict on each line as last measured; a line without one then has none here."""
    last = {}
    for state in (view.findings.before, view.findings.now):
        for line in state.lines if state else ():
            if line.measured_mm is not None:
                last[line.side, line.point] = line.verdict
    return {key: verdict for key, verdict in last.items() if verdict is not Verdict.NOT_ASSESSED}


def _lines(view: View, fact: str) -> list[LineKey]:
    """The lines that the assessment names, worst first."""
    lines = view.assessment.facts[fact]
    found = []
    for line in lines if isinstance(lines, tuple) else ():
        if isinstance(line, tuple) and (match := _NAME.fullmatch(line[0])):
            found.append((Side(line[1]), Point(match[1], int(match[2]))))
    return found


def _named(view: View, lines: Iterable[LineKey]) -> str:
    labels = view.statements.labels
    return ", ".join(f"{point.name} {labels[side.value].lower()}" for side, point in lines)


def _label(
    sheet: Canvas,
    view: View,
    name: str,
    at: XY,
    taken: list[Box],
    lines: list[list[XY]],
    others: list[XY],
) -> None:
    """The line's name where it covers nothing and nothing strikes it, led to where that is far.

    It is left out where there is no such place.
    """
    half = len(name) * LETTER_PT / 2
    near = _near(at, half)
    for place in (*near, *_far(at, half, sheet)):
        if place in near and any(_apart(place, other) < _apart(place, at) for other in others):
            continue  # it would be read as the other one's
        inside = place.x - half > 0 and place.x + half < sheet.width
        inside = inside and 4 < place.y < sheet.height - 4
        clear = not any(map(place.meets, taken)) and not any(map(place.struck_by, lines))
        way = 1 if place.y > at[1] else -1
        leader = [(at[0], at[1] + way * (_RING / 2 + 1.5)), (place.x, place.y - way * 5.0)]
        # A leader may pass the dots of other lines, but no ring and no name.
        led = place not in near
        passes = not led or not any(
            box.half_width > _DOT and box.struck_by(leader) for box in taken
        )
        if inside and clear and passes:
            if led:
                sheet.line(leader, view.ink.outside, 0.5)
                lines.append(leader)
            sheet.text(place.x, place.y + 2.5, name, 7, view.ink.outside, "center", bold=True)
            taken.append(place)
            return


def _apart(place: Box, at: XY) -> float:
    """How far a label's middle, or its nearer end, is from a mark."""
    across = max(abs(place.x - at[0]) - place.half_width, 0.0)
    return math.hypot(across, place.y - at[1])


def _near(at: XY, half: float) -> tuple[Box, ...]:
    """Above, below, beside, aslant: places that need no line from the ring to the name."""
    x, y = at
    return (
        *(Box(x, y + down, half, 3.5) for down in (-9, 9)),
        *(Box(x + way * (7 + half), y, half, 3.5) for way in (1, -1)),
        *(
            Box(x + across * (half + 2.5), y + down, half, 3.5)
            for across in (1, -1)
            for down in (-9, 9)
        ),
    )


def _far(at: XY, half: float, sheet: Canvas) -> Iterator[Box]:
    """Further and further above and below, still on the sheet."""
    x = min(max(at[0], half + 1), sheet.width - half - 1)
    for step in range(18, 72, 6):
        for down in (-step, step):
            yield Box(x, at[1] + down, half, 3.5)


figure = OutsideView()
