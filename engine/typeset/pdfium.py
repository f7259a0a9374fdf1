"""The functions of PDFium that are called for every object of a page, by plain numbers.

A report has some thousand objects. pypdfium2's own bindings make a Python object for each address
that they return, which takes longer than the call itself; here an address stays a number, and a
place to write answers to is one as well. All of it is for one thread at a time.
"""

import ctypes
from collections.abc import Callable, Iterator
from ctypes import c_int, c_uint, c_ulong, c_void_p
from typing import Any

import numpy as np
import pypdfium2.raw as bindings
from numpy.typing import NDArray

Address = int
TEXT, FILL = bindings.FPDF_PAGEOBJ_TEXT, bindings.FPDF_TEXTRENDERMODE_FILL


class _Answers:
    """Room for the answers of one call, which are read at once."""

    def __init__(self, kind: Any, count: int) -> None:
        """Make room for `count` values of a ctypes kind."""
        self.values = (kind * count)()
        start = ctypes.addressof(self.values)
        self.places = tuple(start + n * ctypes.sizeof(kind) for n in range(count))


FLOATS = _Answers(ctypes.c_float, 6)
DOUBLES = _Answers(ctypes.c_double, 4)
_LENGTH = _Answers(c_ulong, 1)
_NAME = _Answers(ctypes.c_ushort, 32)
MATRIX = FLOATS.places[0]  # a, b, c, d, e, f


def address(wrapped: Any) -> Address:
    """The address of a page or its text that pypdfium2 has opened."""
    return ctypes.cast(wrapped.raw, c_void_p).value or 0


def start_of(values: NDArray[np.float64]) -> Address:
    """Where a table lies, for answers that go into it: each value takes 8 bytes."""
    return int(values.ctypes.data)


def _bound(name: str, result: Any, *arguments: Any) -> Callable[..., Any]:
    # These keep Python's lock, which takes longer to give away and get back than they do.
    kind = ctypes.PYFUNCTYPE(result, *arguments)
    return kind(ctypes.cast(getattr(bindings, name), c_void_p).value or 0)


_P = c_void_p
count_objects = _bound("FPDFPage_CountObjects", c_int, _P)
object_at = _bound("FPDFPage_GetObject", _P, _P, c_int)
object_kind = _bound("FPDFPageObj_GetType", c_int, _P)
object_bounds = _bound("FPDFPageObj_GetBounds", c_int, _P, _P, _P, _P, _P)
matrix = _bound("FPDFPageObj_GetMatrix", c_int, _P, _P)
font_size = _bound("FPDFTextObj_GetFontSize", c_int, _P, _P)
set_active = _bound("FPDFPageObj_SetIsActive", c_int, _P, c_int)
set_fill_colour = _bound("FPDFPageObj_SetFillColor", c_int, _P, c_uint, c_uint, c_uint, c_uint)
set_render_mode = _bound("FPDFTextObj_SetTextRenderMode", c_int, _P, c_int)
count_rectangles = _bound(
    "FPDFText_CountRects", c_int, _P, c_int, c_int
)  # of characters from, many
rectangle = _bound("FPDFText_GetRect", c_int, _P, c_int, _P, _P, _P, _P)  # left, top, right, bottom
# Of a page's text and a character in it: left, right, bottom, top of its ink.
character = _bound("FPDFText_GetCharBox", c_int, _P, c_int, _P, _P, _P, _P)
_clip = _bound("FPDFPageObj_GetClipPath", _P, _P)
_count_clips = _bound("FPDFClipPath_CountPaths", c_int, _P)
_count_corners = _bound("FPDFClipPath_CountPathSegments", c_int, _P, c_int)
_corner = _bound("FPDFClipPath_GetPathSegment", _P, _P, c_int, c_int)
_point = _bound("FPDFPathSegment_GetPoint", c_int, _P, _P, _P)
_count_marks = _bound("FPDFPageObj_CountMarks", c_int, _P)
_mark = _bound("FPDFPageObj_GetMark", _P, _P, c_ulong)
_mark_name = _bound("FPDFPageObjMark_GetName", c_int, _P, _P, c_ulong, _P)
_ARTIFACT = "Artifact\0".encode("utf-16-le")


def frames(item: Address) -> Iterator[tuple[float, float, float, float]]:
    """The boxes (left, bottom, right, top) of the paths that an object is clipped to."""
    clip = _clip(item)
    for path in range(_count_clips(clip)):  # -1 where nothing clips it
        corners = []
        for number in range(_count_corners(clip, path)):
            _point(_corner(clip, path, number), *FLOATS.places[:2])
            corners.append(FLOATS.values[:2])
        if corners:
            across, up = zip(*corners, strict=True)
            yield min(across), min(up), max(across), max(up)


def is_artifact(item: Address) -> bool:
    """Whether programs that read aloud are told to pass an object over."""
    for number in range(_count_marks(item)):
        _mark_name(_mark(item, number), _NAME.places[0], 64, _LENGTH.places[0])
        # A name that is longer than the room for it is not written at all.
        if _LENGTH.values[0] == len(_ARTIFACT) and bytes(_NAME.values).startswith(_ARTIFACT):
            return True
    return False
