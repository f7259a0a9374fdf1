"""A sheet to draw on in points, written as SVG.

Figures need lines, marks and text, and no axes: a plotting library would spend most of its time on
what they leave out. x grows to the right and y downwards, from the top left corner, in points.
"""

import math
from collections.abc import Iterable, Sequence
from typing import Literal
from xml.sax.saxutils import escape, quoteattr

__all__ = ["XY", "Anchor", "Canvas", "Shape"]

XY = tuple[float, float]
Anchor = Literal["left", "center", "right"]
Shape = Literal["dot", "diamond", "ring", "up", "down"]

_ANCHORS: dict[Anchor, str] = {"left": "start", "center": "middle", "right": "end"}
_MARK_LINE = 0.9  # points
# Corners for a size of 1; the others are round. A diamond is a square on its corner.
_HALF = math.sqrt(0.5)
_CORNERS: dict[Shape, Sequence[XY]] = {
    "diamond": ((0, -_HALF), (_HALF, 0), (0, _HALF), (-_HALF, 0)),
    "up": ((0, -0.5), (0.5, 0.5), (-0.5, 0.5)),
    "down": ((0, 0.5), (0.5, -0.5), (-0.5, -0.5)),
}


class Canvas:
    """A sheet of `width` × `height` points; draw, then `svg()`. What is drawn later lies on top."""

    def __init__(self, width: float, height: float, font: str) -> None:
        """Start an empty sheet; `font` is the family of all its text."""
        self.width, self.height, self._font = width, height, font
        self._drawn: list[str] = []
        self._marks: dict[str, str] = {}  # ids of marks by what they look like

    def line(
        self,
        points: Sequence[XY],
        colour: str,
        width: float = 0.6,
        dash: tuple[float, ...] = (),
        *,
        fill: str = "",
        close: bool = False,
    ) -> None:
        """A polyline, or with `close` a shape that may be filled; dashes are in widths."""
        self.lines([points], colour, width, dash, fill=fill, close=close)

    def lines(
        self,
        polylines: Iterable[Sequence[XY]],
        colour: str,
        width: float = 0.6,
        dash: tuple[float, ...] = (),
        *,
        fill: str = "",
        close: bool = False,
    ) -> None:
        """Many polylines of one style as one path."""
        path = " ".join(_path(points, close=close) for points in polylines if points)
        if path:
            dashes = ",".join(_number(part * width) for part in dash)
            self._drawn.append(
                f"<path d={quoteattr(path)} {_paint(fill, colour, width)}"
                + (f' stroke-dasharray="{dashes}"/>' if dashes else "/>")
            )

    def marks(
        self, points: Sequence[XY], shape: Shape, size: float, colour: str, *, fill: str = ""
    ) -> None:
        """The same mark at many points; hollow unless `fill` is given. `size` across in points."""
        if not points:
            return
        paint = _paint(fill, colour, _MARK_LINE)
        if shape in _CORNERS:
            corners = [(x * size, y * size) for x, y in _CORNERS[shape]]
            mark = f'<path d="{_path(corners, close=True)}" {paint}/>'
        else:
            mark = f'<circle r="{_number(size / 2)}" {paint}/>'
        name = self._marks.setdefault(mark, f"mark{len(self._marks)}")
        self._drawn += [
            f'<use xlink:href="#{name}" x="{_number(x)}" y="{_number(y)}"/>' for x, y in points
        ]

    def text(
        self,
        x: float,
        y: float,
        text: str,
        size: float,
        colour: str,
        anchor: Anchor = "left",
        *,
        bold: bool = False,
    ) -> None:
        """One line of text with its baseline at `y`; signs that have no shape are left out."""
        shown = escape("".join(filter(str.isprintable, text)))
        weight = ' font-weight="600"' if bold else ""
        self._drawn.append(
            f'<text x="{_number(x)}" y="{_number(y)}" font-size="{_number(size)}"{weight} '
            f"fill={quoteattr(colour)} "
            f'text-anchor="{_ANCHORS[anchor]}">{shown}</text>'
        )

    def svg(self) -> str:
        """The sheet as SVG text."""
        width, height = _number(self.width), _number(self.height)
        family = quoteattr("'" + self._font.replace("'", "") + "'")
        marks = (mark.replace(" ", f' id="{name}" ', 1) for mark, name in self._marks.items())
        return "\n".join(
            [
                '<svg xmlns="http://www.w3.org/2000/svg" '
                'xmlns:xlink="http://www.w3.org/1999/xlink" '
                f'width="{width}pt" height="{height}pt" viewBox="0 0 {width} {height}" '
                f'font-family={family} stroke-linejoin="round">',
                *(["<defs>", *marks, "</defs>"] if self._marks else []),
                *self._drawn,
                "</svg>\n",
            ]
        )


def _path(points: Sequence[XY], *, close: bool) -> str:
    """Such as `M 0 0 L 10 5`, or closed with `Z`."""
    places = [f"{_number(x)} {_number(y)}" for x, y in points]
    return "M " + " L ".join(places) + (" Z" if close else "")


def _paint(fill: str, colour: str, width: float) -> str:
    return (
        f"fill={quoteattr(fill or 'none')} stroke={quoteattr(colour)} "
        f'stroke-width="{_number(width)}"'
    )


def _number(value: float) -> str:
    """A thousandth of a point is finer than any printer."""
    text = f"{value:.3f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text
