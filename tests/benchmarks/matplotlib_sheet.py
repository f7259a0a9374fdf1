"""The sheet of our figures as a matplotlib Figure without axes: what drawing with it would cost.

One Figure is kept and filled again, and all text is laid out by matplotlib, as a program would do
that uses it in the ordinary way.
"""

import io
from collections.abc import Sequence
from functools import cache
from typing import Any

import matplotlib
from matplotlib.backends.backend_svg import FigureCanvasSVG
from matplotlib.figure import Figure
from matplotlib.lines import Line2D
from matplotlib.markers import MarkerStyle
from matplotlib.patches import PathPatch
from matplotlib.path import Path
from matplotlib.text import Text
from matplotlib.transforms import Affine2D

_MARKERS = {
    "dot": "o", "half": MarkerStyle("o", "left"), "diamond": "D", "ring": "o", "square": "s",
    "up": "^", "down": "v",
}  # fmt: skip
_RC: Any = {"svg.fonttype": "none", "svg.hashsalt": "trimscribe", "text.parse_math": False}


class MatplotlibSheet:
    """Draws what `trimscribe.canvas.Canvas` draws."""

    def __init__(self, width: float, height: float, font: str) -> None:
        self.width, self.height, self.font = width, height, font
        self.artists: list[Any] = []

    def line(self, points: Any, *style: Any, **more: Any) -> None:
        self.lines([points], *style, **more)

    def lines(
        self,
        polylines: Any,
        colour: str,
        width: float = 0.6,
        dash: Sequence[float] = (),
        *,
        fill: str = "",
        close: bool = False,
    ) -> None:
        vertices: list[Any] = []
        codes: list[Any] = []
        for points in polylines:
            vertices += points
            codes += [Path.MOVETO, *[Path.LINETO] * (len(points) - 1)]
            if close:
                vertices.append(points[0])
                codes.append(Path.CLOSEPOLY)
        if vertices:
            style = (0, tuple(dash)) if dash else "-"
            path = Path(vertices, codes)
            self.artists.append(PathPatch(path, fc=fill or "none", ec=colour, lw=width, ls=style))

    def marks(self, points: Any, shape: str, size: float, colour: str, *, fill: str = "") -> None:
        xs, ys = [x for x, _ in points], [y for _, y in points]
        style = {"ls": "none", "marker": _MARKERS[shape], "ms": size, "mew": 0.9}
        self.artists.append(Line2D(xs, ys, mec=colour, mfc=fill or "none", **style))

    def text(
        self,
        x: float,
        y: float,
        text: str,
        size: float,
        colour: str,
        anchor: str = "left",
        *,
        bold: bool = False,
    ) -> None:
        weight = "semibold" if bold else "normal"
        style = {"ha": anchor, "va": "baseline", "family": "DejaVu Sans", "weight": weight}
        self.artists.append(Text(x, y, text, fontsize=size, color=colour, **style))

    def svg(self) -> str:
        with matplotlib.rc_context(_RC):
            figure = _figure()
            figure.set_size_inches(self.width / 72, self.height / 72)
            points = Affine2D().scale(1, -1).translate(0, self.height)
            for order, artist in enumerate(self.artists):
                artist.set_transform(points)
                artist.set_zorder(order)
                figure.add_artist(artist, clip=False)
            out = io.StringIO()
            figure.savefig(out, format="svg", dpi=72, transparent=True, metadata={"Date": None})
            figure.clear()
        return out.getvalue()


@cache
def _figure() -> Figure:
    figure = Figure(dpi=72)
    FigureCanvasSVG(figure)
    return figure
