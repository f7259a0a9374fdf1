"""The functions of PDFium that are called for every object of a page, by plain numbers.

A report has some thousand objects. pypdfium2's own bindings make a Python object for each address
that they return, which takes longer than the call itself; here an address stays a number, and a
place to write answers to is one as well. All of it is for one thread at a time.
"""

import ctypes
from collections.abc import Callable
from ctypes import c_int, c_uint, c_ulong, c_void_p
from typing import Any

import pypdfium2.raw as bindings

__all__ = [
    "FILL",
    "FILL_STROKE",
    "FLOATS",
    "LENGTH",
    "MATRIX",
    "NAME",
    "PATH",
    "TEXT",
    "WHOLES",
    "Address",
    "address",
    "clip_part_segment",
    "clip_part_segments",
    "clip_path",
    "clip_path_parts",
    "count_marks",
    "count_objects",
    "draw_mode",
    "fill_colour",
    "font_size",
    "mark",
    "mark_name",
    "matrix",
    "object_at",
    "object_bounds",
    "object_kind",
    "object_of_character",
    "path_segment",
    "path_segments",
    "render_mode",
    "segment_point",
    "stroke_width",
]

Address = int
PATH, TEXT = bindings.FPDF_PAGEOBJ_PATH, bindings.FPDF_PAGEOBJ_TEXT
FILL, FILL_STROKE = bindings.FPDF_TEXTRENDERMODE_FILL, bindings.FPDF_TEXTRENDERMODE_FILL_STROKE


class _Answers:
    """Room for the answers of one call, which are read at once."""

    def __init__(self, kind: Any, count: int) -> None:
        """Make room for `count` values of a ctypes kind."""
        self.values = (kind * count)()
        start = ctypes.addressof(self.values)
        self.places = tuple(start + n * ctypes.sizeof(kind) for n in range(count))


FLOATS = _Answers(ctypes.c_float, 6)
WHOLES = _Answers(c_uint, 4)
LENGTH = _Answers(c_ulong, 1)
NAME = _Answers(ctypes.c_ushort, 32)
MATRIX = FLOATS.places[0]  # a, b, c, d, e, f


def address(wrapped: Any) -> Address:
    """The address of a page or its text that pypdfium2 has opened."""
    return ctypes.cast(wrapped.raw, c_void_p).value or 0


def _bound(name: str, result: Any, *arguments: Any) -> Callable[..., Any]:
    # These keep Python's lock, which takes longer to give away and get back than they do.
    kind = ctypes.PYFUNCTYPE(result, *arguments)
    return kind(ctypes.cast(getattr(bindings, name), c_void_p).value or 0)


_P = c_void_p
count_objects = _bound("FPDFPage_CountObjects", c_int, _P)
object_at = _bound("FPDFPage_GetObject", _P, _P, c_int)
object_of_character = _bound("FPDFText_GetTextObject", _P, _P, c_int)
object_kind = _bound("FPDFPageObj_GetType", c_int, _P)
object_bounds = _bound("FPDFPageObj_GetBounds", c_int, _P, _P, _P, _P, _P)
matrix = _bound("FPDFPageObj_GetMatrix", c_int, _P, _P)
fill_colour = _bound("FPDFPageObj_GetFillColor", c_int, _P, _P, _P, _P, _P)
stroke_width = _bound("FPDFPageObj_GetStrokeWidth", c_int, _P, _P)
count_marks = _bound("FPDFPageObj_CountMarks", c_int, _P)
mark = _bound("FPDFPageObj_GetMark", _P, _P, c_ulong)
mark_name = _bound("FPDFPageObjMark_GetName", c_int, _P, _P, c_ulong, _P)
font_size = _bound("FPDFTextObj_GetFontSize", c_int, _P, _P)
render_mode = _bound("FPDFTextObj_GetTextRenderMode", c_int, _P)
draw_mode = _bound("FPDFPath_GetDrawMode", c_int, _P, _P, _P)
path_segments = _bound("FPDFPath_CountSegments", c_int, _P)
path_segment = _bound("FPDFPath_GetPathSegment", _P, _P, c_int)
segment_point = _bound("FPDFPathSegment_GetPoint", c_int, _P, _P, _P)
clip_path = _bound("FPDFPageObj_GetClipPath", _P, _P)
clip_path_parts = _bound("FPDFClipPath_CountPaths", c_int, _P)
clip_part_segments = _bound("FPDFClipPath_CountPathSegments", c_int, _P, c_int)
clip_part_segment = _bound("FPDFClipPath_GetPathSegment", _P, _P, c_int, c_int)
