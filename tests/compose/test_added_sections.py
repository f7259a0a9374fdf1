"""Sections that a workshop or a theme adds by data, each after one that is there."""

from collections.abc import Callable
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any

import pytest

from trimscribe.compose.document import compose
from trimscribe.compose.lint import lint
from trimscribe.compose.themes import SectionOrder, resolve
from trimscribe.contracts import SectionView, View
from trimscribe.errors import Fault, Mark, PluginError, ThemeError, TypesetError
from trimscribe.model.document import Content, Figure
from trimscribe.outputs.html import output
from trimscribe.pipeline import prepare
from trimscribe.registry import Registry
from trimscribe.world import World

ROOT = Path(__file__).parents[2]
PAPER, PAGE = "#par(<< text >>)", "<section><p><< text >></p></section>"


@dataclass(frozen=True)
class Storage:
    """A section with its own templates."""

    templates: dict[str, str] = field(
        default_factory=lambda: {"storage.typ.j2": PAPER, "storage.html.j2": PAGE}
    )
    contract: int = 2
    name: str = "storage"
    template: str = "storage.typ.j2"

    def view(self, view: View) -> SectionView:
        return SectionView(values={"text": "Keep it dry."})


class Beside(Registry):
    """What is installed, and one section more."""

    def __init__(self, section: Any) -> None:
        installed = Registry.installed()
        super().__init__(entry for found in installed._found.values() for entry in found)
        self.section = section

    def names(self, kind: str) -> list[str]:
        return sorted([*super().names(kind), *([self.section.name] if kind == "sections" else [])])

    def get(self, kind: str, name: str) -> Any:
        own = (kind, name) == ("sections", self.section.name)
        return self.section if own else super().get(kind, name)


def adding(content: Content, *added: tuple[str, str]) -> Content:
    job = content.reading.job
    workshop = replace(job.workshop, add_sections=added)
    return replace(content, reading=replace(content.reading, job=replace(job, workshop=workshop)))


def faults(act: Callable[[], object]) -> tuple[Fault, ...]:
    with pytest.raises(ThemeError) as raised:
        act()
    return raised.value.faults


@pytest.mark.parametrize(
    ("added", "order"),
    [
        ({"x": "b"}, "a b x c"),
        ({"x": "b", "y": "b"}, "a b x y c"),
        ({"x": "b", "y": "x"}, "a b x y c"),
        ({"x": "c"}, "a b c x"),
        ({"c": "a"}, "a b c"),
    ],
)
def test_an_added_section_follows_the_one_it_names(added: dict[str, str], order: str) -> None:
    sections = SectionOrder(["a", "b", "c"])
    sections.add(added, {})

    assert " ".join(sections.names) == order
    assert sections.faults == []


def test_a_section_that_would_follow_nothing_is_reported_with_what_was_meant() -> None:
    sections = SectionOrder(["letter", "cautions"])
    sections.add({"storage": "cautoins"}, {"storage": Mark("shop.yaml", 3)})
    (fault,) = sections.faults

    assert (fault.code, str(fault.mark)) == ("section-misplaced", "shop.yaml:3")
    assert "Did you mean" in fault.hint
    assert sections.names == ["letter", "cautions"]


@pytest.mark.parametrize("theme", ["base", "linden", "bench"])
def test_a_section_with_its_own_templates_works_in_every_theme(
    theme: str, content_of: Callable[[str], Content], world: World
) -> None:
    content = adding(content_of("demo"), ("storage", "cautions"))
    document = compose(content, Beside(Storage()), world, theme)
    names = [part.name for part in document.shown.parts]

    assert names[names.index("cautions") + 1] == "storage"
    assert document.files["storage.typ"] == b'#let part(dial) = [#par("Keep it dry.")]\n'
    assert "<p>Keep it dry.</p>" in output.make(document).data.decode()


