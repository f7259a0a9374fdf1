"""The plugins in DEVELOPERS.md, as a package that somebody installs."""

import datetime as dt
import inspect
import re
import tomllib
from collections.abc import Iterator
from dataclasses import fields
from pathlib import Path
from typing import get_args

import pytest

from trimscribe import marked_yaml as yaml
from trimscribe.canvas import Canvas, Shape
from trimscribe.compose.document import compose
from trimscribe.contracts import KINDS
from trimscribe.errors import Mark
from trimscribe.evidence import evidence_of, trail_of
from trimscribe.exports.mapping.extract import import_export
from trimscribe.exports.mapping.load import load_map
from trimscribe.formats import formats_for
from trimscribe.marked_text import MarkedText
from trimscribe.model.document import Content
from trimscribe.model.ink import Ink
from trimscribe.model.statements import Place
from trimscribe.model.tables import CellValue, TableFormat
from trimscribe.narrate.expressions import environment
from trimscribe.narrate.filters import WordFilters
from trimscribe.narrate.languages import en
from trimscribe.pipeline import outputs, prepare
from trimscribe.registry import Registry
from trimscribe.typeset.text import pdf_pages
from trimscribe.world import World

ROOT = Path(__file__).parents[1]
GUIDE = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
# In the order of the guide.
ORDER = ("importers", "analyses", "sections", "figures", "languages", "themes", "outputs")
VALUES = {kind: kind[:-1] for kind in KINDS} | {"analyses": "analysis"}


def blocks(language: str) -> list[str]:
    return re.findall(rf"^```{language}\n(.*?)^```", GUIDE, re.MULTILINE | re.DOTALL)


@pytest.fixture(scope="module")
def installed(tmp_path_factory: pytest.TempPathFactory) -> Iterator[dict[str, str]]:
    """Install each example as a module with an entry point; yield plugin names by kind."""
    home = tmp_path_factory.mktemp("site")
    package = home / "coast_workshop"
    package.mkdir()
    (package / "__init__.py").touch()
    names, entries = {}, []
    for kind, code in zip(ORDER, blocks("python"), strict=True):
        names[kind] = re.search(r'^ *name(?:: str)? = "(\w+)"$', code, re.MULTILINE)[1]
        (package / f"{kind}.py").write_text(code, encoding="utf-8")
        value = f":{VALUES[kind]}" if f"\n{VALUES[kind]} = " in code else ""
        entries.append(f"[trimscribe.{kind}]\n{names[kind]} = coast_workshop.{kind}{value}\n")
    info = home / "coast_workshop-1.0.dist-info"
    info.mkdir()
    (info / "METADATA").write_text("Metadata-Version: 2.1\nName: coast-workshop\nVersion: 1.0\n")
    (info / "entry_points.txt").write_text("\n".join(entries))
    with pytest.MonkeyPatch.context() as patch:
        patch.syspath_prepend(home)
        yield names


def test_every_kind_of_plugin_is_shown_by_one_that_loads(installed: dict[str, str]) -> None:
    registry = Registry.installed()

    assert set(installed) == set(KINDS)
    for kind, name in installed.items():
        assert registry.get(kind, name).name == name
    assert registry.faults() == ()


def test_the_importer_reads_lengths_and_tells_faults(installed: dict[str, str]) -> None:
    importer = Registry.installed().get("importers", installed["importers"])
    lengths, faults = importer.read(b"left;A;1;7334\nright;A;1;seven\n", "export.txt")
    assert importer.read(b"side,row,point,length_mm\n", "export.txt") is None

    assert [(one.side.value, one.group, one.point, one.length_mm) for one in lengths] == [
        ("left", "A", 1, 7334)
    ]
    assert [str(fault.mark) for fault in faults] == ["export.txt:2:1"]


def test_the_importer_hands_its_cells_to_a_map(installed: dict[str, str]) -> None:
    plan, _ = load_map(
        b'{trimscribe: 1, tables: [{labels: [{at: A, form: "{side}"}, {at: B, form: "{row}"}, '
        b'{at: C, form: "{point}"}], values: [{at: D}]}]}',
        "map.yaml",
    )
    found = import_export(Registry.installed(), b"left;A;1;7334\n", "x.txt", plan, Mark("job.yaml"))

    assert {value.name: value.value for value in found.values} == {"before.left.A.1": 7334}


@pytest.fixture(scope="module")
def shown(installed: dict[str, str], tmp_path_factory: pytest.TempPathFactory) -> Content:
    """The demo of a workshop that adds the section of the guide."""
    added = [b for b in blocks("yaml") if b.startswith(("add_sections", "rules:"))]
    assert len(added) == 2
    shop = tmp_path_factory.mktemp("shop") / "shop.yaml"
    shop.write_text(f"trimscribe: 1\nname: Coast Workshop\n{''.join(added)}", encoding="utf-8")
    return prepare(ROOT / "examples" / "demo.yaml", Registry.installed(), shop)


