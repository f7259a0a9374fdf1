"""One object of a finished PDF as PDFium tells it: text, or what may hide text.

Places are in points from the lower left corner of the page.
"""

import ctypes
from collections.abc import Iterator, Sequence
from itertools import pairwise
from typing import Any, NamedTuple

import pypdfium2.raw as pdfium

__all__ = [
    "PATTERNS",
    "Box",
    "Rgb",
    "Solid",
    "Writing",
    "bounds",
    "points_of",
    "solids_of",
    "writing_of",
]

Rgb = tuple[int, int, int]


class Box(NamedTuple):
    """A rectangle."""

    left: float
    bottom: float
    right: float
    top: float

    def shared(self, other: "Box") -> float:
        """The share of this box that lies inside another."""
        width = min(self.right, other.right) - max(self.left, other.left)
        height = min(self.top, other.top) - max(self.bottom, other.bottom)
        if width <= 0 or height <= 0:
            return 0.0
        return width * height / ((self.right - self.left) * (self.top - self.bottom))


class Solid(NamedTuple):
    """Text, or what hides what was painted before: a filled shape, a broad line, a picture.

    `colour` is None where it is not one colour, or not known to be.
    """

    order: int
    box: Box
    text: bool = False
    colour: Rgb | None = None


class Writing(NamedTuple):
    """A run of text: `size` in points as it is seen, `slim` its width over its height as a scale.

    `colour` is None where it is see-through, `drawn` whether letters are filled, `upright` whether
    they are neither turned nor mirrored, `read` whether programs that read aloud come by.
    """

    order: int
    box: Box
    size: float
    slim: float
    colour: Rgb | None
    drawn: bool
    upright: bool
    read: bool
    clip: Box | None


# What PDFium says of gradients and tilings, whatever their colours are.
PATTERNS = ((255, 255, 255), (191, 191, 191))
# Where PDFium writes its answers, which are read at once: it works for one thread at a time anyway.
_FLOATS = tuple(ctypes.c_float() for _ in range(4))
_WHOLES = tuple(ctypes.c_uint() for _ in range(4))
_MATRIX = pdfium.FS_MATRIX()
_NAME, _LENGTH = (ctypes.c_ushort * 32)(), ctypes.c_ulong()
_ARTIFACT = "Artifact\0".encode("utf-16-le")
_THIN = 1.6  # points; a line up to here crosses out, but hides nothing


def bounds(points: Sequence[tuple[float, float]]) -> Box:
    """The rectangle around some points."""
    xs, ys = zip(*points, strict=True)
    return Box(min(xs), min(ys), max(xs), max(ys))


def solids_of(item: Any, order: int) -> Iterator[Solid]:
    """What an object is to others: text, or something that may hide what was painted before."""
    kind = pdfium.FPDFPageObj_GetType(item)
    if kind != pdfium.FPDF_PAGEOBJ_PATH:
        yield Solid(order, _box(item), text=kind == pdfium.FPDF_PAGEOBJ_TEXT)
        return
    fill, stroke = ctypes.c_int(), ctypes.c_int()
    pdfium.FPDFPath_GetDrawMode(item, fill, stroke)
    if fill.value:
        yield Solid(order, _box(item), colour=_colour(item))
    if stroke.value:
        yield from _broad_lines(item, order)


def _broad_lines(item: Any, order: int) -> Iterator[Solid]:
    """The boxes around the pieces of a path that is stroked broadly."""
    width = _FLOATS[0]
    pdfium.FPDFPageObj_GetStrokeWidth(item, width)
    if width.value <= _THIN:
        return
    half = width.value / 2
    points = points_of(item)
    for (x1, y1), (x2, y2) in pairwise(points):
        box = Box(min(x1, x2) - half, min(y1, y2) - half, max(x1, x2) + half, max(y1, y2) + half)
        yield Solid(order, box)


def writing_of(item: Any, order: int, box: Box) -> Writing:
    """A run of text as it is seen."""
    matrix, size = _matrix(item), _FLOATS[0]
    pdfium.FPDFTextObj_GetFontSize(item, size)
    mode = pdfium.FPDFTextObj_GetTextRenderMode(item)
    slant = 0.01 * abs(matrix.d)
    return Writing(
        order,
        box,
        abs(size.value * matrix.d),
        abs(matrix.a / matrix.d) if matrix.d else 0.0,
        _colour(item),
        mode in (pdfium.FPDF_TEXTRENDERMODE_FILL, pdfium.FPDF_TEXTRENDERMODE_FILL_STROKE),
        matrix.a > 0 and matrix.d * size.value > 0 and abs(matrix.b) <= slant,
        not _is_artifact(item),
        _clip(item),
    )


def _box(item: Any) -> Box:
    pdfium.FPDFPageObj_GetBounds(item, *_FLOATS)
    left, bottom, right, top = _FLOATS
    return Box(left.value, bottom.value, right.value, top.value)


def _matrix(item: Any) -> Any:
    matrix = _MATRIX
    pdfium.FPDFPageObj_GetMatrix(item, matrix)
    return matrix


def _colour(item: Any) -> Rgb | None:
    """The fill, where it is opaque; one of `PATTERNS` may stand for something else."""
    red, green, blue, alpha = _WHOLES
    known = pdfium.FPDFPageObj_GetFillColor(item, red, green, blue, alpha)
    return (red.value, green.value, blue.value) if known and alpha.value > 250 else None


def _clip(item: Any) -> Box | None:
    """The rectangle around what a run is clipped to; None where it is not."""
    path = pdfium.FPDFPageObj_GetClipPath(item)
    clip: Box | None = None
    for number in range(pdfium.FPDFClipPath_CountPaths(path) if path else 0):
        count = pdfium.FPDFClipPath_CountPathSegments(path, number)
        points = [
            _point(pdfium.FPDFClipPath_GetPathSegment(path, number, n), None) for n in range(count)
        ]
        if points:
            box = bounds(points)
            clip = (
                box
                if clip is None
                else Box(
                    max(clip.left, box.left),
                    max(clip.bottom, box.bottom),
                    min(clip.right, box.right),
                    min(clip.top, box.top),
                )
            )
    return clip


def points_of(item: Any) -> list[tuple[float, float]]:
    """The corners of a path."""
    matrix = _matrix(item)
    count = pdfium.FPDFPath_CountSegments(item)
    return [_point(pdfium.FPDFPath_GetPathSegment(item, n), matrix) for n in range(count)]


def _point(segment: Any, matrix: Any) -> tuple[float, float]:
    x, y = ctypes.c_float(), ctypes.c_float()
    pdfium.FPDFPathSegment_GetPoint(segment, x, y)
    if matrix is None:
        return x.value, y.value
    return (
        matrix.a * x.value + matrix.c * y.value + matrix.e,
        matrix.b * x.value + matrix.d * y.value + matrix.f,
    )


def _is_artifact(item: Any) -> bool:
    """Whether programs that read aloud are told to pass a run over."""
    for number in range(pdfium.FPDFPageObj_CountMarks(item)):
        mark = pdfium.FPDFPageObj_GetMark(item, number)
        pdfium.FPDFPageObjMark_GetName(mark, _NAME, ctypes.sizeof(_NAME), _LENGTH)
        if _LENGTH.value == len(_ARTIFACT) and bytes(_NAME)[: _LENGTH.value] == _ARTIFACT:
            return True
    return False
