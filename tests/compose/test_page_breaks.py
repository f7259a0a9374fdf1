"""Where lines and pages may end: no unit parted from its number, no few rows alone on a page."""

import re
from collections.abc import Callable, Iterator
from dataclasses import replace
from pathlib import Path

import pypdfium2
import pytest

from trimscribe.compose.document import compose
from trimscribe.compose.templates import Templates
from trimscribe.formats import with_dates, with_units
from trimscribe.model.document import Content
from trimscribe.registry import Registry
from trimscribe.typeset.text import pdf_pages
from trimscribe.world import World

typst = pytest.importorskip("typst")
KIT = Path(__file__).parents[2] / "themes" / "base" / "templates" / "kit.typ.j2"
NBSP = "\u00a0"
HELD = re.search(r"^#let held.*?^}\n", KIT.read_text(encoding="utf-8"), re.M | re.S)


@pytest.mark.parametrize(
    ("text", "kept"),
    [
        ("0.29 mm, 50 N; 38 km/h", "0.29\u00a0mm, 50\u00a0N; 38\u00a0km/h"),
        ("2 mmore, 3 Newton, row 4 Lines", "2 mmore, 3 Newton, row 4 Lines"),
        ("ring +00 555 0142 or come", "ring +00\u00a0555\u00a00142 or come"),
    ],
)
def test_a_unit_stays_with_its_number(text: str, kept: str) -> None:
    assert with_units(text) == kept


@pytest.mark.parametrize(
    "date", ["16 October 2026", "16. Oktober 2026", "16 de octubre de 2026", "October 16, 2026"]
)
def test_a_date_stays_on_its_line_of_the_page(date: str) -> None:
    assert with_dates(f"by {date}, after 8 h") == f"by {date.replace(' ', NBSP)}, after 8 h"
    assert with_dates("12 lines in 2026, 3 of 2026") == "12 lines in 2026, 3 of 2026"
    made = Templates({"mine": {"a.html.j2": "<< said >>"}}, {"mine": "mine"})
    assert made.render("a.html.j2", {"said": date}) == date.replace(" ", NBSP)


@pytest.mark.typesets
@pytest.mark.parametrize("theme", ["base", "linden", "bench"])
def test_no_line_of_a_report_ends_between_a_number_and_its_unit(
    theme: str, content_of: Callable[[str], Content], registry: Registry, world: World
) -> None:
    document = compose(content_of("demo"), registry, world, theme)
    report = registry.get("outputs", "pdf").make(document)
    text = "\n".join(pdf_pages(report.data))

    assert re.findall(r".*\d\s*[\r\n]+(?:mm|N|h|kg|L|s|Pa|km/h)\b.*", text) == []


def rows_of_pages(count: int, above: int) -> Iterator[int]:
    """How many of a table's rows each page holds, below so many points of something else."""
    assert HELD is not None
    source = f"""#set page(width: 200pt, height: 200pt, margin: 10pt)
{HELD[0]}
#block(height: {above}pt)
#heading[Title]
#table(columns: (1fr, 0pt), table.header([Head], none), ..held(range({count}).map(i => ([row],))))
"""
    pdf = pypdfium2.PdfDocument(typst.compile(source.encode()))
    yield from (page.get_textpage().get_text_range().count("row") for page in pdf)
    pdf.close()


@pytest.mark.typesets
@pytest.mark.parametrize("count", [1, 2, 5, 6, 7, 12, 25])
def test_no_page_holds_fewer_than_three_rows_of_a_longer_table(count: int) -> None:
    for above in range(0, 175, 17):
        held = [rows for rows in rows_of_pages(count, above) if rows]
        assert sum(held) == count
        assert min(held) >= min(count, 3)


def pages_of(
    theme: str, paper: str, content: Content, registry: Registry, world: World
) -> list[str]:
    job = content.reading.job
    job = replace(job, workshop=replace(job.workshop, paper=paper))
    content = replace(content, reading=replace(content.reading, job=job))
    document = compose(content, registry, world, theme)
    return pdf_pages(registry.get("outputs", "pdf").make(document).data)


@pytest.mark.typesets
@pytest.mark.parametrize("theme", ["base", "linden", "bench"])
def test_a_table_of_lines_that_fits_a_page_is_with_its_head_and_what_its_marks_mean(
    theme: str, content_of: Callable[[str], Content], registry: Registry, world: World
) -> None:
    pages = pages_of(theme, "us-letter", content_of("demo"), registry, world)

    (whole,) = (page for page in pages if "Every line" in page)
    assert "A ring marks a line outside limits." in " ".join(whole.split())
    assert re.search(r"^A1\s+7342\b", whole, re.M)
    assert re.search(r"^Main brake line\s+2260\b", whole, re.M)


@pytest.mark.typesets
def test_a_longer_table_of_lines_goes_on_over_pages(
    content_of: Callable[[str], Content], registry: Registry, world: World
) -> None:
    pages = pages_of("base", "a4", content_of("five-row"), registry, world)

    assert [bool(re.search(r"^(?:Front 1|Rear 16)\s+7", page, re.M)) for page in pages][-2:] == [
        True
    ] * 2


@pytest.mark.typesets
def test_a_table_that_all_but_fits_the_page_that_was_begun_is_set_closer(
    content_of: Callable[[str], Content], registry: Registry, world: World
) -> None:
    pages = pages_of("linden", "a4", content_of("demo"), registry, world)

    assert "What this report says" in pages[-1]
    assert "Every line" in pages[-1]


@pytest.mark.typesets
def test_no_fact_of_the_record_is_alone_on_a_page(
    content_of: Callable[[str], Content], registry: Registry, world: World
) -> None:
    pages = pages_of("base", "us-letter", content_of("demo"), registry, world)

    (last,) = (page for page in pages if "Porosity meter" in page)
    assert "Uncertainty of brakes" in last
