"""Every theme × every example as pictures, on both papers: no change of looks goes unseen.

`python tests/gallery.py` writes them all as one HTML page. Look at it before you accept a
difference with `--force-regen`.
"""

import importlib.util
import io
import re
import sys
from pathlib import Path
from typing import Any

import pypdfium2
import pytest
from pytest_regressions.image_regression import ImageRegressionFixture

from trimscribe.typeset.text import pdf_pages, seen_in

KEY = {"passed", "with a reservation", "did not pass, or a warning"}
SCALE = 0.22  # pixels a point: lines of text show, letters do not


def _load() -> Any:
    path = Path(__file__).parents[1] / "gallery.py"
    spec = importlib.util.spec_from_file_location("gallery", path)
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    sys.modules["gallery"] = module  # where dataclasses look for their module
    spec.loader.exec_module(module)
    return module


gallery = _load()
# The other paper breaks the same pages elsewhere: of every example in one theme, of two in all.
SHOWN = [
    pytest.param(theme, name, paper, marks=() if name == "demo" else pytest.mark.thorough)
    for theme in gallery.THEMES
    for name in gallery.EXAMPLES
    for paper in gallery.PAPERS
    if paper == "a4" or theme == "bench" or name in {"demo", "outside"}
]


@pytest.mark.parametrize(("theme", "example", "paper"), SHOWN)
@pytest.mark.typesets
def test_pages(
    theme: str, example: str, paper: str, image_regression: ImageRegressionFixture
) -> None:
    data = io.BytesIO()
    shown = gallery.picture(theme, example, paper, SCALE).image
    shown.quantize(16).save(data, "PNG", optimize=True)
    image_regression.check(
        data.getvalue(), diff_threshold=0.5, basename=f"{theme}-{example}-{paper}"
    )


@pytest.mark.parametrize("paper", gallery.PAPERS)
@pytest.mark.parametrize("example", ["demo", "outside"])
@pytest.mark.parametrize("theme", gallery.THEMES)
@pytest.mark.typesets
@pytest.mark.thorough
def test_page_one_is_whole(theme: str, example: str, paper: str) -> None:
    """As tests/compose/test_page_one.py has it of longer words, in reports that are set anyway."""
    document, report = gallery.report(theme, example, paper)

    assert len(document.vital) > 20
    assert seen_in(report.data, document.required, document.vital).later == ()
    assert report.warnings == ()


@pytest.mark.parametrize("theme", gallery.THEMES)
@pytest.mark.typesets
@pytest.mark.thorough
def test_the_headline_of_a_full_page_keeps_clear_of_the_line_above_it(theme: str) -> None:
    document, report = gallery.report(theme, "demo", "a4")
    page = pypdfium2.PdfDocument(report.data)[0].get_textpage()

    def boxes(words: str) -> list[tuple[float, ...]]:
        start, count = page.search(words).get_next()
        return [page.get_charbox(n) for n in range(start, start + count)]

    number = document.shown.content.reading.job.wing.serial_number
    gap = min(b[1] for b in boxes(number)) - max(b[3] for b in boxes("Your wing arrived"))
    assert gap > 5  # points; the capitals of that line have 6


@pytest.mark.parametrize("theme", gallery.THEMES)
@pytest.mark.typesets
@pytest.mark.thorough
def test_the_key_of_the_marks_stays_where_page_one_is_full(theme: str) -> None:
    _, report = gallery.report(theme, "outside", "a4")
    said = squeezed(pdf_pages(report.data)[0])

    assert [words for words in KEY if squeezed(words) not in said] == []


def squeezed(text: str) -> str:
    return "".join(text.split()).replace("\ufffe", "").replace("-", "")


@pytest.mark.typesets
@pytest.mark.thorough
def test_the_same_report_is_the_same_bytes_with_the_ladder_as_well() -> None:
    wanted = ("linden", "outside", "us-letter")

    _, again = gallery.report.__wrapped__(*wanted)

    assert again is not gallery.report(*wanted)[1]
    assert again.data == gallery.report(*wanted)[1].data


@pytest.mark.thorough
def test_the_contact_sheet_is_one_file_with_a_picture_of_every_report() -> None:
    text = gallery.sheet(gallery.gallery(["bench"], 0.1))

    assert text.count("<img ") == len(gallery.EXAMPLES) * len(gallery.PAPERS)
    assert "http" not in re.sub(r"base64,[\w+/=]*", "", text)  # letters of a picture spell anything
    for example in gallery.EXAMPLES:
        assert f"bench · {example} · us-letter" in text


def test_every_example_is_in_the_gallery() -> None:
    folder = Path(__file__).parents[2] / "examples"
    jobs = {p.stem for p in folder.glob("*.yaml") if "service:" in p.read_text(encoding="utf-8")}

    assert set(gallery.EXAMPLES) == jobs - {"broken"}
