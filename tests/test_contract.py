"""What plugins may build on: the built-in ones keep to it."""

import ast
import tomllib
from collections.abc import Iterator
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]
FOLDERS = {
    "trimscribe.schemas": ROOT / "schemas",
    "trimscribe.themes": ROOT / "themes",
    "trimscribe": ROOT / "engine",
}
# All of Trimscribe that a plugin may import; DEVELOPERS.md says the same.
SURFACE = ("canvas", "colour", "contracts", "errors", "model", "templating")
# The modules that belong to the built-in plugins of a kind, as a stranger's package does to his.
OWN = {
    "importers": ("trimscribe.read.importers", "trimscribe.read.tables", "trimscribe.read.cells"),
    "analyses": ("trimscribe.analyse",),
    "languages": ("trimscribe.narrate.languages",),
    "sections": ("trimscribe.compose.sections",),
    "figures": ("trimscribe.compose.figures",),
    "themes": ("trimscribe.themes",),
    "outputs": ("trimscribe.outputs", "trimscribe.typeset"),
}
# Not kept yet: they share with the reader of jobs how text is marked and faults are hinted at.
BESIDES = {
    "importers": ("trimscribe.marked_text", "trimscribe.marked_yaml", "trimscribe.schemas"),
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
            allowed = within(name, (*surface, *OWN[kind], *BESIDES.get(kind, ())))
            assert allowed, f"{here} imports {name}"
            if within(name, OWN[kind]) and name not in seen:
                waiting.append(name)


def test_developers_read_what_a_plugin_may_import() -> None:
    guide = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")

    assert all(f"`trimscribe.{name}`" in guide for name in SURFACE)
