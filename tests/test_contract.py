"""What plugins may build on: built-in ones keep to it, and those of the contract before work on."""

import ast
import inspect
import pickle
import re
import sys
import tomllib
from collections.abc import Callable, Iterator
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from trimscribe import errors, hints
from trimscribe.compose.document import compose
from trimscribe.contracts import KINDS, SUPPORTED, ImportedLength, SectionView
from trimscribe.errors import Mark
from trimscribe.model.document import Figure
from trimscribe.model.report import Report
from trimscribe.model.wing import Side
from trimscribe.pipeline import prepare
from trimscribe.registry import Registry
from trimscribe.world import World

ROOT = Path(__file__).parents[1]
FOLDERS = {
    "trimscribe.schemas": ROOT / "schemas",
    "trimscribe.themes": ROOT / "themes",
    "trimscribe": ROOT / "engine",
}
# All of Trimscribe that a plugin may import; DEVELOPERS.md says the same.
SURFACE = (
    "canvas",
    "colour",
    "contracts",
    "errors",
    "marked_text",
    "marked_yaml",
    "model",
    "templating",
)
# The modules that belong to the built-in plugins of a kind, as a stranger's package does to his.
OWN = {
    "importers": ("trimscribe.exports.importers", "trimscribe.exports.tables"),
    "analyses": ("trimscribe.analyse",),
    "languages": ("trimscribe.narrate.languages",),
    "sections": ("trimscribe.compose.sections",),
    "figures": ("trimscribe.compose.figures",),
    "themes": ("trimscribe.themes",),
    "outputs": ("trimscribe.outputs", "trimscribe.typeset"),
}
PLUGINS = [
    pytest.param(group.removeprefix("trimscribe."), value.partition(":")[0], id=value)
    for group, entries in tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))[
        "project"
    ]["entry-points"].items()
    for value in entries.values()
]


def within(module: str, packages: tuple[str, ...]) -> bool:
    return any(module == one or module.startswith(f"{one}.") for one in packages)


def file_of(module: str) -> Path | None:
    package = next(name for name in FOLDERS if within(module, (name,)))
    path = FOLDERS[package].joinpath(*module.removeprefix(package).strip(".").split("."))
    found = (path.with_suffix(".py"), path / "__init__.py")
    return next((file for file in found if file.is_file()), None)


def imported(module: str) -> Iterator[str]:
    """The modules of Trimscribe that a module imports, wherever in its text."""
    file = file_of(module)
    assert file, module
    for node in ast.walk(ast.parse(file.read_text(encoding="utf-8"))):
        if isinstance(node, ast.ImportFrom) and within(str(node.module), ("trimscribe",)):
            for alias in node.names:
                inner = f"{node.module}.{alias.name}"
                yield inner if file_of(inner) else str(node.module)
        elif isinstance(node, ast.Import):
            yield from (a.name for a in node.names if within(a.name, ("trimscribe",)))


@pytest.mark.parametrize(("kind", "module"), PLUGINS)
def test_a_built_in_plugin_imports_what_any_plugin_may(kind: str, module: str) -> None:
    surface = tuple(f"trimscribe.{name}" for name in SURFACE)
    waiting, seen = [module], set()
    while waiting:
        here = waiting.pop()
        seen.add(here)
        for name in imported(here):
            allowed = within(name, (*surface, *OWN[kind]))
            assert allowed, f"{here} imports {name}"
            if within(name, OWN[kind]) and name not in seen:
                waiting.append(name)


def test_developers_read_what_a_plugin_may_import() -> None:
    guide = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")

    assert all(f"`trimscribe.{name}`" in guide for name in SURFACE)


BUILT = (ImportedLength, SectionView, Figure, Report)
LENGTH = {
    "side": Side.LEFT,
    "group": "A",
    "point": 1,
    "length_mm": 7334.0,
    "mark": Mark("x.csv", 1),
}


@pytest.mark.parametrize("built", BUILT)
def test_what_plugins_build_takes_its_values_by_name(built: type) -> None:
    parameters = [*inspect.signature(built).parameters.values()]

    assert len(parameters) > 2
    assert {parameter.kind for parameter in parameters} == {inspect.Parameter.KEYWORD_ONLY}


