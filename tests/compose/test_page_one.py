"""All that a pilot needs first stands on page one, in every theme, on both papers."""

import re
import sys
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest
import typst

from trimscribe.compose.document import compose
from trimscribe.model.document import Content
from trimscribe.model.statements import Place, Weight
from trimscribe.registry import Registry
from trimscribe.typeset import pdf
from trimscribe.typeset.pdf import output
from trimscribe.typeset.text import pdf_pages, seen_in
from trimscribe.world import World

sys.path.insert(0, str(Path(__file__).parents[1]))
from longer import longer

pytestmark = pytest.mark.typesets
KIT = Path(__file__).parents[2] / "themes" / "base" / "templates" / "kit.typ.j2"

ContentOf = Callable[[str], Content]
THOROUGH = pytest.mark.thorough
THEMES = ("base", "linden", "bench")


def on(paper: str, content: Content) -> Content:
    job = content.reading.job
    job = replace(job, workshop=replace(job.workshop, paper=paper))
    return replace(content, reading=replace(content.reading, job=job))


def warned(content: Content, more: int) -> Content:
    """The content with more warnings, each with words of its own."""
    said = content.statements
    one = next(c for c in said.cautions if c.weight is Weight.WARNING)
    added = tuple(
        replace(one, title=f"Warning number {n}", text=f"{one.text} That is warning {n}.")
        for n in range(more)
    )
    return replace(content, statements=replace(said, cautions=(*added, *said.cautions)))


def squeezed(text: str) -> str:
    return "".join(text.split()).replace("\ufffe", "").replace("-", "")


@pytest.mark.parametrize(
    ("job", "factor"),  # at their own length, the first two are in tests/themes/test_gallery.py
    [
        ("demo", 1.35),
        pytest.param("outside", 1.35, marks=THOROUGH),
        pytest.param("wrong-load", 1.35, marks=THOROUGH),
        pytest.param("wrong-load", 1.0, marks=THOROUGH),
    ],
)
@pytest.mark.parametrize("paper", [pytest.param("a4", marks=THOROUGH), "us-letter"])
@pytest.mark.parametrize("theme", THEMES)
def test_letter_verdicts_and_cautions_are_whole_on_page_one_and_nothing_overprints(
    theme: str,
    paper: str,
    job: str,
    factor: float,
    content_of: ContentOf,
    world: World,
    registry: Registry,
) -> None:
    document = compose(on(paper, longer(content_of(job), factor)), registry, world, theme)
    report = output.make(document)

    assert len(document.vital) > 20
    assert seen_in(report.data, document.required, document.vital).later == ()
    assert report.warnings == ()


def test_of_rungs_that_get_lower_the_first_that_fits_is_found_however_unusual_they_are() -> None:
    kit = KIT.read_text(encoding="utf-8")
    found = re.search(r"^#let usual-height.*?^}\n", kit, re.M | re.S)
    assert found is not None
    heights = "(1, 0.98, 0.97, 0.8, 0.79, 0.78, 0.77, 0.6, 0.59, 0.58, 0.57, 0.56, 0.3)"
    source = f"""{found[0]}
#for heights in ({heights}, usual-height, usual-height.map(h => h * h)) {{
  let rungs = range(usual-height.len())
  for room in range(20, 105).map(percent => percent / 100) {{
    let first = rungs.find(n => heights.at(n) <= room)
    assert.eq(first-fit(rungs, n => heights.at(n), room), first)
  }}
}}
"""
    typst.compile(source.encode())