def test_the_record_names_the_package_of_a_section_and_not_of_a_figure_that_is_only_installed(
    content_of: Callable[[str], Content], world: World
) -> None:
    class Packaged(WithFigure):
        def package(self, kind: str, name: str) -> tuple[str, str] | None:
            ours = super().package(kind, name)
            return ("brambles", "2.1+3f2a") if (kind, name) == ("sections", "storage") else ours

        def names(self, kind: str) -> list[str]:
            return [*super().names(kind), *(["sketch"] if kind == "figures" else [])]

    registry = Packaged("")
    registry.section = Storage()
    shown = compose(adding(content_of("demo"), ("storage", "cautions")), registry, world).shown
    (record,) = [part.values for part in shown.parts if part.name == "record"]

    assert record["software"] == ["trimscribe 1.2.3", "typst 4.5.6", "brambles 2.1+3f2a"]
    assert shown.versions["brambles"] == "2.1+3f2a"  # what the output json has


def test_the_record_names_a_package_that_only_draws_a_figure_that_is_shown(
    content_of: Callable[[str], Content], world: World
) -> None:
    class Installed(WithFigure):
        def names(self, kind: str) -> list[str]:
            return [*super().names(kind), *(["sketch"] if kind == "figures" else [])]

    registry = Installed('<svg xmlns="http://www.w3.org/2000/svg"/>')
    content = adding(content_of("demo"), ("storage", "cautions"))
    shown = compose(content, registry, world).shown
    (record,) = [part.values for part in shown.parts if part.name == "record"]

    assert record["software"] == ["trimscribe 1.2.3", "typst 4.5.6", "hedgerow 1.0"]


def test_a_theme_shows_its_own_template_in_place_of_the_section_s(
    content_of: Callable[[str], Content], world: World, tmp_path: Path
) -> None:
    (tmp_path / "templates").mkdir()
    (tmp_path / "theme.yaml").write_text(
        "{trimscribe: 1, name: mine, extends: base, add_sections: {storage: {after: letter}}}"
    )
    (tmp_path / "templates" / "storage.typ.j2").write_text("#strong(<< text >>)")
    document = compose(content_of("demo"), Beside(Storage()), world, str(tmp_path))

    assert [part.name for part in document.shown.parts][:2] == ["letter", "storage"]
    assert document.files["storage.typ"] == b'#let part(dial) = [#strong("Keep it dry.")]\n'


def test_a_block_that_the_section_s_own_template_lacks_is_reported(tmp_path: Path) -> None:
    (tmp_path / "templates").mkdir()
    (tmp_path / "theme.yaml").write_text("{trimscribe: 1, name: mine, extends: base}")
    (tmp_path / "templates" / "storage.typ.j2").write_text(
        '<% extends "section.storage:storage.typ.j2" %>\n<% block stroage %><% endblock %>'
    )
    section = Storage({"storage.typ.j2": f"<% block storage %>{PAPER}<% endblock %>"})
    (fault,) = lint(str(tmp_path), Beside(section))[1]

    assert (fault.code, fault.mark and fault.mark.line) == ("block-unknown", 2)
    assert fault.hint == "Did you mean `storage`?"


def test_a_section_without_a_template_for_the_phone_is_reported_with_its_place(
    content_of: Callable[[str], Content], world: World
) -> None:
    content = adding(content_of("demo"), ("storage", "cautions"))
    document = compose(content, Beside(Storage({"storage.typ.j2": PAPER})), world)
    (fault,) = faults(lambda: output.make(document))

    assert fault.code == "template-missing"
    assert "“storage.html.j2”, which the page for the phone needs" in fault.message
    assert str(fault.mark).endswith("section storage: storage.typ.j2")
    assert fault.hint == "Write it beside storage.typ.j2, or leave the section out of this theme."


def test_a_figure_that_nobody_draws_is_told_with_the_section_that_asks_for_it(
    content_of: Callable[[str], Content], world: World
) -> None:
    class Slip(Storage):
        def view(self, view: View) -> SectionView:
            return SectionView(values={"text": "Keep it dry."}, figures=("side_vew",))

    content = adding(content_of("demo"), ("storage", "cautions"))
    with pytest.raises(PluginError) as caught:
        compose(content, Beside(Slip()), world)
    (fault,) = caught.value.faults

    assert fault.message == "There is no “side_vew” in figures. The section “storage” asks for it."
    assert fault.hint.startswith("Did you mean `side_view`?")


