"""The signature itself: PAdES, appended to the report, with a visible and tagged field."""

import io
import tempfile
from pathlib import Path
from typing import Any

from trimscribe.readback import portrait_of
from trimscribe.sign.codes import refusal
from trimscribe.sign.tags import tag_field

__all__ = ["FIELD", "append_signature", "line_width"]

FIELD = "Signature"
_ABOVE_PT = 8.0  # from the edge of page one down to the line
_MARGIN_PT = 56.7  # 20 mm at either side


def line_width(report: bytes) -> float:
    """The width in points that the visible line may take on page one."""
    left, _, right, _ = portrait_of(report).boxes[0]
    return right - left - 2 * _MARGIN_PT


def append_signature(
    report: bytes, signer: Any, stamp: bytes, words: str, height_pt: float, service_url: str = ""
) -> bytes:
    """Return the report with a signature behind it.

    `stamp` is a PDF of one page, `words` the same for screen readers. With `service_url` a time
    stamp (RFC 3161) is fetched. Raises SignError when the service does not answer.
    """
    from pyhanko.pdf_utils.incremental_writer import IncrementalPdfFileWriter
    from pyhanko.pdf_utils.layout import AxisAlignment, SimpleBoxLayoutRule
    from pyhanko.sign import fields, signers, timestamps
    from pyhanko.stamp import StaticStampStyle

    middle = AxisAlignment.ALIGN_MID
    left, _, right, top = portrait_of(report).boxes[0]
    upper = top - _ABOVE_PT
    edges = (left + _MARGIN_PT, upper - height_pt, right - _MARGIN_PT, upper)
    x1, y1, x2, y2 = map(round, edges)
    # Typst ends a file without a line break, and an object must start on a line of its own.
    writer = IncrementalPdfFileWriter(io.BytesIO(report + b"\n"))
    spec = fields.SigFieldSpec(FIELD, on_page=0, box=(x1, y1, x2, y2), readable_field_name=words)
    fields.append_signature_field(writer, spec)
    tag_field(writer, words)
    out = io.BytesIO()
    with tempfile.TemporaryDirectory(prefix="trimscribe-") as folder:
        picture = Path(folder) / "stamp.pdf"
        picture.write_bytes(stamp)
        pdf_signer = signers.PdfSigner(
            signers.PdfSignatureMetadata(
                field_name=FIELD,
                subfilter=fields.SigSeedSubFilter.PADES,
                md_algorithm="sha256",
            ),
            signer,
            timestamper=timestamps.HTTPTimeStamper(service_url) if service_url else None,
            stamp_style=StaticStampStyle.from_pdf_file(
                str(picture), border_width=0, background_layout=SimpleBoxLayoutRule(middle, middle)
            ),
        )
        try:
            pdf_signer.sign_pdf(writer, output=out)
        except timestamps.TimestampRequestError as error:
            raise refusal("time-stamp-failed") from error
    return out.getvalue()
