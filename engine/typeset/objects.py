"""What stands on a page of a finished PDF, object by object, in the order in which it is painted.

Places are in points from the lower left corner of the page.
"""

import bisect
import ctypes
import operator
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import pairwise
from typing import Any, NamedTuple

import pypdfium2.raw as pdfium

__all__ = ["PATTERNS", "Box", "Rgb", "Sheet", "Solid", "Writing"]

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


@dataclass(frozen=True)
class Writing:
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


class Sheet:
    """One page, looked at only as far as somebody asks."""

    def __init__(self, page: Any, textpage: Any) -> None:
        """Take an open page and its open text."""
        self._page, self._text = page, textpage
        self._shares: dict[Rgb, float] = {}
        self._seen: dict[int, Writing | None] = {}
        width, height = page.get_size()
        self.box = Box(0, 0, width, height)

    @cached_property
    def _orders(self) -> Mapping[int, int]:
        """Place in the order of painting by address."""
        return {ctypes.addressof(item.contents): n for n, item in enumerate(self._objects)}

    @cached_property
    def _objects(self) -> list[Any]:
        count = pdfium.FPDFPage_CountObjects(self._page)
        return [pdfium.FPDFPage_GetObject(self._page, n) for n in range(count)]

    def around(self, box: Box) -> list[tuple[Solid, float]]:
        """All that meets a box, in the order of painting, with the share of the box it takes."""
        left, bottom, right, top = box
        met = {
            solid
            for band in _bands(box)
            for solid, (x1, y1, x2, y2) in self._solids_by_band.get(band, ())
            if x1 < right and x2 > left and y1 < top and y2 > bottom
        }
        return [(solid, box.shared(solid.box)) for solid in sorted(met, key=_order)]

    def writings(self, characters: Sequence[int]) -> Iterator[tuple[Writing | None, int]]:
        """The runs that some characters of the page's text belong to, with how many each.

        None for a run that is not on the page itself but in a picture.
        """
        start = 0
        while start < len(characters):
            address = self._run_of(characters[start])
            # The letters of a run follow each other, so its end is found by halving.
            end = bisect.bisect_left(
                characters, True, start + 1, key=lambda c: self._run_of(c) != address
            )
            if address:
                yield self._writing(address), end - start
            start = end

    def texts(self) -> Iterator[tuple[Solid, str]]:
        """Every run of text that is more than blanks, with the words in it."""
        for solid in self._solids:
            if solid.text and solid.box.right > solid.box.left:
                yield solid, self._text.get_text_bounded(*solid.box).strip()[:_SHOWN]

    def exact(self, solid: Solid) -> Box:
        """The box of a solid without the room that PDFium gives to the corners of its stroke."""
        item = self._objects[solid.order]
        points = [] if solid.text or solid.colour is None else _points(item)
        if not points:
            return solid.box
        xs, ys = zip(*points, strict=True)
        return Box(min(xs), min(ys), max(xs), max(ys))

    def size_of(self, solid: Solid) -> float:
        """The size of a run of text in points, as it is seen."""
        return self._written(solid.order).size

    def _run_of(self, character: int) -> int:
        """The address of a character's run; 0 for one that PDFium put in itself."""
        item = pdfium.FPDFText_GetTextObject(self._text, character)
        return ctypes.addressof(item.contents) if item else 0

    def _writing(self, address: int) -> Writing | None:
        if address not in self._seen:
            order = self._orders.get(address)
            found = None if order is None else self._written(order)
            self._seen[address] = found
        return self._seen[address]

    def blank_share(self, colour: Rgb) -> float:
        """The share of the page that shows this colour: what nothing stands on, if it is plain."""
        if colour not in self._shares:
            near = abs(self._thumbnail - colour[::-1]) < _SAME
            self._shares[colour] = float(near.all(axis=2).mean())
        return self._shares[colour]

    @cached_property
    def _thumbnail(self) -> Any:
        return self._page.render(scale=_SMALL, may_draw_forms=False).to_numpy().astype(int)

    def rim(self, box: Box) -> Iterator[tuple[Rgb, Rgb]]:
        """What is seen a little above and below a box, from its left end to its right."""
        above, below = self.box.top - box.top - 1.5, self.box.top - box.bottom + 0.5
        for x in range(int(box.left), int(box.right) + 1, 2):
            yield _pixel(self._picture, x, above), _pixel(self._picture, x, below)

    def _written(self, order: int) -> Writing:
        return _writing(self._objects[order], order, self._box_of[order])

    @cached_property
    def _box_of(self) -> Mapping[int, Box]:
        return {solid.order: solid.box for solid in self._solids}

    @cached_property
    def _picture(self) -> Any:
        return self._page.render(scale=1, may_draw_forms=False).to_numpy()

    @cached_property
    def _solids_by_band(self) -> Mapping[int, list[tuple[Solid, Box]]]:
        bands: dict[int, list[tuple[Solid, Box]]] = {}
        inside = range(int(self.box.top) // _BAND + 1)
        for solid in self._solids:
            for band in _bands(solid.box):
                if band in inside:
                    bands.setdefault(band, []).append((solid, solid.box))
        return bands

    @cached_property
    def _solids(self) -> tuple[Solid, ...]:
        return tuple(self._all_solids())

    def _all_solids(self) -> Iterator[Solid]:
        for order, item in enumerate(self._objects):
            kind = pdfium.FPDFPageObj_GetType(item)
            if kind != pdfium.FPDF_PAGEOBJ_PATH:
                yield Solid(order, _box(item), text=kind == pdfium.FPDF_PAGEOBJ_TEXT)
                continue
            fill, stroke = ctypes.c_int(), ctypes.c_int()
            pdfium.FPDFPath_GetDrawMode(item, fill, stroke)
            if fill.value:
                yield Solid(order, _box(item), colour=_colour(item))
            if stroke.value:
                yield from _broad_lines(item, order)


# What PDFium says of gradients and tilings, whatever their colours are.
PATTERNS = ((255, 255, 255), (191, 191, 191))
_SHOWN = 60  # letters of a run that are told
_SMALL = 0.1  # scale of a thumbnail, which takes less than half the time of a full picture
_SAME = 3  # steps of 255 in which rounding may end
_order = operator.attrgetter("order")
_BAND = 12  # points; pages are looked through in bands of this height


def _pixel(picture: Any, x: float, y: float) -> Rgb:
    """The pixel at a place from the upper left corner, or the nearest one."""
    height, width = picture.shape[:2]
    found = picture[min(max(int(y), 0), height - 1)][min(max(int(x), 0), width - 1)]
    blue, green, red = (int(channel) for channel in found[:3])
    return red, green, blue


def _bands(box: Box) -> range:
    return range(int(box.bottom) // _BAND, int(box.top) // _BAND + 1)


# Where PDFium writes its answers, which are read at once: it works for one thread at a time anyway.
_FLOATS = tuple(ctypes.c_float() for _ in range(4))
_WHOLES = tuple(ctypes.c_uint() for _ in range(4))
_MATRIX = pdfium.FS_MATRIX()
_THIN = 1.6  # points; a line up to here crosses out, but hides nothing


def _broad_lines(item: Any, order: int) -> Iterator[Solid]:
    """The boxes around the pieces of a path that is stroked broadly."""
    width = ctypes.c_float()
    pdfium.FPDFPageObj_GetStrokeWidth(item, width)
    if width.value <= _THIN:
        return
    half = width.value / 2
    points = _points(item)
    for (x1, y1), (x2, y2) in pairwise(points):
        box = Box(min(x1, x2) - half, min(y1, y2) - half, max(x1, x2) + half, max(y1, y2) + half)
        yield Solid(order, box)


def _writing(item: Any, order: int, box: Box) -> Writing:
    matrix, size = _matrix(item), ctypes.c_float()
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
    for number in range(max(pdfium.FPDFClipPath_CountPaths(path), 0) if path else 0):
        count = pdfium.FPDFClipPath_CountPathSegments(path, number)
        points = [
            _point(pdfium.FPDFClipPath_GetPathSegment(path, number, n), None) for n in range(count)
        ]
        if points:
            xs, ys = zip(*points, strict=True)
            box = Box(min(xs), min(ys), max(xs), max(ys))
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


def _points(item: Any) -> list[tuple[float, float]]:
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
        name, length = (ctypes.c_ushort * 32)(), ctypes.c_ulong()
        mark = pdfium.FPDFPageObj_GetMark(item, number)
        pdfium.FPDFPageObjMark_GetName(mark, name, ctypes.sizeof(name), length)
        if bytes(name)[: length.value] == _ARTIFACT:
            return True
    return False


_ARTIFACT = "Artifact\0".encode("utf-16-le")