@pytest.mark.parametrize("theme", THEMES)
def test_what_does_not_fit_goes_on_under_a_heading_and_what_warns_stays(
    theme: str, content_of: ContentOf, world: World, registry: Registry
) -> None:
    # One less than page one holds, so that a longer word elsewhere breaks nothing here.
    more = {"base": 4, "linden": 6, "bench": 10}[theme]
    content = longer(on("us-letter", warned(content_of("outside"), more)), 1.35)
    content = replace(
        content,
        statements=replace(
            content.statements,
            labels={**content.statements.labels, "cautions_continued": "Cautions, continued"},
        ),
    )
    document = compose(content, registry, world, theme)
    report = output.make(document)
    first, second = map(squeezed, pdf_pages(report.data)[:2])

    assert len(document.warnings) == 12 + 2 * more
    assert all(squeezed(text) in first for text in document.warnings)
    assert "Cautions,continued" in second
    assert "Manualandrules" in second
    assert "Manualandrules" not in first
    assert report.warnings == ()


def test_warnings_that_do_not_fit_are_all_there_and_it_is_reported(
    content_of: ContentOf, world: World, registry: Registry
) -> None:
    document = compose(warned(content_of("outside"), 40), registry, world, "base")
    report = output.make(document)

    assert {fault.code for fault in report.warnings} == {"warning-beyond-page-one"}
    assert 0 < len(report.warnings) < 80
    said = squeezed("".join(pdf_pages(report.data)))
    assert all(squeezed(text) in said for text in document.warnings)


@pytest.fixture
def set_as(monkeypatch: pytest.MonkeyPatch) -> list[bytes]:
    """How each report was set: so that page one fits, or as designed."""
    times: list[bytes] = []
    compiled = pdf.compile_pdf

    def count(files: dict[str, bytes], *rest: object) -> object:
        times.append(files["ladder.typ"])
        return compiled(files, *rest)  # type: ignore[arg-type]

    monkeypatch.setattr(pdf, "compile_pdf", count)
    return times


def test_a_report_is_set_once_and_one_that_fits_is_as_it_was_designed(
    content_of: ContentOf, world: World, registry: Registry, set_as: list[bytes]
) -> None:
    fits = compose(content_of("inspection"), registry, world, "bench")
    designed = replace(fits, files={**fits.files, "ladder.typ": b"#let laddered = false\n"})
    full = compose(on("us-letter", content_of("outside")), registry, world, "base")

    assert output.make(fits).data == output.make(designed).data
    output.make(full)
    assert len(set_as) == 3


def test_a_text_that_a_theme_makes_illegible_where_room_is_scarce_has_the_design_s_room(
    tmp_path: Path, content_of: ContentOf, world: World, registry: Registry, set_as: list[bytes]
) -> None:
    (tmp_path / "templates").mkdir()
    (tmp_path / "theme.yaml").write_text("{trimscribe: 1, name: pale, extends: base}")
    (tmp_path / "templates" / "letter.typ.j2").write_text(
        '<% extends "base:letter.typ.j2" %>\n<% block headline %>\n'
        "#[#set text(fill: if dial.packed { ink.background } else { ink.text })\n"
        "<< super() >>]\n<% endblock %>"
    )
    outside = content_of("outside")
    (headline,) = outside.statements.at(Place.HEADLINE)
    document = compose(outside, registry, world, str(tmp_path))

    report = output.make(document)

    assert set_as == [b"#let laddered = true\n", b"#let laddered = false\n"]
    assert squeezed(headline.text) in squeezed(pdf_pages(report.data)[0])


def test_a_theme_whose_templates_know_no_ladder_still_makes_reports(
    tmp_path: Path, content_of: ContentOf, world: World, registry: Registry
) -> None:
    (tmp_path / "templates").mkdir()
    (tmp_path / "theme.yaml").write_text("{trimscribe: 1, name: old, extends: base}")
    (tmp_path / "templates" / "cautions.typ.j2").write_text(
        '#import "kit.typ": *\n#heading(level: 2, << title >>)\n'
        "<% for c in cautions %>#say(<< c.title ~ '. ' ~ c.text >>)\n<% endfor %>"
    )
    document = compose(content_of("outside"), registry, world, str(tmp_path))

    assert len(document.vital) > 20
    assert output.make(document).pages > 3
