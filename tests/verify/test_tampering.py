"""Ways to change a report behind its back: each is found, and told apart from the others."""

import hashlib
import io
import json
from collections.abc import Callable
from decimal import Decimal
from typing import Any

import pikepdf
import pytest

from trimscribe.model.proof import Proof, Standing

Prove = Callable[..., Proof]


def changed(data: bytes, change: Callable[[pikepdf.Pdf], None]) -> bytes:
    """The PDF after a change, saved without touching anything else."""
    out = io.BytesIO()
    with pikepdf.open(io.BytesIO(data)) as pdf:
        change(pdf)
        pdf.save(out, fix_metadata_version=False)
    return out.getvalue()


def rewritten(
    page: pikepdf.Page, change: Callable[[list[pikepdf.ContentStreamInstruction]], None]
) -> None:
    """Give a page a content stream that was changed instruction by instruction."""
    instructions = list(pikepdf.parse_content_stream(page))
    change(instructions)
    page.contents_coalesce()
    page.Contents.write(pikepdf.unparse_content_stream(instructions))


def say_something_else(pdf: pikepdf.Pdf) -> None:
    """Write over a word with the letters of another: each glyph still reads as itself."""

    def swap(found: list[pikepdf.ContentStreamInstruction]) -> None:
        texts = [n for n, i in enumerate(found) if str(i.operator) in ("Tj", "TJ")]
        found[texts[2]] = found[texts[3]]

    rewritten(pdf.pages[1], swap)


def move_a_mark(pdf: pikepdf.Pdf) -> None:
    def shift(found: list[pikepdf.ContentStreamInstruction]) -> None:
        curves = [n for n, i in enumerate(found) if str(i.operator) == "c"]
        for n in curves[:4]:
            moved = [value + Decimal(6) for value in found[n].operands]
            found[n] = pikepdf.ContentStreamInstruction(moved, pikepdf.Operator("c"))

    rewritten(pdf.pages[0], shift)


def attach(pdf: pikepdf.Pdf, name: str, data: bytes) -> None:
    """Put other bytes in the place of an attached file, saying nothing of it anywhere."""
    pdf.attachments[name].get_file().obj.write(data)


def attached(pdf: pikepdf.Pdf, name: str) -> bytes:
    return bytes(pdf.attachments[name].get_file().read_bytes())


def another_job(pdf: pikepdf.Pdf) -> None:
    attach(pdf, "demo.yaml", attached(pdf, "demo.yaml").replace(b"7334, 7333", b"7338, 7333"))


def with_its_hash(pdf: pikepdf.Pdf, name: str) -> None:
    """Make the manifest vouch for what is attached now."""
    manifest = attached(pdf, "manifest.json")
    plain = json.loads(manifest)
    old = next(file for file in plain["files"] if file["name"] == name)
    data = attached(pdf, name)
    manifest = manifest.replace(old["sha256"].encode(), hashlib.sha256(data).hexdigest().encode())
    attach(
        pdf,
        "manifest.json",
        manifest.replace(b'"size": %d' % old["size"], b'"size": %d' % len(data)),
    )


def another_job_and_hash(pdf: pikepdf.Pdf) -> None:
    another_job(pdf)
    with_its_hash(pdf, "demo.yaml")


def better_findings_and_hash(pdf: pikepdf.Pdf) -> None:
    attach(pdf, "findings.json", attached(pdf, "findings.json").replace(b'"fail"', b'"pass"'))
    with_its_hash(pdf, "findings.json")


def a_file_less(pdf: pikepdf.Pdf) -> None:
    del pdf.attachments["demo-before.csv"]


def a_file_more(pdf: pikepdf.Pdf) -> None:
    pdf.attachments["offer.txt"] = pikepdf.AttachedFileSpec(pdf, b"Buy a new wing.")


def another_manifest(pdf: pikepdf.Pdf) -> None:
    attach(
        pdf, "manifest.json", attached(pdf, "manifest.json").replace(b'"MD-00731"', b'"MD-00732"')
    )


def another_title(pdf: pikepdf.Pdf) -> None:
    pdf.docinfo["/Title"] = "Service QH-2026-042"


def another_title_in_xmp(pdf: pikepdf.Pdf) -> None:
    pdf.Root.Metadata.write(pdf.Root.Metadata.read_bytes().replace(b"QH-2026-041", b"QH-2026-042"))


def a_page_less(pdf: pikepdf.Pdf) -> None:
    del pdf.pages[2]


def a_page_more(pdf: pikepdf.Pdf) -> None:
    pdf.add_blank_page(page_size=(595, 842))


