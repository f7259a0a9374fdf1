"""One object of a finished PDF as PDFium tells it: text, or what may hide text.

Places are in points from the lower left corner of the page.
"""

from collections.abc import Iterator, Sequence
from itertools import pairwise
from typing import NamedTuple

from trimscribe.typeset import pdfium
from trimscribe.typeset.pdfium import FLOATS, LENGTH, MATRIX, NAME, WHOLES, Address

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
_CORNERS = FLOATS.places[:4]
_MARK = NAME.places[0], 2 * len(NAME.values), LENGTH.places[0]
_THIN = 1.6  # points; a line up to here crosses out, but hides nothing


def bounds(points: Sequence[tuple[float, float]]) -> Box:
    """The rectangle around some points."""
    xs, ys = zip(*points, strict=True)
    return Box(min(xs), min(ys), max(xs), max(ys))


def solids_of(items: Sequence[Address]) -> Iterator[Solid]:
    """What the objects of a page are to others: text, or what may hide what was painted before."""
    for order, item in enumerate(items):
        kind = pdfium.object_kind(item)
        if kind == pdfium.PATH:
            yield from _painted(item, order)
        else:
            yield Solid(order, _box(item), kind == pdfium.TEXT)


def _painted(item: Address, order: int) -> Iterator[Solid]:
    pdfium.draw_mode(item, *WHOLES.places[:2])
    fill, stroke = WHOLES.values[:2]
    if fill:
        yield Solid(order, _box(item), colour=_colour(item))
    if stroke:
        yield from _broad_lines(item, order)


def _broad_lines(item: Address, order: int) -> Iterator[Solid]:
    """The boxes around the pieces of a path that is stroked broadly."""
    pdfium.stroke_width(item, FLOATS.places[0])
    width = FLOATS.values[0]
    if width <= _THIN:
        return
    half = width / 2
    points = points_of(item)
    for (x1, y1), (x2, y2) in pairwise(points):
        box = Box(min(x1, x2) - half, min(y1, y2) - half, max(x1, x2) + half, max(y1, y2) + half)
        yield Solid(order, box)


def writing_of(item: Address, order: int, box: Box) -> Writing:
    """A run of text as it is seen."""
    pdfium.font_size(item, FLOATS.places[0])
    size = FLOATS.values[0]
    a, b, _, d, _, _ = _matrix(item)
    return Writing(
        order,
        box,
        abs(size * d),
        abs(a / d) if d else 0.0,
        _colour(item),
        pdfium.render_mode(item) in (pdfium.FILL, pdfium.FILL_STROKE),
        a > 0 and d * size > 0 and abs(b) <= 0.01 * abs(d),
        not _is_artifact(item),
        _clip(item),
    )


def _box(item: Address) -> Box:
    pdfium.object_bounds(item, *_CORNERS)
    return Box._make(FLOATS.values[:4])


def _matrix(item: Address) -> list[float]:
    pdfium.matrix(item, MATRIX)
    values: list[float] = FLOATS.values[:]
    return values


def _colour(item: Address) -> Rgb | None:
    """The fill, where it is opaque; one of `PATTERNS` may stand for something else."""
    known = pdfium.fill_colour(item, *WHOLES.places)
    red, green, blue, alpha = WHOLES.values[:]
    return (red, green, blue) if known and alpha > 250 else None


def _clip(item: Address) -> Box | None:
    """The rectangle around what a run is clipped to; None where it is not."""
    path = pdfium.clip_path(item)
    clip: Box | None = None
    for number in range(pdfium.clip_path_parts(path) if path else 0):
        count = pdfium.clip_part_segments(path, number)
        points = [_point(pdfium.clip_part_segment(path, number, n)) for n in range(count)]
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


def points_of(item: Address) -> list[tuple[float, float]]:
    """The corners of a path."""
    a, b, c, d, e, f = _matrix(item)
    count = pdfium.path_segments(item)
    points = (_point(pdfium.path_segment(item, n)) for n in range(count))
    return [(a * x + c * y + e, b * x + d * y + f) for x, y in points]


def _point(segment: Address) -> tuple[float, float]:
    pdfium.segment_point(segment, *FLOATS.places[:2])
    x, y = FLOATS.values[:2]
    return x, y


def _is_artifact(item: Address) -> bool:
    """Whether programs that read aloud are told to pass a run over."""
    for number in range(pdfium.count_marks(item)):
        mark = pdfium.mark(item, number)
        pdfium.mark_name(mark, *_MARK)
        # A name that is longer than the room for it is not written at all.
        if LENGTH.values[0] == len(_ARTIFACT) and bytes(NAME.values).startswith(_ARTIFACT):
            return True
    return False


_ARTIFACT = "Artifact\0".encode("utf-16-le")
