"""What the figures of the report share: a finished sheet, and room for small text on it.

No number may cover another, or be struck by a line.
"""

from collections.abc import Sequence
from typing import NamedTuple

from trimscribe.canvas import XY, Canvas
from trimscribe.contracts import View
from trimscribe.model.document import Figure

LETTER_PT = 4.4  # no letter of small text is wider on average, in the fonts of phones either
_APART_PT = 1.0


def figure_of(name: str, sheet: Canvas, alt: str, caption: str = "") -> Figure:
    """A finished sheet as a figure of its size."""
    return Figure(
        name=name,
        svg=sheet.svg(),
        width_pt=sheet.width,
        height_pt=sheet.height,
        alt=alt,
        caption=caption,
    )


def rows_spread(view: View) -> str:
    """That rows of far fewer lines than others are drawn as wide as those; empty where none is."""
    facts = view.assessment.facts
    unlike = facts["found_rows_unlike"] or facts["now_rows_unlike"]
    return view.statements.labels["rows_spread"] if unlike else ""


class Box(NamedTuple):
    """A place on the sheet by its middle and half its sides, in points."""

    x: float
    y: float
    half_width: float
    half_height: float

    def meets(self, other: "Box") -> bool:
        """Whether two boxes come closer than a point."""
        return (
            abs(self.x - other.x) < self.half_width + other.half_width + _APART_PT
            and abs(self.y - other.y) < self.half_height + other.half_height + _APART_PT
        )

    def struck_by(self, corners: Sequence[XY]) -> bool:
        """Whether a closed line through the corners comes closer than a point."""
        x, y = self.half_width + _APART_PT, self.half_height + _APART_PT
        around = [(px - self.x, py - self.y) for px, py in corners]
        return any(
            not _beside(start, end, x, y) and _crosses(start, end, x, y)
            for start, end in zip(around, [*around[1:], *around[:1]], strict=True)
        )


def _beside(start: XY, end: XY, half_width: float, half_height: float) -> bool:
    """Whether a piece is all on one side of a box around the origin, as nearly every piece is."""
    (x, y), (to_x, to_y) = start, end
    return (
        (x >= half_width and to_x >= half_width)
        or (x <= -half_width and to_x <= -half_width)
        or (y >= half_height and to_y >= half_height)
        or (y <= -half_height and to_y <= -half_height)
    )


def _crosses(start: XY, end: XY, half_width: float, half_height: float) -> bool:
    """Whether a straight piece enters a box around the origin (clipping by Liang and Barsky)."""
    first, last = 0.0, 1.0
    for at, to, half in zip(start, end, (half_width, half_height), strict=True):
        way = to - at
        if way == 0.0:
            if abs(at) >= half:
                return False
            continue
        near, far = sorted(((-half - at) / way, (half - at) / way))
        first, last = max(first, near), min(last, far)
    return first < last
