"""What two PDFs are compared by, of small ones made by hand."""

import io
from collections.abc import Callable
from typing import Any

import pikepdf
import pytest

from trimscribe.errors import ReadbackError
from trimscribe.readback.fingerprint import portrait_of

Change = Callable[[pikepdf.Pdf], None]


def pdf_of(*changes: Change, pages: int = 1, **saved: Any) -> bytes:
    pdf = pikepdf.new()
    for _ in range(pages):
        pdf.add_blank_page(page_size=(600, 800))
    for change in changes:
        change(pdf)
    out = io.BytesIO()
    pdf.save(out, **saved)
    return out.getvalue()


def drawn(text: bytes) -> Change:
    def change(pdf: pikepdf.Pdf) -> None:
        pdf.pages[0].Contents = pdf.make_stream(text)

    return change


def root(**entries: Any) -> Change:
    def change(pdf: pikepdf.Pdf) -> None:
        for key, value in entries.items():
            pdf.Root[f"/{key}"] = value

    return change


def note(**entries: Any) -> Change:
    """Something that lies over page one."""

    def change(pdf: pikepdf.Pdf) -> None:
        made = pikepdf.Dictionary({f"/{key}": value for key, value in entries.items()})
        whole = pikepdf.Array([pdf.make_indirect(made)])
        pdf.pages[0].obj["/Annots"] = whole
        if made.Subtype == pikepdf.Name.Widget:
            pdf.Root.AcroForm = pikepdf.Dictionary(Fields=whole)

    return change


def refused(data: bytes) -> str:
    with pytest.raises(ReadbackError) as caught:
        portrait_of(data)
    (fault,) = caught.value.faults
    return fault.code


def test_only_what_is_said_makes_another_digest() -> None:
    plain = portrait_of(pdf_of(drawn(b"q Q"), root(Lang="en"))).digest
    packed = pikepdf.ObjectStreamMode.generate

    assert portrait_of(pdf_of(drawn(b"q Q"), root(Lang="en"), linearize=True)).digest == plain
    again = pdf_of(drawn(b"q Q"), root(Lang="en"), object_stream_mode=packed, compress_streams=True)
    assert portrait_of(again).digest == plain
    for other in (
        (drawn(b"q  Q"), root(Lang="en")),
        (drawn(b"q Q"), root(Lang="cy")),
        (drawn(b"q Q"), root(Lang=pikepdf.Name("/en"))),
        (drawn(b"q Q"), root(Lang="en", More=1)),
        (drawn(b"q Q"), root(Lang="en", More=2)),
        (drawn(b"q Q"), root(Lang="en", More=pikepdf.Array([1, 2]))),
    ):
        found = portrait_of(pdf_of(*other)).digest
        assert found != plain
        plain = found


def test_descriptions_are_those_of_drawings_and_not_of_the_form_field() -> None:
    def described(kind: str) -> Change:
        return root(Tree=pikepdf.Dictionary(S=pikepdf.Name(kind), Alt="A wing"))

    assert portrait_of(pdf_of(described("/Figure"))).described == ("A wing",)
    assert portrait_of(pdf_of(described("/Form"))).described == ()


def test_what_a_file_would_do_by_itself_is_seen() -> None:
    act = pikepdf.Dictionary(S=pikepdf.Name.JavaScript, JS="x")

    assert portrait_of(pdf_of(root(OpenAction=act))).actions == ("/JS", "/OpenAction")
    assert portrait_of(pdf_of()).actions == ()


@pytest.mark.parametrize(
    ("stretches", "end"), [([0, 10, 20, 30], 50), ([5, 10, 20, 30], 0), ([0, 10], 0)]
)
def test_a_signature_is_seen_with_where_its_bytes_end(stretches: list[int], end: int) -> None:
    found = portrait_of(pdf_of(root(V=pikepdf.Dictionary(ByteRange=pikepdf.Array(stretches)))))

    assert (found.signed, found.signed_to) == (True, end)
    assert not portrait_of(pdf_of()).signed


@pytest.mark.parametrize(
    ("kind", "field", "place", "seen"),
    [
        ("Text", "", (10, 10, 50, 50), ("/Text",)),
        ("Widget", "Sig", (10, 780, 50, 795), ()),  # in the upper margin
        ("Widget", "Sig", (10, 400, 50, 415), ("/Widget/Sig",)),
        ("Widget", "Sig", (10, 400, 10, 415), ()),  # without width
        ("Widget", "Sig", (10, 400, 50, 400), ()),  # without height
        ("Widget", "Sig", (), ()),
        ("Widget", "Tx", (10, 780, 50, 795), ("/Widget/Tx",)),
    ],
)
def test_what_lies_over_a_page_is_seen_but_for_a_signature_out_of_the_way(
    kind: str, field: str, place: tuple[int, ...], seen: tuple[str, ...]
) -> None:
    entries = {"Subtype": pikepdf.Name(f"/{kind}"), "Rect": pikepdf.Array(place)}
    if field:
        entries["FT"] = pikepdf.Name(f"/{field}")

    assert portrait_of(pdf_of(note(**entries))).laid_over == (seen,)


def test_pages_have_their_sizes_and_more_than_any_report_has_are_refused() -> None:
    assert portrait_of(pdf_of(pages=2)).boxes == ((0, 0, 600, 800),) * 2
    assert len(portrait_of(pdf_of(pages=300)).boxes) == 300
    assert refused(pdf_of(pages=301)) == "too-many-pages"


def test_a_page_that_unpacks_to_more_than_any_report_has_is_refused() -> None:
    assert refused(pdf_of(drawn(b" " * 8_000_001), compress_streams=True)) == "page-too-large"
    assert portrait_of(pdf_of(drawn(b" " * 7_999_999), compress_streams=True)).digest


def test_a_page_that_is_stored_as_reports_never_are_is_refused() -> None:
    def encoded(pdf: pikepdf.Pdf) -> None:
        stream = pdf.make_stream(b"71205120>")
        stream["/Filter"] = pikepdf.Name.ASCIIHexDecode
        pdf.pages[0].Contents = stream

    as_it_is = pikepdf.StreamDecodeLevel.none
    data = pdf_of(encoded, compress_streams=False, stream_decode_level=as_it_is)
    assert refused(data) == "page-encoded"
