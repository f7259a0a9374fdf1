"""What the pages of a PDF look like, drawn small, to tell two documents apart."""

import hashlib

import pypdfium2

from trimscribe.typeset.text import PDFIUM

__all__ = ["page_pictures"]

_SCALE = 1.5  # pixels per point: a changed digit of the smallest text shows
_LONGEST_PT = 2_000.0  # a page of a report is A4 or US Letter


def page_pictures(data: bytes) -> tuple[str, ...]:
    """A fingerprint of each page as drawn without what lies over it; raises ValueError.

    The same page gives the same fingerprint on one machine, not on another.
    """
    with PDFIUM:
        try:
            pdf = pypdfium2.PdfDocument(data)
        except pypdfium2.PdfiumError as error:
            raise ValueError("the pages cannot be drawn") from error
        try:
            return tuple(_picture(pdf[number]) for number in range(len(pdf)))
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