def test_what_a_shop_file_adds_is_read_and_a_slip_is_reported_with_its_line(tmp_path: Path) -> None:
    shop = tmp_path / "shop.yaml"
    shop.write_text(
        "trimscribe: 1\nname: Netherby Loft\nadd_sections:\n  lines: {after: cautions}\n"
        "  storage: {after: cautoins}\n"
    )
    registry = Registry.installed()
    reading = prepare(ROOT / "examples" / "demo.yaml", registry, shop).reading
    found = faults(lambda: resolve("", reading.job.workshop, registry, reading.marks))

    assert reading.job.workshop.add_sections == (("lines", "cautions"), ("storage", "cautoins"))
    assert [(one.code, one.mark.line if one.mark else 0) for one in found] == [
        ("section-misplaced", 5)
    ]


def test_a_section_that_nothing_makes_is_reported_where_it_was_added(tmp_path: Path) -> None:
    (tmp_path / "theme.yaml").write_text(
        "trimscribe: 1\nname: mine\nextends: base\nadd_sections:\n  sorage: {after: lines}\n"
    )
    workshop = prepare(ROOT / "examples" / "demo.yaml", Registry.installed()).reading.job.workshop
    (fault,) = faults(lambda: resolve(str(tmp_path), workshop, Registry.installed()))

    assert (fault.code, fault.mark and fault.mark.line) == ("section-unknown", 5)


@dataclass(frozen=True)
class Sketch:
    """A figure of somebody else."""

    svg: str
    contract: int = 2
    name: str = "sketch"

    def draw(self, view: View) -> Figure:
        return Figure(name="sketch", svg=self.svg, width_pt=10, height_pt=10, alt="A sketch.")


class WithFigure(Beside):
    """What is installed, a section, and a figure of another package that it shows."""

    def __init__(self, svg: str) -> None:
        super().__init__(Sketching())
        self.sketch = Sketch(svg)

    def get(self, kind: str, name: str) -> Any:
        return self.sketch if (kind, name) == ("figures", "sketch") else super().get(kind, name)

    def package(self, kind: str, name: str) -> tuple[str, str] | None:
        ours = super().package(kind, name)
        return ("hedgerow", "1.0") if (kind, name) == ("figures", "sketch") else ours


class Sketching(Storage):
    """A section with a figure."""

    def view(self, view: View) -> SectionView:
        return SectionView(values={"text": "Keep it dry."}, figures=("sketch",))


@pytest.mark.parametrize(
    ("inside", "words"),
    [
        ("<script>1</script>", "holds a `script` that runs code"),
        ('<path onclick="x"/>', "holds a `path` that runs code"),
        ('<path fill="url(http://x.example/a)"/>', "loads something"),
        ("<path", "is not SVG"),
    ],
)
def test_a_figure_that_runs_or_loads_is_refused_with_its_name_for_paper_and_page_alike(
    inside: str, words: str, content_of: Callable[[str], Content], world: World
) -> None:
    content = adding(content_of("demo"), ("storage", "cautions"))
    svg = f'<svg xmlns="http://www.w3.org/2000/svg">{inside}</svg>'
    with pytest.raises(PluginError) as raised:
        compose(content, WithFigure(svg), world)

    (fault,) = raised.value.faults
    assert fault.code == "figure-refused"
    assert "The figure “sketch”, from hedgerow" in fault.message
    assert words in fault.message


def test_a_figure_without_shapes_is_named_and_a_document_type_is_no_harm(
    content_of: Callable[[str], Content], world: World
) -> None:
    content = adding(content_of("demo"), ("storage", "cautions"))
    svg = '<!DOCTYPE svg>\n<svg xmlns="http://www.w3.org/2000/svg"><metadata/></svg>'
    document = compose(content, WithFigure(svg), world)
    with pytest.raises(TypesetError) as raised:
        output.make(document)

    assert "The figure “sketch” has no shapes" in raised.value.faults[0].message


def test_what_a_page_may_not_hold_is_reported_with_its_section(
    content_of: Callable[[str], Content], world: World
) -> None:
    content = adding(content_of("demo"), ("storage", "cautions"))
    templates = {"storage.typ.j2": PAPER, "storage.html.j2": "<script>1</script>"}
    document = compose(content, Beside(Storage(templates)), world)
    with pytest.raises(TypesetError) as raised:
        output.make(document)

    said = raised.value.faults[0].message
    assert said == "The element <script> is not for pages: section “storage”."
