"""From document to PDF: complete, archival, and faults that name the theme's own lines."""

import io
from dataclasses import replace
from pathlib import Path
from threading import Thread

import pikepdf
import pytest
from paper import document

from trimscribe.errors import Mark, Severity, TypesetError
from trimscribe.model.document import PART_HEAD, Attachment
from trimscribe.typeset.pdf import output
from trimscribe.typeset.text import pdf_pages

pytestmark = pytest.mark.quick


def test_what_the_document_says_can_be_read_back() -> None:
    report = output.make(document("Check the #strong[brakes].", "Check the brakes."))

    assert report.data.startswith(b"%PDF-1.7")
    assert (report.pages, report.suffix, report.media_type) == (1, ".pdf", "application/pdf")
    assert report.warnings == ()


def test_a_report_that_leaves_a_required_text_out_is_refused() -> None:
    with pytest.raises(TypesetError) as raised:
        output.make(document("All is well.", "Check the brakes.", "Ground first.", "All is well."))

    assert [f.code for f in raised.value.faults] == ["required-text-missing"] * 2
    assert "Check the brakes." in raised.value.faults[0].message


# Ways to hide a caution from the reader while the source still holds it.
@pytest.mark.parametrize(
    "body",
    [
        "#hide[Check the brakes.]",
        "// Check the brakes.",
        "#let x = [Check the brakes.]",
        '#metadata("Check the brakes.")',
    ],
)
def test_a_text_that_nobody_can_see_counts_as_missing(body: str) -> None:
    with pytest.raises(TypesetError):
        output.make(document(body, "Check the brakes."))


def test_a_fault_in_a_section_of_one_line_has_its_place() -> None:
    made = f"{PART_HEAD}#unknown-thing]\n".encode()
    doc = replace(
        document('#import "page.typ": part\n#part(0)', page_typ=made),
        origins={"page.typ": Mark("tools/page.typ.j2", source="#unknown-thing")},
    )
    with pytest.raises(TypesetError) as raised:
        output.make(doc)

    (fault,) = raised.value.faults
    assert fault.mark == Mark("tools/page.typ.j2", 1, 2, source="#unknown-thing")


def test_a_fault_in_a_line_that_was_filled_in_is_reported_at_that_line() -> None:
    template = "first\n#unknown-thing(<< name >>, << 3 >>)\nlast << name >>\n"
    doc = replace(
        document('#include "page.typ"', page_typ=b'first\n#unknown-thing("a", 3)\nlast "a"\n'),
        origins={"page.typ": Mark("tools/page.typ.j2", source=template)},
    )
    with pytest.raises(TypesetError) as raised:
        output.make(doc)

    (fault,) = raised.value.faults
    assert fault.mark is not None
    assert (fault.mark.line, fault.mark.source) == (2, template.splitlines()[1])


def test_a_fault_in_a_template_is_reported_at_its_own_line() -> None:
    template = "first << x >>\n#let broken = (1 +\n"
    doc = replace(
        document('#include "page.typ"', page_typ=b'first "x"\n#let broken = (1 +\n'),
        origins={"page.typ": Mark("brands/mine/templates/page.typ.j2", source=template)},
    )
    with pytest.raises(TypesetError) as raised:
        output.make(doc)

    (fault,) = raised.value.faults
    assert fault.code == "does-not-set"
    assert fault.mark is not None
    assert fault.mark.file == "brands/mine/templates/page.typ.j2"
    assert fault.mark.line == 2


def test_a_fault_in_a_piece_of_the_kit_is_reported_where_a_section_asked_for_it() -> None:
    kit = "#let listing(head) = head.map(strong)\n"
    page = '#import "kit.typ": *\n#listing("Row")\n'
    doc = replace(
        document('#include "page.typ"', page_typ=page.encode(), kit_typ=kit.encode()),
        origins={
            "kit.typ": Mark("base/templates/kit.typ.j2", source=kit),
            "page.typ": Mark("tools/page.typ.j2", source=page),
        },
    )
    with pytest.raises(TypesetError) as raised:
        output.make(doc)

    (fault,) = raised.value.faults
    assert str(fault.mark) == "tools/page.typ.j2:2:2"
    assert fault.message.endswith(", within base/templates/kit.typ.j2:1:22")


@pytest.mark.parametrize(
    "body",
    [
        '#read("/etc/hostname")',
        '#read("../../../../etc/hostname")',
        '#image("/etc/x.png", alt: "x")',
        '#import "@preview/cetz:0.3.4"',
        "#image(bytes(\"<svg xmlns='http://www.w3.org/2000/svg' viewBox='0 0 9 9'>"
        "<image href='file:///etc/x.png' width='9' height='9'/></svg>\"), alt: \"x\")",
    ],
)
def test_nothing_outside_the_document_can_be_read(body: str) -> None:
    with pytest.raises(TypesetError) as raised:
        output.make(document(body))

    reported = raised.value.faults[0].message
    assert str(Path.home()) not in reported
    assert "/tmp" not in reported


def test_a_font_that_is_not_there_is_a_warning_and_not_silence() -> None:
    report = output.make(document('#text(font: "Nowhere Sans")[words]'))

    (warning,) = report.warnings
    assert warning.severity is Severity.WARNING
    assert "nowhere sans" in warning.message.lower()


def test_the_same_document_gives_the_same_bytes_in_any_thread() -> None:
    doc = document("Same #text(fill: red)[words].")
    made = [output.make(doc).data]
    thread = Thread(target=lambda: made.append(output.make(doc).data))
    thread.start()
    thread.join()
    output.make(document("Another one in between."))

    assert output.make(doc).data == made[0] == made[1]


def test_nothing_of_one_report_shows_in_the_next() -> None:
    output.make(document('#include "page.typ"', page_typ=b"secret"))

    with pytest.raises(TypesetError):
        output.make(document('#include "page.typ"'))


def test_an_attachment_travels_unchanged() -> None:
    data = bytes(range(256)) * 40
    doc = replace(
        document(
            '#pdf.attach("a.bin", read("/attached/0", encoding: none), '
            'relationship: "source", mime-type: "a/b", description: "words")\nx'
        ),
        attachments=(Attachment("a.bin", data, "a/b", "words", "source"),),
    )
    with pikepdf.open(io.BytesIO(output.make(doc).data)) as pdf:
        assert pdf.attachments["a.bin"].get_file().read_bytes() == data


def test_pages_are_read_in_order() -> None:
    report = output.make(document("one\n#pagebreak()\ntwo"))

    assert [text.strip() for text in pdf_pages(report.data)] == ["one", "two"]
