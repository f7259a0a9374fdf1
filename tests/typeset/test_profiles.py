"""Colours that are written plainly look as they did."""

import io

import numpy as np
import pypdfium2
import pytest
from PIL import Image, ImageCms

from trimscribe.model.document import FontFolder
from trimscribe.themes import base
from trimscribe.typeset.compiler import compile_pdf
from trimscribe.typeset.text import with_plain_colours

pytestmark = pytest.mark.quick


def pdf(body: str, files: dict[str, bytes] | None = None) -> bytes:
    frame = '#set document(title: "T")\n#set text(font: "Inter", lang: "en")\n'
    fonts = (FontFolder(base.folder / "fonts", ()),)
    return compile_pdf({"main.typ": (frame + body).encode(), **(files or {})}, fonts, 0)[0]


def seen(data: bytes) -> "np.ndarray[tuple[int, ...], np.dtype[np.int_]]":
    document = pypdfium2.PdfDocument(data)
    try:
        return document[0].render(scale=1).to_numpy().astype(int)
    finally:
        document.close()


def test_colours_look_the_same_when_they_are_written_plainly() -> None:
    shades = [f"rgb({n * 17}, {255 - n * 13}, {n * n})" for n in range(16)]
    shades += [f"luma({n * 17})" for n in range(16)] + ["oklch(40%, 0.2, 90deg)"]
    shades += ["gradient.linear(rgb(20, 30, 200), rgb(250, 240, 90))"]
    data = pdf("".join(f"#box(fill: {shade}, width: 1cm, height: 1cm)" for shade in shades))

    plain = with_plain_colours(data)

    assert b"/ICCBased" in data
    assert b"/ICCBased" not in plain
    assert len(plain) == len(data)  # no place in the file moves
    assert abs(seen(plain) - seen(data)).max() <= 2


def test_a_profile_that_a_picture_brings_along_stays() -> None:
    usual = ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes()
    odd = usual.replace(b"rXYZ", b"swap").replace(b"gXYZ", b"rXYZ").replace(b"swap", b"gXYZ")
    odd = odd[:8] + bytes([2, 16, 0, 0]) + odd[12:]  # version 2.1, which Typst takes
    file = io.BytesIO()
    Image.new("RGB", (8, 8), "#804020").save(file, "PNG", icc_profile=odd)
    data = pdf('#image("a.png", alt: "a", width: 1cm) words', {"a.png": file.getvalue()})

    plain = with_plain_colours(data)

    assert data.count(b"/ICCBased") == plain.count(b"/ICCBased") + 2
    assert b"/ICCBased" in plain
