"""PDFs that are small and ask for much: each ends early, with a code."""

import io
import time
import zlib
from collections.abc import Callable
from pathlib import Path

import pikepdf
import pytest

from trimscribe.model.proof import Proof, Standing
from trimscribe.verification import many

pytestmark = pytest.mark.processes


def saved(demo: bytes, change: Callable[[pikepdf.Pdf], None]) -> bytes:
    out = io.BytesIO()
    with pikepdf.open(io.BytesIO(demo)) as pdf:
        change(pdf)
        as_it_is = pikepdf.StreamDecodeLevel.none
        pdf.save(out, fix_metadata_version=False, stream_decode_level=as_it_is)
    return out.getvalue()


def operators(pdf: pikepdf.Pdf) -> None:
    """Fifty million of them, in some hundred kilobytes."""
    packed = zlib.compress(b"0 0 m 9 9 l S\n" * 16_700_000, 9)
    pdf.pages[0].obj.Contents = pdf.make_stream(b"")
    pdf.pages[0].obj.Contents.write(packed, filter=pikepdf.Name.FlateDecode)


def pages(pdf: pikepdf.Pdf) -> None:
    for _ in range(3_000):
        pdf.pages.append(pdf.pages[0])


def objects(pdf: pikepdf.Pdf) -> None:
    many = [pdf.make_indirect(pikepdf.Dictionary(N=n)) for n in range(150_000)]
    pdf.Root.PieceInfo = pdf.make_indirect(pikepdf.Array(many))


def packed_twice(pdf: pikepdf.Pdf) -> None:
    data = zlib.compress(zlib.compress(b"n\n" * 50_000_000, 9), 9)
    pdf.pages[0].obj.Contents = pdf.make_stream(b"")
    filters = pikepdf.Array([pikepdf.Name.FlateDecode] * 2)
    pdf.pages[0].obj.Contents.write(data, filter=filters)


def forms_in_forms(pdf: pikepdf.Pdf) -> None:
    """Ten of ten of ten: ten thousand million rectangles in two kilobytes."""
    inner = pdf.make_stream(b"0 0 1 1 re f\n")
    for _ in range(10):
        outer = pdf.make_stream(b"/F Do\n" * 10)
        for form in (inner,):
            form.Type, form.Subtype = pikepdf.Name.XObject, pikepdf.Name.Form
            form.BBox = pikepdf.Array([0, 0, 600, 800])
        outer.Resources = pikepdf.Dictionary(XObject=pikepdf.Dictionary(F=inner))
        inner = outer
    inner.Type, inner.Subtype = pikepdf.Name.XObject, pikepdf.Name.Form
    inner.BBox = pikepdf.Array([0, 0, 600, 800])
    pdf.pages[0].obj.Resources.XObject = pikepdf.Dictionary(F=inner)
    pdf.pages[0].obj.Contents = pdf.make_stream(b"/F Do\n")


BOMBS = {
    operators: "page-too-large",
    pages: "too-many-pages",
    objects: "pdf-too-large",
    packed_twice: "page-too-large",  # saving has taken one of its two shells away
    forms_in_forms: "too-much",
}


@pytest.mark.parametrize("bomb", BOMBS, ids=lambda bomb: bomb.__name__)
def test_a_bomb_ends_early_with_a_code(
    bomb: Callable[[pikepdf.Pdf], None], demo: bytes, tmp_path: Path
) -> None:
    path = tmp_path / "bomb.pdf"
    path.write_bytes(saved(demo, bomb))
    start = time.process_time()

    ((_, proof),) = many.check_all([path], "", 1)

    assert BOMBS[bomb] in [difference.code for difference in proof.differences], proof
    assert proof.standing in (Standing.UNREADABLE, Standing.UNPROVEN)
    assert time.process_time() - start < 2  # the work is done elsewhere


def stored_otherwise(pdf: pikepdf.Pdf) -> None:
    """The right bytes behind another filter are other pages: here none at all."""
    contents = pdf.pages[0].obj.Contents
    contents.write(contents.read_bytes())
    raw = contents.read_raw_bytes()
    contents.write(raw, filter=pikepdf.Name.ASCIIHexDecode)


def test_the_same_bytes_behind_another_filter_are_not_the_same(
    demo: bytes, prove: Callable[..., Proof]
) -> None:
    proof = prove(saved(demo, stored_otherwise))

    assert proof.standing not in (Standing.IDENTICAL, Standing.SAME_CONTENT)
