"""What the pages of a PDF look like: as pictures, and as fingerprints to tell two apart."""

import hashlib
import io
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from typing import Any

import pypdfium2
from PIL.PngImagePlugin import PngInfo

from trimscribe.typeset.text import PDFIUM

_SCALE = 1.5  # pixels per point: a changed digit of the smallest text shows
_OF_PNG = 150 / 72  # 150 pixels an inch, 1240 × 1754 for A4: sharp on a phone, about 200 kB
_LONGEST_PT = 2_000.0  # a page of a report is A4 or US Letter


def page_pictures(data: bytes) -> tuple[str, ...]:
    """A fingerprint of each page as drawn without what lies over it; raises ValueError.

    The same page gives the same fingerprint on one machine, not on another.
    """
    with _opened(data) as pdf:
        return tuple(_picture(pdf[number]) for number in range(len(pdf)))


def page_one_png(data: bytes, words: Mapping[str, str]) -> bytes:
    """Page one as PNG: exact, and small to send; raises ValueError when it cannot be drawn.

    `words` go with it as text, by the keywords of the PNG specification, 11.3.3.
    """
    reported = PngInfo()
    for keyword, text in words.items():
        reported.add_itxt(keyword, text, zip=True)
    return _saved(data, 1, lambda _: _OF_PNG, "PNG", pnginfo=reported)


def page_jpeg(data: bytes, number: int, width: int) -> bytes:
    """Page `number`, from 1, this many pixels wide as JPEG, packed ten times as quickly as PNG.

    Raises IndexError for a page that is not there, ValueError when it cannot be drawn.
    """
    return _saved(data, number, lambda page: width / page, "JPEG", quality=93, subsampling=0)


def _saved(
    data: bytes, number: int, scale: Callable[[float], float], kind: str, **how: Any
) -> bytes:
    """`scale` turns a page's width in points to pixels per point."""
    with _opened(data) as pdf:
        if not 0 < number <= len(pdf):
            raise IndexError(f"there is no page {number}")
        page = pdf[number - 1]
        bitmap = page.render(scale=scale(page.get_width()), rev_byteorder=True)
        picture = bitmap.to_pil().copy()  # the bitmap's memory goes with it
        bitmap.close()
        page.close()
    out = io.BytesIO()
    picture.save(out, kind, **how)
    return out.getvalue()


@contextmanager
def _opened(data: bytes) -> Iterator[pypdfium2.PdfDocument]:
    with PDFIUM:
        try:
            pdf = pypdfium2.PdfDocument(data)
        except pypdfium2.PdfiumError as error:
            raise ValueError("the pages cannot be drawn") from error
        try:
            yield pdf
        finally:
            pdf.close()


def _picture(page: pypdfium2.PdfPage) -> str:
    if max(page.get_size()) > _LONGEST_PT:
        raise ValueError("a page is larger than any report's")
    bitmap = page.render(scale=_SCALE, grayscale=True, draw_annots=False, may_draw_forms=False)
    drawn = hashlib.sha256(bytes(bitmap.buffer)).hexdigest()
    bitmap.close()
    page.close()
    return drawn
