"""The pictures in the README, as the page and the preview look in a browser.

A page takes a font that the reader's system may have. Here it is handed those of the base theme, so
that what is compared does not depend on the fonts of the machine.
"""

import base64
import io
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from fontTools.ttLib import TTFont
from PIL import Image

ROOT = Path(__file__).parents[2]
FONTS = sorted((ROOT / "themes" / "base" / "fonts").glob("*.otf"))
COLOURS = 256  # enough for a page with few inks, and half of the bytes


@pytest.fixture
def keep(request: pytest.FixtureRequest) -> Callable[[str, bytes], None]:
    """Hold a picture against the one of the README; --force-regen puts it in its place.

    Browsers smooth letters a little differently: size and general looks are compared.
    """

    def keep(name: str, data: bytes) -> None:
        made = Image.open(io.BytesIO(data)).convert("RGB")
        path = ROOT / "examples" / name
        if request.config.getoption("force_regen"):
            few = made.quantize(
                COLOURS, method=Image.Quantize.FASTOCTREE, kmeans=3, dither=Image.Dither.NONE
            )
            few.save(path, optimize=True)
        with Image.open(path) as stored:
            assert stored.size == made.size, "take it again: pytest --force-regen"
            small = [picture.convert("L").resize((64, 48)) for picture in (stored, made)]
        pairs = zip(*(picture.tobytes() for picture in small), strict=True)
        assert sum(abs(one - other) for one, other in pairs) / (64 * 48) < 6
        assert path.stat().st_size < 150_000

    return keep


@pytest.fixture
def set_in_base_fonts(browser: Any) -> Callable[[], None]:
    """Give the open page the base theme's fonts; all its text is then set in them.

    They go in as bytes, since the pages' own policies let nothing be fetched.
    """
    faces = []
    for path in FONTS:
        with TTFont(path) as font:
            name = font["name"].getDebugName
            faces.append(
                {
                    "family": name(16) or name(1),
                    "weight": str(font["OS/2"].usWeightClass),
                    "style": "italic" if font["OS/2"].fsSelection & 1 else "normal",
                    "data": base64.b64encode(path.read_bytes()).decode(),
                }
            )
    assert {face["family"] for face in faces} == {"Inter"}

    def give() -> None:
        failed = browser.driver.execute_async_script(
            """
            const [faces, done] = arguments;
            const load = ({family, weight, style, data}) => {
                const bytes = Uint8Array.from(atob(data), (sign) => sign.charCodeAt(0));
                return new FontFace(family, bytes.buffer, {weight, style}).load();
            };
            Promise.all(faces.map(load)).then((loaded) => {
                loaded.forEach((face) => document.fonts.add(face));
                document.body.style.fontFamily = "Inter";
                done("");
            }, (error) => done(String(error)));
            """,
            faces,
        )
        assert failed == ""

    return give


def test_the_preview(
    browser: Any, folder: Path, start: Any, keep: Any, set_in_base_fonts: Any
) -> None:
    browser.open(start("demo.yaml").address, 1280, 800)
    set_in_base_fonts()
    browser.wait("const d = document.body.dataset; return d.marked && d.marked === d.shot")
    browser.ask(
        "document.querySelector('.sentence[aria-label*=\"rear lines were short\"]').click()"
    )
    browser.wait("return document.querySelector('.why')")

    keep("preview.png", browser.picture())


def test_the_page_for_the_phone(
    browser: Any,
    folder: Path,
    tmp_path: Path,
    keep: Any,
    registry: Any,
    world: Any,
    set_in_base_fonts: Any,
) -> None:
    from trimscribe.pipeline import outputs, prepare

    (made,) = outputs(prepare(folder / "demo.yaml", registry), registry, world, ("html",))
    (tmp_path / "page.html").write_bytes(made.data)
    both = Image.new("RGB", (2 * 390 + 20, 760), "#9aa0a4")
    for number, dark in enumerate((False, True)):
        browser.open((tmp_path / "page.html").as_uri(), 390, 760, dark=dark)
        set_in_base_fonts()
        both.paste(Image.open(io.BytesIO(browser.picture())), (number * 410, 0))
    out = io.BytesIO()
    both.save(out, "PNG")

    keep("phone.png", out.getvalue())