def pages_in_another_order(pdf: pikepdf.Pdf) -> None:
    pdf.pages.append(pdf.pages[1])
    del pdf.pages[1]


def a_note_over_a_page(pdf: pikepdf.Pdf) -> None:
    note = pikepdf.Dictionary(
        Type=pikepdf.Name.Annot,
        Subtype=pikepdf.Name.FreeText,
        Rect=[80, 700, 300, 760],
        Contents="All lines within limits",
        DA="/Helv 12 Tf",
    )
    pdf.pages[0].obj.Annots = pdf.make_indirect(pikepdf.Array([pdf.make_indirect(note)]))


def a_script(pdf: pikepdf.Pdf) -> None:
    pdf.Root.OpenAction = pikepdf.Dictionary(S=pikepdf.Name.JavaScript, JS="app.alert(1)")


def another_description(pdf: pikepdf.Pdf) -> None:
    figure = next(o for o in pdf.objects if isinstance(o, pikepdf.Dictionary) and "/Alt" in o)
    figure.Alt = "The wing stands as it should."


def another_colour(pdf: pikepdf.Pdf) -> None:
    """What is outside tolerance, in the colour of what is within."""

    def paint(found: list[pikepdf.ContentStreamInstruction]) -> None:
        colours = [n for n, i in enumerate(found) if str(i.operator) == "scn"]
        for n in colours[5:]:
            green = [Decimal("0.08"), Decimal("0.32"), Decimal("0.23")]
            found[n] = pikepdf.ContentStreamInstruction(green, pikepdf.Operator("scn"))

    rewritten(pdf.pages[0], paint)


def a_hidden_key(pdf: pikepdf.Pdf) -> None:
    pdf.Root.PieceInfo = pikepdf.Dictionary(Note="a message for nobody")


TAMPERINGS = {
    say_something_else: {"text-altered"},
    move_a_mark: {"drawing-altered"},
    another_colour: {"drawing-altered"},
    another_job: {
        "description-altered",
        "attachment-altered",
        "findings-altered",
        "manifest-altered",
        "text-altered",
        "drawing-altered",
    },
    another_job_and_hash: {
        "description-altered",
        "findings-altered",
        "manifest-altered",
        "text-altered",
        "drawing-altered",
    },
    better_findings_and_hash: {"findings-altered", "manifest-altered"},
    another_manifest: {"manifest-altered"},
    a_file_less: {"attachment-missing", "cannot-render"},
    a_file_more: {"attachment-added"},
    another_title: {"metadata-altered"},
    another_title_in_xmp: {"metadata-altered"},
    a_page_less: {"page-missing"},
    a_page_more: {"page-added"},
    pages_in_another_order: {"pages-reordered"},
    a_note_over_a_page: {"laid-over"},
    a_script: {"action-added"},
    another_description: {"description-altered"},
    a_hidden_key: {"inside-altered"},
}


QUICK = (another_manifest, a_file_more, a_page_less, a_hidden_key)


@pytest.mark.parametrize(
    "tamper",
    [pytest.param(one, marks=pytest.mark.quick) if one in QUICK else one for one in TAMPERINGS],
    ids=lambda tamper: tamper.__name__,
)
def test_a_change_is_found_and_named(
    tamper: Callable[[pikepdf.Pdf], None], demo: bytes, prove: Prove
) -> None:
    proof = prove(changed(demo, tamper))

    assert proof.standing is Standing.ALTERED
    assert {d.code for d in proof.differences} == TAMPERINGS[tamper]
    assert all(d.message.endswith(".") for d in proof.differences)


@pytest.mark.quick
def test_a_changed_word_is_reported_with_its_page_and_what_belongs_there(
    demo: bytes, prove: Prove
) -> None:
    (difference,) = prove(changed(demo, say_something_else)).differences

    assert difference.message.startswith("Page 2 says “")
    assert "where the attached job gives “" in difference.message


@pytest.mark.quick
def test_a_report_as_it_was_made_is_identical(demo: bytes, prove: Prove) -> None:
    proof = prove(demo)

    assert (proof.standing, proof.differences, proof.versions) == (Standing.IDENTICAL, (), ())
    assert (proof.service, proof.sha256) == ("QH-2026-041", hashlib.sha256(demo).hexdigest())


