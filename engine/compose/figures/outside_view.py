"""Lines outside limits on the wing from above: where they are, by name."""

import re
from dataclasses import dataclass

from trimscribe.canvas import XY, Canvas
from trimscribe.compose.figures.box import Box
from trimscribe.compose.figures.outline import Outline
from trimscribe.contracts import View
from trimscribe.model.document import Figure
from trimscribe.model.wing import Point, Side

__all__ = ["figure"]

_NAME = re.compile(r"(.*?) ?(\d+)")
_LETTER = 4.4  # no letter of small text is wider on average


@dataclass(frozen=True)
class OutsideView:
    """A ring and a name for each line outside limits as the wing leaves."""

    contract: int = 2
    name: str = "outside_view"

    def draw(self, view: View) -> Figure | None:
        """Return the drawing, or None when no row's line is outside or places are not known."""
        spec = view.job.specification
        outline = Outline.of(spec, view.width_pt) if spec else None
        if spec is None or outline is None:
            return None
        outside = [one for one in _outside(view) if outline.place(one[1], one[0])]
        if not outside:
            return None
        ink, labels = view.ink, view.statements.labels
        sheet = Canvas(view.width_pt, outline.height, ink.font)
        sheet.line(outline.border, ink.quiet, 0.9, fill=ink.wash, close=True)
        sheet.text(view.width_pt / 2, 8, labels["front"], 7.5, ink.quiet, "center")
        sheet.text(2, 8, labels["left"], 7.5, ink.quiet)
        sheet.text(view.width_pt - 2, 8, labels["right"], 7.5, ink.quiet, "right")
        dots = [
            place
            for side in Side
            for row in spec.rows
            for point in row.points
            if (place := outline.place(point, side)) is not None
        ]
        sheet.marks(dots, "dot", 2.4, ink.quiet, fill=ink.quiet)
        rings = {one: place for one in outside if (place := outline.place(one[1], one[0]))}
        sheet.marks([*rings.values()], "ring", 7.0, ink.outside)
        taken = [Box(x, y, 3.5, 3.5) for x, y in rings.values()]
        for (_, point), place in rings.items():
            _label(sheet, view, str(point), place, taken)
        names = ", ".join(f"{point} {labels[side.value].lower()}" for side, point in outside)
        alt = view.statements.label("outside_view_alt", lines=names)
        caption = labels["outside_view_caption"]
        return Figure(
            name=self.name,
            svg=sheet.svg(),
            width_pt=view.width_pt,
            height_pt=outline.height,
            alt=alt,
            caption=caption,
        )


def _outside(view: View) -> list[tuple[Side, Point]]:
    """The lines outside limits by the assessment, worst first."""
    lines = view.assessment.facts["now_outside_lines"]
    found = []
    for line in lines if isinstance(lines, tuple) else ():
        if isinstance(line, tuple) and (match := _NAME.fullmatch(line[0])):
            found.append((Side(line[1]), Point(match[1], int(match[2]))))
    return found


def _label(sheet: Canvas, view: View, name: str, at: XY, taken: list[Box]) -> None:
    """The line's name where it covers nothing; left out where there is no such place."""
    half = len(name) * _LETTER / 2
    x, y = at
    for place in (
        Box(x, y - 9, half, 3.5),
        Box(x, y + 9, half, 3.5),
        Box(x + 7 + half, y, half, 3.5),
        Box(x - 7 - half, y, half, 3.5),
        Box(x, y - 18, half, 3.5),
        Box(x, y + 18, half, 3.5),
    ):
        inside = place.x - half > 0 and place.x + half < view.width_pt and place.y > 4
        if inside and not any(place.meets(other) for other in taken):
            sheet.text(place.x, place.y + 2.5, name, 7, view.ink.outside, "center", bold=True)
            taken.append(place)
            return


figure = OutsideView()