@pytest.mark.slow
@pytest.mark.parametrize("theme", ["base", "linden", "bench"])
def test_analysis_section_and_figure_make_part_of_a_report_in_every_theme(
    theme: str, shown: Content
) -> None:
    names = ("pdf", "html")
    paper, page = outputs(shown, Registry.installed(), World.real(), names, theme=theme)
    spread = shown.findings.extra["spread"]["spread_mm"]
    text = f"Longest to shortest line: {spread:.0f}\u00a0mm."

    assert spread > 0
    assert text in " ".join(pdf_pages(paper.data))
    assert text in page.data.decode()
    assert "Bar for a spread of" in page.data.decode()


def test_the_analysis_speaks_through_a_rule_of_the_workshop(shown: Content) -> None:
    spread = shown.findings.extra["spread"]["spread_mm"]
    said = next(s for s in shown.statements.at(Place.FOUND) if s.rule == "spread")

    assert said.text == f"The longest and the shortest line lie {spread:.0f}\u00a0mm apart."
    assert said.numbers == {"spread_mm": spread}
    assert said.sources == ("extra.spread.spread_mm",)
    assert re.fullmatch(r".*shop\.yaml:\d+", said.rule_place)
    evidence = evidence_of(said, shown)
    assert evidence.how["extra.spread.spread_mm"] == (
        "By the analysis `spread` of coast-workshop: how far the longest and the shortest line lie "
        "apart."
    )
    assert any("demo.yaml:" in place for one in evidence.inputs for place in one.places)
    assert "extra.spread.spread_mm" in trail_of(shown).parts
    assert "new_lines" not in [s.rule for s in shown.statements.cautions]


def test_a_theme_changes_a_block_of_a_section_s_own_template(
    shown: Content, tmp_path: Path
) -> None:
    (tmp_path / "templates").mkdir()
    (tmp_path / "theme.yaml").write_text("{trimscribe: 1, name: mine, extends: base}")
    (tmp_path / "templates" / "spread.typ.j2").write_text(
        '<% extends "section.spread:spread.typ.j2" %><% block spread %>#par(<< title >>)'
        "<% endblock %>"
    )
    document = compose(shown, Registry.installed(), World.real(), str(tmp_path))

    assert b'#par("Spread")' in document.files["spread.typ"]
    assert b"Longest" not in document.files["spread.typ"]


def test_the_package_of_the_guide_installs_the_importer_of_the_guide() -> None:
    (text,) = (one for one in blocks("toml") if "build-system" in one)
    package = tomllib.loads(text)
    ((name, value),) = package["project"]["entry-points"]["trimscribe.importers"].items()
    module, _, attribute = value.partition(":")
    (code,) = (one for one in blocks("python") if f'name: str = "{name}"' in one)

    assert module == f"coast_workshop.{name}"
    assert f"\n{attribute} = " in code
    assert package["tool"]["setuptools"]["packages"] == ["coast_workshop"]


def test_the_package_of_the_guide_takes_the_files_of_themes_and_languages_along() -> None:
    (text,) = (one for one in blocks("toml") if "build-system" in one)
    (kept,) = tomllib.loads(text)["tool"]["setuptools"]["package-data"].values()
    endings = {pattern.removeprefix("**/*") for pattern in kept}
    folders = [ROOT / "themes", ROOT / "engine" / "narrate" / "languages" / "en"]
    files = [f for folder in folders for f in folder.rglob("*.*") if f.is_file()]

    assert {f.suffix for f in files} - {".py", ".pyc", ".txt", ".md"} <= endings
    assert {".yaml", ".j2", ".otf", ".ttf", ".svg", ".png"} == endings


def test_what_the_guide_says_of_table_formats_and_cells_is_so() -> None:
    rows = re.findall(r"^\| `(\w+)` \| .* \| `(.*)` \|$", GUIDE, re.MULTILINE)
    told = {name: value for name, value in rows if hasattr(TableFormat, name)}
    assert told == {
        one.name: "'\"'" if one.name == "quote" else f'"{one.default}"'
        for one in fields(TableFormat)
    }
    assert get_args(CellValue) == (str, int, float, bool, dt.date, dt.time, dt.timedelta)
    assert list(inspect.signature(MarkedText.decode).parameters)[:3] == ["data", "file", "largest"]


