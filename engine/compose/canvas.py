"""A sheet to draw on in points, made of a matplotlib Figure without any axes.

Axes cost about 15 ms each even when empty; lines, marks and text set straight on the figure cost
next to nothing. x grows to the right and y downwards, from the top left corner, in points.
One Figure per thread is kept and filled again; a refilled sheet equals a fresh one byte for byte
(tests hold that).
"""

import io
import threading
from collections.abc import Iterable, Sequence
from typing import Any, Literal

import matplotlib
from matplotlib.artist import Artist
from matplotlib.backends.backend_svg import FigureCanvasSVG
from matplotlib.figure import Figure
from matplotlib.lines import Line2D
from matplotlib.patches import PathPatch
from matplotlib.path import Path
from matplotlib.text import Text
from matplotlib.transforms import Affine2D

__all__ = ["XY", "Anchor", "Canvas", "Shape"]

XY = tuple[float, float]
Anchor = Literal["left", "center", "right"]
Shape = Literal["dot", "diamond", "ring", "up", "down"]

_MARKERS: dict[Shape, str] = {"dot": "o", "diamond": "D", "ring": "o", "up": "^", "down": "v"}
_DPI = 72  # one pixel of the figure is one point
_local = threading.local()
# rcParams belong to the process; one drawing at a time reads them as set here.
_lock = threading.Lock()
_MOVE, _LINE, _CLOSE = (int(code) for code in (Path.MOVETO, Path.LINETO, Path.CLOSEPOLY))
_RC: Any = {
    "svg.fonttype": "none",  # text stays text: searchable, and smaller
    "svg.hashsalt": "trimscribe",  # ids that do not change from run to run
    "path.simplify": False,
    "text.parse_math": False,  # a dollar sign in a name is a dollar sign
}


class Canvas:
    """A sheet of `width` × `height` points; draw, then `svg()` once."""

    def __init__(self, width: float, height: float, font: str) -> None:
        """Start an empty sheet; `font` is the family of all its text."""
        self.width, self.height, self._font = width, height, font
        self._artists: list[Artist] = []

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
        """A polyline, or with `close` a shape that may be filled."""
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
        """Many polylines of one style as one path, which is what keeps drawing quick."""
        vertices: list[XY] = []
        codes: list[int] = []
        for points in polylines:
            vertices += points
            codes += [_MOVE, *[_LINE] * (len(points) - 1)]
            if close:
                vertices.append(points[0])
                codes.append(_CLOSE)
        if vertices:
            patch = PathPatch(
                Path(vertices, codes),
                facecolor=fill or "none",
                edgecolor=colour,
                linewidth=width,
                linestyle=(0, dash) if dash else "-",
                joinstyle="round",
                capstyle="butt",
            )
            self._artists.append(patch)

    def marks(
        self, points: Sequence[XY], shape: Shape, size: float, colour: str, *, fill: str = ""
    ) -> None:
        """The same mark at many points; hollow unless `fill` is given. `size` across in points."""
        if points:
            self._artists.append(
                Line2D(
                    [x for x, _ in points],
                    [y for _, y in points],
                    linestyle="none",
                    marker=_MARKERS[shape],
                    markersize=size,
                    markeredgewidth=0.9,
                    markeredgecolor=colour,
                    markerfacecolor=fill or "none",
                )
            )

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
        """One line of text with its baseline at `y`."""
        self._artists.append(
            Text(
                x,
                y,
                text,
                fontsize=size,
                color=colour,
                horizontalalignment=anchor,
                verticalalignment="baseline",
                fontfamily=self._font,
                fontweight="semibold" if bold else "normal",
            )
        )

    def svg(self) -> str:
        """The sheet as SVG text."""
        with _lock, matplotlib.rc_context(_RC):
            figure = _figure()
            figure.clear()
            figure.set_size_inches(self.width / _DPI, self.height / _DPI)
            points = Affine2D().scale(1, -1).translate(0, self.height)
            for number, artist in enumerate(self._artists):
                artist.set_transform(points)
                artist.set_zorder(number)  # what is drawn later lies on top
                figure.add_artist(artist, clip=False)
            out = io.StringIO()
            figure.savefig(out, format="svg", dpi=_DPI, transparent=True, metadata={"Date": None})
            figure.clear()
        return out.getvalue()


def _figure() -> Figure:
    kept: Figure | None = getattr(_local, "figure", None)
    if kept is None:
        kept = _local.figure = Figure(dpi=_DPI)
        FigureCanvasSVG(kept)
    return kept
