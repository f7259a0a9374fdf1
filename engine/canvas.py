"""A sheet to draw on in points, written as SVG by matplotlib's renderer.

The renderer is used without a Figure. Axes cost about 15 ms each even when empty, and a Figure
measures and lays out every text, although SVG aligns text by itself: what goes straight to the
renderer costs a third. x grows to the right and y downwards, from the top left corner, in points.
"""

import contextlib
import copy
import io
import pathlib
import threading
from collections.abc import Callable, Iterable, Sequence
from functools import cache, lru_cache
from typing import Any, Literal, get_args

# Loading, it reads a file matplotlibrc from where people are: any file, or a pipe that waits.
with contextlib.chdir(pathlib.Path(__file__).parent):
    import matplotlib
from matplotlib.backend_bases import GraphicsContextBase, RendererBase
from matplotlib.backends.backend_svg import RendererSVG
from matplotlib.colors import to_rgba
from matplotlib.ft2font import FT2Font as FT2Font  # for which letters a font has
from matplotlib.markers import MarkerStyle
from matplotlib.path import Path
from matplotlib.text import Text
from matplotlib.transforms import Affine2D, Transform

__all__ = ["XY", "Anchor", "Canvas", "Shape"]

XY = tuple[float, float]
Anchor = Literal["left", "center", "right"]
Shape = Literal["dot", "half", "diamond", "ring", "square", "up", "down"]

_MARKERS: dict[Shape, str] = {
    "dot": "o",
    "half": "o",
    "diamond": "D",
    "ring": "o",
    "square": "s",
    "up": "^",
    "down": "v",
}
_DPI = 72  # one pixel of the renderer is one point
# Of a point: 4 thousandths of a mm. With all decimals a drawing is half as long again.
_DECIMALS = 2
_MOVE, _LINE, _CLOSE = (int(code) for code in (Path.MOVETO, Path.LINETO, Path.CLOSEPOLY))
# rcParams belong to the process; one sheet at a time is written with them set as here. A file of
# the user, or one called matplotlibrc where they are, would have its say in the others.
_lock = threading.RLock()
_PARTS = {"font", "hatch", "lines", "markers", "mathtext", "patch", "path", "svg", "text"}
_RC: Any = {
    name: v for name, v in matplotlib.rcParamsDefault.items() if name.split(".")[0] in _PARTS
}
_RC |= {
    "svg.fonttype": "none",  # text stays text: searchable, and smaller
    "svg.hashsalt": "trimscribe",  # ids that do not change from run to run
    "path.simplify": False,
    "text.parse_math": False,  # a dollar sign in a name is a dollar sign
}

_Stroke = Callable[[RendererBase, Transform], None]
_open: Any = RendererSVG  # publishes no types


class Canvas:
    """A sheet of `width` × `height` points; draw, then `svg()`. What is drawn later lies on top."""

    def __init__(self, width: float, height: float, font: str) -> None:
        """Start an empty sheet; `font` is the family of all its text."""
        self.width, self.height, self._font = width, height, font
        self._strokes: list[_Stroke] = []

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
            # Dashes are in widths of the line.
            pen = _pen(colour, width, tuple(part * width for part in dash))
            path: Any = Path(vertices, codes)
            path.vertices = path.vertices.round(_DECIMALS)
            self._strokes.append(lambda to, points: to.draw_path(pen, path, points, _filled(fill)))

    def marks(
        self, points: Sequence[XY], shape: Shape, size: float, colour: str, *, fill: str = ""
    ) -> None:
        """The same mark at many points; hollow unless `fill` is given. `size` across in points.

        They are one path, which everything after draws and reads faster than one each. Where two
        of them lie on each other, the outlines of both are seen. ValueError for no such shape.
        """
        if shape not in (shapes := get_args(Shape)):
            raise ValueError(f"“{shape}” is no shape of a mark; there are {', '.join(shapes)}")
        if points:
            pen = _pen(colour, 0.9, shape=shape)
            mark: Any = _mark(shape, size)  # it and the next publish no types
            places: Any = Path(points)
            outlines = (places.vertices[:, None] + mark.vertices).reshape(-1, 2)
            marks = Path(outlines.round(_DECIMALS), [*mark.codes] * len(points))
            self._strokes.append(lambda to, where: to.draw_path(pen, marks, where, _filled(fill)))

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
        words = _words(self._font, size, anchor, bold=bold)
        pen = _pen(colour, 1)

        def write(to: RendererBase, points: Transform) -> None:
            words.set_position((x, y))
            words.set_transform(points)
            to.draw_text(pen, x, y, text, words.get_fontproperties(), 0, mtext=words)

        self._strokes.append(write)

    def svg(self) -> str:
        """The sheet as SVG text."""
        out = io.StringIO()
        points = Affine2D().scale(1, -1).translate(0, self.height)
        with _lock, matplotlib.rc_context(_RC):
            renderer = _open(self.width, self.height, out, None, _DPI, metadata={"Date": None})
            for stroke in self._strokes:
                stroke(renderer, points)
            renderer.finalize()
        return out.getvalue()


@lru_cache(maxsize=64)
def _words(font: str, size: float, anchor: Anchor, *, bold: bool) -> Text:
    """Text of one style, used again for each place while `_lock` is held."""
    weight = "semibold" if bold else "normal"
    with _lock, matplotlib.rc_context(_RC):
        return Text(fontsize=size, horizontalalignment=anchor, fontfamily=font, fontweight=weight)


@lru_cache(maxsize=256)
def _pen(
    colour: str, width: float, dash: tuple[float, ...] = (), shape: Shape | None = None
) -> GraphicsContextBase:
    """A pen, for lines or for the outline of marks; renderers change none."""
    pen = copy.copy(_new_pen())
    pen.set_foreground(to_rgba(colour), isRGBA=True)
    pen.set_linewidth(width)
    pen.set_joinstyle("round")
    if dash:
        pen.set_dashes(0, dash)
    if shape:
        with _lock, matplotlib.rc_context(_RC):
            mark = MarkerStyle(_MARKERS[shape])
        pen.set_joinstyle(mark.get_joinstyle())
        pen.set_capstyle(mark.get_capstyle())
    return pen


@cache
def _new_pen() -> GraphicsContextBase:
    """What every pen begins as: setting rcParams for each takes longer than drawing with it."""
    with _lock, matplotlib.rc_context(_RC):
        return GraphicsContextBase()


@lru_cache(maxsize=64)
def _mark(shape: Shape, size: float) -> Path:
    """The outline of a mark around its middle."""
    if shape == "half":  # the left one, as beside words
        arc: Any = Path.arc(90, 270, 2)
        half = Path([*arc.vertices, arc.vertices[0]], [*arc.codes, _CLOSE])
        return half.transformed(Affine2D().scale(size / 2))
    if _MARKERS[shape] == "o":
        return _circle().transformed(Affine2D().scale(size / 2))
    mark = MarkerStyle(_MARKERS[shape])
    # Marks point upwards where y grows upwards.
    return mark.get_path().transformed(mark.get_transform() + Affine2D().scale(size, -size))


def _circle() -> Path:
    """Of radius 1 in four curves: matplotlib's own has eight, which no eye can tell apart."""
    arc: Any = Path.arc(0, 360, 4)
    return Path([*arc.vertices, arc.vertices[0]], [*arc.codes, _CLOSE])


def _filled(colour: str) -> Any:
    return to_rgba(colour) if colour else None
