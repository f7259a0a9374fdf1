"""Pages of a finished PDF as pictures."""

import io

from trimscribe.typeset.text import opened

__all__ = ["page_picture"]

_POINTS_PER_INCH = 72


def page_picture(data: bytes, number: int, pixels_per_inch: float, *, effort: int = 6) -> bytes:
    """Page `number`, from 1, as PNG; `effort` of packing from 0, quick, to 9, small.

    Raises IndexError for a page that is not there.
    """
    with opened(data) as pages:
        bitmap = pages[number - 1].page.render(scale=pixels_per_inch / _POINTS_PER_INCH)
        try:
            picture = bitmap.to_pil().convert("RGB")
        finally:
            bitmap.close()
    out = io.BytesIO()
    picture.save(out, "PNG", compress_level=effort)
    return out.getvalue()
