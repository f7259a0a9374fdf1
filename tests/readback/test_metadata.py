"""Metadata are compared by what they mean, whichever way they are written."""

import io
from typing import Any

import pikepdf
import pytest

from trimscribe.readback.fingerprint import portrait_of
from trimscribe.readback.metadata import metadata_of, plain_date, xmp_of

DC = "{http://purl.org/dc/elements/1.1/}"
XMP = "{http://ns.adobe.com/xap/1.0/}"


def packet(inside: str, attributes: str = "") -> bytes:
    return (
        '<x:xmpmeta xmlns:x="adobe:ns:meta/">'
        '<rdf:RDF xmlns:rdf="http://www.w3.org/1999/02/22-rdf-syntax-ns#">'
        '<rdf:Description rdf:about="" xmlns:dc="http://purl.org/dc/elements/1.1/" '
        f'xmlns:xmp="http://ns.adobe.com/xap/1.0/" {attributes}>{inside}</rdf:Description>'
        "</rdf:RDF></x:xmpmeta>"
    ).encode()


@pytest.mark.parametrize(
    ("inside", "attributes", "found"),
    [
        ("<dc:title> A wing </dc:title>", "", {f"{DC}title": "A wing"}),
        ("", 'dc:title="A wing"', {f"{DC}title": "A wing"}),
        ("<dc:title>A</dc:title><dc:title>B</dc:title>", "", {f"{DC}title": "A, B"}),
        ("<xmp:InstanceID>x</xmp:InstanceID>", 'xmp:DocumentID="y"', {}),
        (
            "<dc:creator><rdf:Seq><rdf:li>A</rdf:li></rdf:Seq></dc:creator>",
            "",
            {f"{DC}creator": "A"},
        ),
        (
            "<dc:creator><rdf:Seq><rdf:li>A</rdf:li><rdf:li>B</rdf:li></rdf:Seq></dc:creator>",
            "",
            {f"{DC}creator": "Seq [A; B]"},
        ),
        (
            '<dc:title><rdf:Alt><rdf:li xml:lang="en">A</rdf:li></rdf:Alt></dc:title>',
            "",
            {f"{DC}title": "A"},
        ),
        (
            "<dc:source><rdf:Description><xmp:Rating>3</xmp:Rating></rdf:Description></dc:source>",
            "",
            {f"{DC}source": f"{{{XMP}Rating: 3}}"},
        ),
        ('<dc:source rdf:resource="urn:x"/>', "", {f"{DC}source": "urn:x"}),
    ],
)
def test_each_property_is_read(inside: str, attributes: str, found: dict[str, str]) -> None:
    assert xmp_of(packet(inside, attributes)) == found


@pytest.mark.parametrize(
    "data",
    [
        b"<x",
        b"<x/>",
        b"<!DOCTYPE x>" + packet(""),
        packet("\0"),
        packet("<dc:title>" + "x" * 500_000 + "</dc:title>"),
    ],
)
def test_what_is_no_packet_is_unreadable(data: bytes) -> None:
    assert xmp_of(data) is None


def test_a_second_set_of_properties_and_one_inside_another_are_not_taken() -> None:
    twice = packet("<dc:title>A</dc:title>")
    both = b"<x>" + twice + twice + b"</x>"

    assert xmp_of(both) == {}


@pytest.mark.parametrize(
    ("written", "meant"),
    [
        ("D:20261016120000Z", "D:20261016120000Z"),
        ("D:20261016120000+00'00'", "D:20261016120000Z"),
        ("D:20261016120000+02'00'", "D:20261016120000+02'00'"),
        ("yesterday", "yesterday"),
    ],
)
def test_a_date_at_utc_is_written_in_one_way(written: str, meant: str) -> None:
    assert plain_date(written) == meant


def saved(xmp: bytes | None, **info: Any) -> bytes:
    pdf = pikepdf.new()
    pdf.add_blank_page()
    pdf.Root.Lang = "en"
    for key, value in info.items():
        pdf.docinfo[f"/{key}"] = value
    if xmp is not None:
        pdf.Root.Metadata = pdf.make_stream(
            xmp, Type=pikepdf.Name.Metadata, Subtype=pikepdf.Name.XML
        )
    out = io.BytesIO()
    pdf.save(out, fix_metadata_version=False)
    return out.getvalue()


@pytest.mark.parametrize(
    ("xmp", "more"),
    [(None, {}), (b"<x", {"XMP": "unreadable"}), (packet("", 'dc:title="A"'), {f"{DC}title": "A"})],
)
def test_both_kinds_are_found(xmp: bytes | None, more: dict[str, str]) -> None:
    with pikepdf.open(io.BytesIO(saved(xmp, Title="A"))) as pdf:
        assert metadata_of(pdf) == {"/Title": "A", "/Lang": "en", **more}


def test_what_a_program_that_saves_writes_of_itself_makes_no_other_digest() -> None:
    def digest(inside: str, producer: str) -> str:
        return portrait_of(saved(packet(inside), Producer=producer)).digest

    one = digest("<dc:title>A</dc:title><xmp:MetadataDate>1</xmp:MetadataDate>", "x")

    assert digest("<dc:title> A</dc:title>\n<xmp:MetadataDate>2</xmp:MetadataDate>", "y") == one
    assert digest("<dc:title>B</dc:title>", "x") != one