def test_names_that_have_moved_are_still_where_they_were_and_warn() -> None:
    for name in ("suggest", "number_hint"):
        with pytest.warns(DeprecationWarning, match=f"`{name}` is in trimscribe.errors"):
            assert getattr(hints, name) is getattr(errors, name)
    with pytest.raises(AttributeError, match="'nearest'"):
        _ = hints.nearest


def test_values_by_position_still_work_and_warn() -> None:
    with pytest.warns(DeprecationWarning, match="by name since contract 2: side=…, group=…, point"):
        old = ImportedLength(*LENGTH.values())

    new = ImportedLength(**LENGTH)
    assert old == new == pickle.loads(pickle.dumps(new))
    assert replace(new, point=2).point == 2
    assert hash(old) == hash(new)
    for values, named, wrong in (
        ([Side.LEFT], {"side": Side.LEFT}, "multiple values"),
        ([*LENGTH.values(), "more"], {}, "has 5 values, not 6"),
    ):
        with pytest.raises(TypeError, match=wrong), pytest.warns(DeprecationWarning, match="name"):
            ImportedLength(*values, **named)
    with pytest.raises(TypeError, match="missing"):
        ImportedLength(side=Side.LEFT)


def test_every_kind_has_its_numbers_and_developers_read_them() -> None:
    guide = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
    rows = re.findall(r"^\| (\w+) \| (\d)(?: to (\d))? \|", guide, re.MULTILINE)

    assert set(SUPPORTED) == set(KINDS)
    assert {kind: (int(a), int(b or a)) for kind, a, b in rows} == SUPPORTED
    registry = Registry.installed()
    for kind, (_, newest) in SUPPORTED.items():
        ours = [one for one in registry.all(kind) if owner(registry, kind, one) == "trimscribe"]
        assert ours
        assert {plugin.contract for plugin in ours} == {newest}


def owner(registry: Registry, kind: str, plugin: Any) -> str:
    """The package that a plugin comes from."""
    name, _ = registry.package(kind, plugin.name) or ("", "")
    return name


@pytest.fixture
def harbour(monkeypatch: pytest.MonkeyPatch) -> Callable[[str], Any]:
    """Plugins that were built against the contract before."""
    monkeypatch.syspath_prepend(ROOT / "tests" / "fake_plugin" / "previous")
    monkeypatch.delitem(sys.modules, "harbour_tools", raising=False)
    registry = Registry.installed()
    return lambda kind: registry.get(kind, "harbour")


@pytest.mark.parametrize("kind", KINDS)
def test_a_plugin_of_the_contract_before_is_used(kind: str, harbour: Callable[[str], Any]) -> None:
    oldest, newest = SUPPORTED[kind]

    assert harbour(kind).contract == oldest == max(1, newest - 1)


@pytest.mark.filterwarnings("ignore:.*by name since contract 2:DeprecationWarning")
def test_a_report_with_plugins_of_the_contract_before(
    harbour: Callable[[str], Any], tmp_path: Path
) -> None:
    lengths, faults = harbour("importers").read(b"7334\n7325\n", "x.harbour")
    (tmp_path / "templates").mkdir()
    (tmp_path / "theme.yaml").write_text(
        "{trimscribe: 1, name: quay, extends: harbour, "
        "sections: [letter, cautions, harbour, record]}"
    )
    (tmp_path / "templates" / "harbour.typ.j2").write_text(
        "#par(<< title >>, << figures[0].alt >>)"
    )
    registry = Registry.installed()
    content = prepare(ROOT / "examples" / "demo.yaml", registry)
    document = compose(content, registry, World({"trimscribe": "1"}), str(tmp_path))

    assert [one.length_mm for one in lengths] == [7334.0, 7325.0]
    assert faults == ()
    assert content.findings.extra["harbour"]["adjustments"] > 0
    part = document.files["harbour.typ"].decode()
    assert part == '#let part(dial) = [#par("Harbour", "Nothing.")]\n'
    assert harbour("outputs").make(document).data == document.main.encode()
