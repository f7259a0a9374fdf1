"""A picture shows itself and nothing else: it runs nothing, loads nothing, and stays small."""

import io
import struct
import zlib

import pytest
from PIL import Image

from trimscribe.errors import Mark
from trimscribe.resources.pictures import picture_fault

MARK = Mark("shop.yaml", 3, 7)
SVG = (
    '<svg xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink" {}>{}</svg>'
)


def chunk(name: bytes, data: bytes) -> bytes:
    return struct.pack(">I", len(data)) + name + data + struct.pack(">I", zlib.crc32(name + data))


def png(width: int, height: int, rows: bytes | None = None, **head: int) -> bytes:
    """A grey PNG; `rows` are its pixels where they are not those of its size."""
    kind = (head.get("depth", 8), head.get("colour", 0), 0, 0, head.get("interlaced", 0))
    header = struct.pack(">IIBBBBB", width, height, *kind)
    rows = bytes((width + 1) * min(height, 1000)) if rows is None else rows
    parts = chunk(b"IHDR", header) + chunk(b"IDAT", zlib.compress(rows))
    return b"\x89PNG\r\n\x1a\n" + parts + chunk(b"IEND", b"")


def code(content: str, attributes: str = "") -> str:
    fault = picture_fault(SVG.format(attributes, content).encode(), "logo.svg", MARK)
    return fault.code if fault else ""


def test_a_drawing_with_gradients_and_repeats_is_let_through() -> None:
    assert (
        code(
            '<defs><linearGradient id="g"><stop offset="0"/></linearGradient><g id="w"/></defs>'
            '<path fill="url(#g)" style="stroke:url(#g)" d="M0 0h9"/><use xlink:href="#w"/>'
        )
        == ""
    )


@pytest.mark.parametrize(
    "content",
    [
        '<image href="file:///etc/hostname"/>',
        '<image xlink:href="logo.png"/>',
        '<image href="data:image/png;base64,AA=="/>',
        '<use href="other.svg#a"/>',
        '<use xlink:href="https://example.org/a.svg#a"/>',
        "<script>alert(1)</script>",
        '<rect onload="x()"/>',
        '<a href="javascript:x()"><rect/></a>',
        '<foreignObject><p xmlns="http://www.w3.org/1999/xhtml"/></foreignObject>',
        '<style>@import "https://example.org/x.css";</style>',
        "<style>rect { fill: url(https://example.org/x.svg#a) }</style>",
        "<rect fill=\"url( 'other.svg#a')\"/>",
        '<filter id="f"><feImage href="x.png"/></filter>',
        '<defs><g id="a"><rect/></g><g id="b"><use href="#a"/></g></defs><use href="#b"/>',
    ],
)
def test_what_runs_loads_or_multiplies_is_refused(content: str) -> None:
    assert code(content) == "picture-not-closed"


def test_a_document_type_is_refused_before_anything_is_parsed() -> None:
    bomb = '<!DOCTYPE svg [<!ENTITY a "aaaa"><!ENTITY b "&a;&a;">]>' + SVG.format("", "&b;")

    fault = picture_fault(bomb.encode(), "logo.svg", MARK)
    assert fault is not None
    assert fault.code == "picture-not-closed"


def test_text_must_be_outlined_because_its_font_is_not_there() -> None:
    assert code("<text>Quarry Hill</text>") == "picture-not-outlined"


@pytest.mark.parametrize("data", [b"", b"<svg", b"<html/>", b"\xff\xfe<\0s\0", b"GIF89a"])
def test_what_is_no_svg_is_reported(data: bytes) -> None:
    fault = picture_fault(data, "logo.svg", MARK)
    assert fault is not None
    assert fault.code == "picture-broken"
    assert fault.mark == MARK


def test_a_drawing_of_too_many_shapes_is_refused() -> None:
    assert code("<path/>" * 20_001) == "picture-too-large"


def test_a_png_is_known_by_its_first_bytes_and_its_size() -> None:
    assert picture_fault(png(600, 200), "logo.png", MARK) is None
    for data, reported in (
        (b"<svg/>", "picture-broken"),
        (png(90_000, 90_000), "picture-too-large"),
    ):
        fault = picture_fault(data, "logo.PNG", MARK)
        assert fault is not None
        assert fault.code == reported


@pytest.mark.parametrize("name", ["L", "RGB", "RGBA", "LA", "P", "1", "I;16"])
@pytest.mark.parametrize("size", [(1, 1), (3, 5), (600, 200)])
def test_a_png_as_programs_write_them_is_let_through(name: str, size: tuple[int, int]) -> None:
    stream = io.BytesIO()
    Image.new(name, size).save(stream, "PNG")

    assert picture_fault(stream.getvalue(), "logo.png", MARK) is None


def test_rows_of_an_interlaced_png_are_counted_by_its_passes() -> None:
    # 5 by 5 in Adam7: rows of 1, 1, 2, 2, 3, 2 and 5 pixels, each with its filter's number.
    columns_and_rows = [(1, 1), (1, 1), (2, 1), (1, 2), (3, 1), (2, 3), (5, 2)]
    rows = bytes(sum((columns + 1) * rows for columns, rows in columns_and_rows))

    assert picture_fault(png(5, 5, rows, interlaced=1), "logo.png", MARK) is None
    assert picture_fault(png(5, 5, rows[1:], interlaced=1), "logo.png", MARK) is not None


@pytest.mark.parametrize(
    ("data", "reported"),
    [
        (png(9, 9, colour=3), "palette"),
        (png(9, 9, depth=3), "its head"),
        (png(9, 9, colour=7), "its head"),
        (png(9, 9, b""), "pixels"),
        (png(9, 9).replace(b"IEND", b"JEND"), "JEND is damaged"),
        (png(9, 9)[:-12], "end is missing"),
        (png(9, 9)[:-20] + chunk(b"IEND", b""), "IDAT is damaged"),
    ],
)
def test_a_png_that_cannot_be_drawn_is_refused_where_it_is_named(
    data: bytes, reported: str
) -> None:
    fault = picture_fault(data, "logo.png", MARK)

    assert fault is not None
    assert (fault.code, fault.mark) == ("picture-broken", MARK)
    assert reported in fault.message