@pytest.mark.parametrize(
    "options",
    [
        {"linearize": True},
        {"object_stream_mode": pikepdf.ObjectStreamMode.generate, "recompress_flate": True},
        {"compress_streams": False, "stream_decode_level": pikepdf.StreamDecodeLevel.generalized},
    ],
    ids=["linearized", "packed", "unpacked"],
)
def test_a_report_that_was_only_saved_anew_has_the_same_content(
    demo: bytes, prove: Prove, options: dict[str, Any]
) -> None:
    out = io.BytesIO()
    with pikepdf.open(io.BytesIO(demo)) as pdf:
        pdf.save(out, fix_metadata_version=False, **options)

    assert out.getvalue() != demo
    assert prove(out.getvalue()).standing is Standing.SAME_CONTENT


def other_white_space(pdf: pikepdf.Pdf) -> None:
    """As pikepdf writes metadata that nobody has changed."""
    with pdf.open_metadata(set_pikepdf_as_editor=False) as data:
        data["dc:title"] = data["dc:title"]


def the_savers_own_name(pdf: pikepdf.Pdf) -> None:
    with pdf.open_metadata() as data:
        data["dc:title"] = data["dc:title"]


def nothing(_: pikepdf.Pdf) -> None:
    pass


@pytest.mark.parametrize("touch", [nothing, other_white_space, the_savers_own_name])
def test_metadata_are_compared_by_what_they_mean(
    touch: Callable[[pikepdf.Pdf], None], demo: bytes, prove: Prove
) -> None:
    out = io.BytesIO()
    with pikepdf.open(io.BytesIO(demo)) as pdf:
        touch(pdf)
        pdf.save(out)  # with the library's own ways

    proof = prove(out.getvalue())

    assert (proof.standing, proof.differences) == (Standing.SAME_CONTENT, ())


def painted_over(pdf: pikepdf.Pdf) -> None:
    """White over all of page one, and a word of cheer."""
    page = pdf.pages[0]
    page.contents_coalesce()
    white = b"\nq 1 1 1 rg 0 0 600 850 re f Q\n"
    page.Contents.write(page.Contents.read_bytes() + white)


def claims_another_library(pdf: pikepdf.Pdf) -> None:
    """Only in the manifest: the record prints what it printed."""
    manifest = attached(pdf, "manifest.json")
    plain = json.loads(manifest)
    plain["versions"]["pillow"] = "1.0"
    attach(pdf, "manifest.json", json.dumps(plain).encode())


@pytest.mark.parametrize("claim", [nothing, claims_another_library])
def test_a_page_painted_over_is_never_called_the_same_whatever_the_manifest_claims(
    claim: Callable[[pikepdf.Pdf], None], demo: bytes, prove: Prove
) -> None:
    def both(pdf: pikepdf.Pdf) -> None:
        painted_over(pdf)
        claim(pdf)

    proof = prove(changed(demo, both))

    assert proof.standing is (Standing.ALTERED if claim is nothing else Standing.UNPROVEN)
    assert "drawing-altered" in {d.code for d in proof.differences}


@pytest.mark.quick
def test_a_claim_of_other_versions_alone_is_not_proven(demo: bytes, prove: Prove) -> None:
    assert prove(changed(demo, claims_another_library)).standing is Standing.UNPROVEN


@pytest.mark.parametrize("more", [b"\n", b"x" * 5000, b"%%EOF\n/ByteRange [0 1 2 3]\n"])
def test_bytes_behind_a_report_leave_it_the_same_only_in_content(
    more: bytes, demo: bytes, prove: Prove
) -> None:
    proof = prove(demo + more)

    assert (proof.standing, proof.differences) == (Standing.SAME_CONTENT, ())


def test_what_was_appended_to_a_report_is_seen(demo: bytes, prove: Prove) -> None:
    """An incremental update leaves every byte of the original, and shows other pages."""
    out = io.BytesIO()
    with pikepdf.open(io.BytesIO(demo)) as pdf:
        page = pdf.pages[0].objgen
        start = int(demo.rsplit(b"startxref", 1)[1].split()[0])
        size, root = int(pdf.trailer.Size), pdf.trailer.Root.objgen
    out.write(demo)
    place = out.tell()
    out.write(b"%d %d obj\n<</Type/Page/MediaBox[0 0 595 842]/Parent 1 0 R>>\nendobj\n" % page)
    table = out.tell()
    out.write(b"xref\n%d 1\n%010d 00000 n \n" % (page[0], place))
    out.write(b"trailer\n<</Size %d/Root %d %d R/Prev %d>>\n" % (size, *root, start))
    out.write(b"startxref\n%d\n%%%%EOF\n" % table)

    proof = prove(out.getvalue())

    assert proof.standing is Standing.ALTERED
    assert "text-altered" in {d.code for d in proof.differences}
