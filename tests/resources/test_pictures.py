"""A picture shows itself and nothing else: it runs nothing, loads nothing, and stays small."""

import struct
import zlib

import pytest

from trimscribe.errors import Mark
from trimscribe.resources import picture_fault

MARK = Mark("shop.yaml", 3, 7)
SVG = (
    '<svg xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink" {}>{}</svg>'
)


def png(width: int, height: int) -> bytes:
    def chunk(name: bytes, data: bytes) -> bytes:
        return (
            struct.pack(">I", len(data)) + name + data + struct.pack(">I", zlib.crc32(name + data))
        )

    header = struct.pack(">IIBBBBB", width, height, 8, 0, 0, 0, 0)
    return b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", header) + chunk(b"IEND", b"")


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
def test_what_is_no_svg_is_told(data: bytes) -> None:
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