FILTERS = [
    (example.replace("\\|", "|"), said)
    for row in re.findall(r"^\| `.*” \|$", GUIDE, re.MULTILINE)
    for example, said in re.findall(r"`([^`]+ \\\| [^`]+)` is “([^”]*)”", row)
]


@pytest.mark.parametrize(("example", "said"), FILTERS)
def test_filters_write_what_the_guide_says(example: str, said: str) -> None:
    english = yaml.load((en.folder / "phrases.yaml").read_bytes(), "phrases.yaml").data
    filters = WordFilters(formats_for(en.locale), english["words"]).filters()
    text = environment(filters, frozenset()).from_string(f"{{{{ {example} }}}}").render()

    assert text.replace("\u00a0", " ").replace("\u2212", "-") == said


def test_there_are_examples_of_filters() -> None:
    assert len(FILTERS) >= 9


def test_the_kits_have_the_pieces_that_the_guide_names() -> None:
    folder = ROOT / "themes" / "base" / "templates"
    paper = (folder / "kit.typ.j2").read_text(encoding="utf-8")
    page = (folder / "kit.html.j2").read_text(encoding="utf-8")
    pieces = re.findall(r"^\| .* \| `([\w-]+)\(([^)]*)\)` \| (.*)\|$", GUIDE, re.MULTILINE)

    assert len(pieces) == 7
    for name, parameters, beside in pieces:
        assert re.search(rf"^#let {name}\({parameters}[,)]", paper, re.MULTILINE), name
        if found := re.match(r"`kit\.(\w+)\(([^)]*)\)`", beside):
            assert f"<% macro {found[1]}({found[2]}) %>" in page


def test_the_sheet_and_its_inks_are_as_the_guide_says() -> None:
    told = dict(
        re.findall(r"^\| `(line|lines|marks|text)\(([^)]*(?:\(\)[^)]*)?)\)` \|", GUIDE, re.M)
    )
    for name, method in inspect.getmembers(Canvas, inspect.isfunction):
        if name.startswith("_") or name == "svg":
            continue
        ours = [*inspect.signature(method).parameters][1:]
        said = [one.partition("=")[0] for one in told[name].split(", ")]
        assert said == ours or (said[-1] == "…" and said[:-1] == ours[: len(said) - 1]), name
    paragraph = GUIDE.partition("`view.ink` has")[2].partition("\n\n")[0]
    assert {one.name for one in fields(Ink)} < set(re.findall(r"`(\w+)`", paragraph))
    for shape in get_args(Shape):
        assert f"`{shape}`" in GUIDE


def test_places_for_rules_of_a_workshop_are_all_in_the_guide() -> None:
    words = re.search(r"place: found +# ([^:]*)$", GUIDE.replace("\n" + 29 * " " + "#", ""), re.M)
    listed = re.findall(r"\w+", words[1].partition("\n")[0].replace(" or ", " "))

    assert {"found", *listed} == {one.name.lower() for one in Place} - {"decision", "headline"}


PAPER = """\
#import "kit.typ": *
#pagebreak(weak: true)
#room-for(13em)
#block(breakable: false)[
#heading(level: 1, "Care")
#listing((<< "Part" >>, "What"), (("Lines", "dry"), ("Cloth", "clean")), (auto, 1fr))
#facts((("Bag", "open"),))
#mark("dot")
#say("Keep it dry.")
#small("That is all.")
]
"""
PAGE = """\
<% import "kit.html.j2" as kit %>
<section>
<h2>Care</h2>
<< kit.listing("Care", ["Part", "What"], [["Lines", "dry"], ["Cloth", "clean"]]) >>
<< kit.facts([["Bag", "open"]]) >>
<p><< kit.mark("dot") >> Keep it dry.</p>
<p class="small">That is all.</p>
</section>
"""


@pytest.mark.slow
@pytest.mark.typesets
def test_the_pieces_of_the_kits_work_as_the_guide_says(tmp_path: Path) -> None:
    (tmp_path / "templates").mkdir()
    (tmp_path / "theme.yaml").write_text(
        "{trimscribe: 1, name: mine, extends: base, add_sections: {care: {after: lines}}}"
    )
    (tmp_path / "templates" / "care.typ.j2").write_text(PAPER)
    (tmp_path / "templates" / "care.html.j2").write_text(PAGE)
    registry = Registry.installed()
    content = prepare(ROOT / "examples" / "demo.yaml", registry)
    names = ("pdf", "html")
    paper, page = outputs(content, registry, World.real(), names, theme=str(tmp_path))

    (on,) = (text for text in pdf_pages(paper.data) if "Keep it dry." in text)
    assert on.lstrip().startswith("Care")
    assert "That is all." in on
    assert "That is all." in page.data.decode()
