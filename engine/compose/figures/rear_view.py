"""The wing from behind, and to which side it may pull by itself."""

import math
from dataclasses import dataclass

from trimscribe.canvas import XY, Canvas
from trimscribe.compose.figures import figure_of
from trimscribe.contracts import View
from trimscribe.model.assessment import Subject, When
from trimscribe.model.document import Figure
from trimscribe.model.wing import Side

_HEIGHT = 150.0
_RADIUS = 118.0
_SPREAD_DEG = 58.0  # half of the canopy's arc
_THICK = 9.0
_ARROW = 46.0


@dataclass(frozen=True)
class RearView:
    """Draws an arc over the pilot, and an arrow to each side that the claim leaves open."""

    contract: int = 2
    name: str = "rear_view"

    def draw(self, view: View) -> Figure | None:
        """Return the drawing, or None when nothing may be said of a turn."""
        claim = view.assessment.claim(Subject.TURN, When.NOW)
        if not claim.noticeable:
            return None
        ink, labels = view.ink, view.statements.labels
        sheet = Canvas(view.width_pt, _HEIGHT, ink.font)
        middle, foot = view.width_pt / 2, _HEIGHT - 14.0
        upper, lower = (_arc(middle, foot, _RADIUS - thick) for thick in (0.0, _THICK))
        sheet.line([*upper, *reversed(lower)], ink.after, 1.2, fill=ink.wash, close=True)
        sheet.lines([[lower[i], (middle, foot)] for i in (2, 8, 16, 22)], ink.after, 0.7)
        sheet.marks([(middle, foot)], "dot", 6, ink.after, fill=ink.after)
        for side in (Side(claim.direction),) if claim.direction else Side:
            _arrow(sheet, middle, side, ink.outside)
        for side, x in ((Side.LEFT, middle - 150.0), (Side.RIGHT, middle + 150.0)):
            word = labels[side.value]
            sheet.text(x, foot - 30.0, word, 8, ink.quiet, "center")
        words = labels["rear_view_open"]
        if claim.direction:
            named = labels[claim.direction].lower()
            words = view.statements.label("rear_view_side", side=named)
        caption = labels["rear_view_caption"]
        return figure_of(self.name, sheet, words, f"{words} {caption}")


def _arc(middle: float, foot: float, radius: float) -> list[XY]:
    """From the left tip over the centre to the right tip, in 25 points."""
    angles = [math.radians(_SPREAD_DEG * (i - 12) / 12) for i in range(25)]
    return [(middle + radius * math.sin(a) * 1.25, foot - radius * math.cos(a)) for a in angles]


def _arrow(sheet: Canvas, middle: float, side: Side, colour: str) -> None:
    way = 1.0 if side is Side.RIGHT else -1.0
    start, end, y = middle + way * 34.0, middle + way * (34.0 + _ARROW), 22.0
    head = [(end - way * 7.0, y - 4.0), (end, y), (end - way * 7.0, y + 4.0)]
    sheet.lines([[(start, y), (end, y)], head], colour, 1.6)


figure = RearView()
