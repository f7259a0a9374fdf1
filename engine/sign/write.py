"""Room for a signature (PAdES), appended to the report, with a visible and tagged field."""

import asyncio
import io
import tempfile
from pathlib import Path
from typing import Any

from trimscribe.readback.contents import unreadable
from trimscribe.sign.room import HASH, EmptySignature

FIELD = "Signature"
_ABOVE_PT = 8.0  # from the edge of page one down to the line
_MARGIN_PT = 56.7  # 20 mm at either side


def line_box(sheet: tuple[float, ...], height_pt: float) -> tuple[float, ...]:
    """The corners of the visible line on a sheet of these corners, in points."""
    left, _, right, top = sheet
    upper = top - _ABOVE_PT
    return left + _MARGIN_PT, upper - height_pt, right - _MARGIN_PT, upper


def append_room(
    report: bytes,
    stamp: bytes,
    words: str,
    place: tuple[float, ...],
    certificate: bytes,
    reserved: int,
) -> EmptySignature:
    """Return the report with room for a signature behind it: `reserved` characters.

    `stamp` is a PDF of one page, `words` the same for screen readers, `place` their corners on
    page one, `certificate` that of who will sign (DER).
    """
    from pyhanko.keys import load_certs_from_pemder_data
    from pyhanko.pdf_utils.incremental_writer import IncrementalPdfFileWriter
    from pyhanko.pdf_utils.layout import AxisAlignment, SimpleBoxLayoutRule
    from pyhanko.sign import fields, signers
    from pyhanko.stamp import StaticStampStyle

    middle = AxisAlignment.ALIGN_MID
    x1, y1, x2, y2 = map(round, place)
    # Typst ends a file without a line break, and an object must start on a line of its own.
    writer = IncrementalPdfFileWriter(io.BytesIO(report + b"\n"))
    spec = fields.SigFieldSpec(FIELD, on_page=0, box=(x1, y1, x2, y2), readable_field_name=words)
    fields.append_signature_field(writer, spec)
    tag_field(writer, words)
    out = io.BytesIO()
    with tempfile.TemporaryDirectory(prefix="trimscribe-") as folder:
        picture = Path(folder) / "stamp.pdf"
        picture.write_bytes(stamp)
        (who,) = load_certs_from_pemder_data(certificate)
        pdf_signer = signers.PdfSigner(
            signers.PdfSignatureMetadata(
                field_name=FIELD, subfilter=fields.SigSeedSubFilter.PADES, md_algorithm=HASH
            ),
            signers.ExternalSigner(who, cert_registry=None, signature_value=b""),
            stamp_style=StaticStampStyle.from_pdf_file(
                str(picture), border_width=0, background_layout=SimpleBoxLayoutRule(middle, middle)
            ),
        )
        found, _, _ = asyncio.run(
            pdf_signer.async_digest_doc_for_signing(writer, bytes_reserved=reserved, output=out)
        )
    return EmptySignature(out.getvalue(), found.reserved_region_start, found.reserved_region_end)


def tag_field(writer: Any, words: str) -> None:
    """Put the one form field of a tagged document behind the last element of its structure."""
    from pyhanko.pdf_utils import generic as objects

    generic: Any = objects  # published without types
    name, number = generic.NameObject, generic.NumberObject
    root = writer.root
    if "/StructTreeRoot" not in root:
        raise unreadable("not-a-pdf")
    tree = root["/StructTreeRoot"]
    field = root["/AcroForm"]["/Fields"].raw_get(0)
    page = writer.find_page_for_modification(0)[0]
    whole = _first(tree, generic.ArrayObject)
    element = writer.add_object(
        generic.DictionaryObject(
            {
                name("/Type"): name("/StructElem"),
                name("/S"): name("/Form"),
                name("/P"): whole,
                name("/Pg"): page,
                name("/Alt"): generic.TextStringObject(words),
                name("/K"): generic.DictionaryObject(
                    {name("/Type"): name("/OBJR"), name("/Obj"): field, name("/Pg"): page}
                ),
            }
        )
    )
    document = whole.get_object()
    document["/K"].append(element)
    key = int(tree["/ParentTreeNextKey"])
    numbers = tree["/ParentTree"]["/Nums"]
    numbers.append(number(key))
    numbers.append(element)
    tree[name("/ParentTreeNextKey")] = number(key + 1)
    widget, sheet = field.get_object(), page.get_object()
    widget[name("/StructParent")] = number(key)
    sheet[name("/Tabs")] = name("/S")
    for changed in (document["/K"], document, numbers, tree, widget, sheet):
        writer.update_container(changed)


def _first(tree: Any, array: Any) -> Any:
    """The reference to the element that holds the whole document."""
    kids = tree.raw_get("/K")
    return kids.raw_get(0) if isinstance(kids, array) else kids
