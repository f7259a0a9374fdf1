"""Room for a signature (PAdES) behind a report, with a visible and tagged line on page one.

It is what a worker does of a signature: all that reads and writes the PDF, and nothing with a key.
"""

import asyncio
import datetime as dt
import io
import json
import tempfile
from pathlib import Path
from typing import Any

from trimscribe.compose.literal import literal
from trimscribe.compose.themes import resolve
from trimscribe.formats import formats_for
from trimscribe.model.manifest import Role
from trimscribe.model.statements import fill
from trimscribe.model.workshop import Workshop
from trimscribe.narrate.catalogue import load_labels
from trimscribe.narrate.written import Faults
from trimscribe.readback.contents import Contents, read_back, unreadable
from trimscribe.readback.fingerprint import portrait_of
from trimscribe.registry import Registry, installed
from trimscribe.sign.codes import refusal
from trimscribe.sign.report import HASH, SignRequest, SignRoom
from trimscribe.typeset.compiler import compile_pdf

_FIELD = "Signature"
_ABOVE_PT = 8.0  # from the edge of page one down to the line
_MARGIN_PT = 56.7  # 20 mm at either side
_HEIGHT_PT = 12.0
_SIZE_PT = 7.0
_SOURCE = """\
#set document(title: {line})
#set page(width: {width} * 1pt, height: {height}pt, margin: 0pt, fill: none)
#set text(font: {font}, size: {size}pt, fill: rgb({colour}), lang: {language})
#align(right + horizon, {line})
"""

_Box = tuple[float, ...]  # corners in points


def prepared(asked: SignRequest) -> SignRoom:
    """Put the visible line and an empty signature behind a report.

    Raises SignError, ReadbackError, ThemeError or TypesetError.
    """
    contents = read_back(asked.report)
    seen = portrait_of(asked.report)
    if seen.signed:
        raise refusal("already-signed")
    line = _words(contents, installed(), asked.holder, asked.day)
    look, place = asked.theme or contents.manifest.theme, _line_box(seen.boxes[0])
    stamp = _stamp(contents, installed(), line, place[2] - place[0], asked.day, look)
    data, start, end = _appended(asked, stamp, line, place)
    return SignRoom(data, start, end, len(seen.boxes))


def _words(contents: Contents, registry: Registry, name: str, day: dt.date) -> str:
    """Such as: Signed electronically by Quarry Hill Canopy Works, 16 October 2026."""
    language = registry.get("languages", contents.manifest.about.language)
    date = formats_for(language.locale).date(day)
    faults = Faults()
    labels = load_labels(language.folder / "labels.yaml", faults)
    faults.stop()
    return fill(labels["signed_electronically"], {"name": name, "date": date})


def _line_box(sheet: _Box) -> _Box:
    """The corners of the visible line on a sheet of these corners."""
    left, _, right, top = sheet
    upper = top - _ABOVE_PT
    return left + _MARGIN_PT, upper - _HEIGHT_PT, right - _MARGIN_PT, upper


def _stamp(
    contents: Contents, registry: Registry, line: str, width_pt: float, day: dt.date, theme: str
) -> bytes:
    """A PDF of one page with the line at its right edge; raises ThemeError or TypesetError."""
    tokens = _tokens(contents)
    look = resolve(theme, Workshop(""), registry)
    written = {
        "width": width_pt,
        "font": look.tokens["font"],
        "colour": tokens.get("quiet", look.tokens["quiet"]),
        "language": contents.manifest.about.language,
        "line": line,
    }
    values = {name: literal(value) for name, value in written.items()}
    source = _SOURCE.format(**values, height=_HEIGHT_PT, size=_SIZE_PT)
    midnight = dt.datetime.combine(day, dt.time(), dt.UTC)
    data, _ = compile_pdf({"main.typ": source.encode()}, look.fonts, int(midnight.timestamp()))
    return data


def _tokens(contents: Contents) -> dict[str, Any]:
    """The colours that the report was made with."""
    try:
        found = json.loads(contents.data(Role.THEME) or b"{}")["tokens"]
    except (ValueError, KeyError, TypeError):
        return {}
    return found if isinstance(found, dict) else {}


def _appended(asked: SignRequest, stamp: bytes, words: str, place: _Box) -> tuple[bytes, int, int]:
    """The report with the empty signature behind it, and where its brackets are.

    `stamp` is a PDF of one page, `words` the same for screen readers, `place` where page one has
    it.
    """
    from pyhanko.keys import load_certs_from_pemder_data
    from pyhanko.pdf_utils.incremental_writer import IncrementalPdfFileWriter
    from pyhanko.pdf_utils.layout import AxisAlignment, SimpleBoxLayoutRule
    from pyhanko.sign import fields, signers
    from pyhanko.stamp import StaticStampStyle

    middle = AxisAlignment.ALIGN_MID
    x1, y1, x2, y2 = map(round, place)
    # Typst ends a file without a line break, and an object must start on a line of its own.
    writer = IncrementalPdfFileWriter(io.BytesIO(asked.report + b"\n"))
    spec = fields.SigFieldSpec(_FIELD, on_page=0, box=(x1, y1, x2, y2), readable_field_name=words)
    fields.append_signature_field(writer, spec)
    _tag_field(writer, words)
    out = io.BytesIO()
    with tempfile.TemporaryDirectory(prefix="trimscribe-") as folder:
        picture = Path(folder) / "stamp.pdf"
        picture.write_bytes(stamp)
        (who,) = load_certs_from_pemder_data(asked.certificate)
        pdf_signer = signers.PdfSigner(
            signers.PdfSignatureMetadata(
                field_name=_FIELD, subfilter=fields.SigSeedSubFilter.PADES, md_algorithm=HASH
            ),
            signers.ExternalSigner(who, cert_registry=None, signature_value=b""),
            stamp_style=StaticStampStyle.from_pdf_file(
                str(picture), border_width=0, background_layout=SimpleBoxLayoutRule(middle, middle)
            ),
        )
        found, _, _ = asyncio.run(
            pdf_signer.async_digest_doc_for_signing(
                writer, bytes_reserved=asked.reserved, output=out
            )
        )
    return out.getvalue(), found.reserved_region_start, found.reserved_region_end


def _tag_field(writer: Any, words: str) -> None:
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
