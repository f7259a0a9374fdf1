"""The pictures in the README, as the page and the preview look in a browser."""

import io
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from PIL import Image

ROOT = Path(__file__).parents[2]
COLOURS = 256  # enough for a page with few inks, and half of the bytes


@pytest.fixture
def keep(request: pytest.FixtureRequest) -> Callable[[str, bytes], None]:
    """Hold a picture against the one of the README; --force-regen puts it in its place.

    Browsers and systems draw letters a little differently: size and general looks are compared.
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


def test_the_preview(browser: Any, folder: Path, start: Any, keep: Any) -> None:
    browser.open(start("demo.yaml").address, 1280, 800)
    browser.wait("const d = document.body.dataset; return d.marked && d.marked === d.shot")
    browser.ask(
        "document.querySelector('.sentence[aria-label*=\"rear lines were short\"]').click()"
    )
    browser.wait("return document.querySelector('.why')")

    keep("preview.png", browser.picture())


def test_the_page_for_the_phone(
    browser: Any, folder: Path, tmp_path: Path, keep: Any, registry: Any, world: Any
) -> None:
    from trimscribe.pipeline import outputs, prepare

    (made,) = outputs(prepare(folder / "demo.yaml", registry), registry, world, ("html",))
    (tmp_path / "page.html").write_bytes(made.data)
    both = Image.new("RGB", (2 * 390 + 20, 760), "#9aa0a4")
    for number, dark in enumerate((False, True)):
        browser.open((tmp_path / "page.html").as_uri(), 390, 760, dark=dark)
        both.paste(Image.open(io.BytesIO(browser.picture())), (number * 410, 0))
    out = io.BytesIO()
    both.save(out, "PNG")

    keep("phone.png", out.getvalue())
