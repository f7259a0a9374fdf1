"""What templates receive is what is written down for those who write themes."""

from collections.abc import Callable, Iterator, Mapping
from pathlib import Path
from typing import Any

import pytest
from pytest_regressions.file_regression import FileRegressionFixture

from trimscribe.compose.document import compose
from trimscribe.compose.wording import OwnSection
from trimscribe.contracts import View
from trimscribe.model import template_values
from trimscribe.model.document import Content
from trimscribe.registry import Registry
from trimscribe.world import World

ROOT = Path(__file__).parents[2]
NAMES = (
    "bench_sheet",
    "cautions",
    "changes",
    "checks",
    "history",
    "letter",
    "lines",
    "record",
    "terms",
)
JOBS = ("demo", "outside", "inspection", "two-row", "four-row", "cloth-only", "missing-data")


def typed(section: str) -> Mapping[str, Any]:
    return getattr(template_values, class_of(section)).__annotations__


def class_of(section: str) -> str:
    return f"{section.title().replace('_', '')}Values"


def paths(value: object, at: str = "") -> Iterator[str]:
    """Every name with those that are in it, whichever entry of a list has them."""
    if isinstance(value, Mapping):
        for name, inner in value.items():
            yield f"{at}{name}"
            yield from paths(inner, f"{at}{name}.")
    elif isinstance(value, (list, tuple)):
        for inner in value:
            yield from paths(inner, at)


@pytest.mark.parametrize("job", JOBS)
def test_each_section_hands_over_exactly_the_names_that_are_written_down(
    job: str, see: Callable[[str], View], registry: Registry
) -> None:
    view, seen = see(job), 0
    for name in NAMES:
        shown = registry.get("sections", name).view(view)
        if shown is not None:
            assert shown.values.keys() == typed(name).keys(), name
            seen += 1
    assert OwnSection("care").view(view).values.keys() == typed("own").keys()
    assert seen >= 4


def test_every_section_has_its_names_written_down(registry: Registry) -> None:
    classes = {name for name in template_values.__all__ if name != "OwnValues"}

    assert classes == {class_of(name) for name in NAMES}
    assert set(NAMES) == {
        name
        for name in registry.names("sections")
        if (registry.package("sections", name) or ("",))[0] == "trimscribe"
    }


def test_no_name_disappears_unseen(
    see: Callable[[str], View], registry: Registry, file_regression: FileRegressionFixture
) -> None:
    """A name that goes breaks themes: DEVELOPERS.md has the rule of deprecation."""
    found: dict[str, set[str]] = {name: set() for name in NAMES}
    for job in JOBS:
        for name in NAMES:
            shown = registry.get("sections", name).view(see(job))
            found[name] |= set(paths(shown.values)) if shown else set()
    lines = [f"{name}: {', '.join(sorted(values))}" for name, values in found.items() if values]

    file_regression.check("\n".join(lines) + "\n", encoding="utf-8")


def test_what_all_templates_see(
    content_of: Callable[[str], Content], registry: Registry, world: World, tmp_path: Path
) -> None:
    (tmp_path / "templates").mkdir()
    (tmp_path / "theme.yaml").write_text(
        "{trimscribe: 1, name: mine, extends: base, add_sections: {care: {after: letter}}, "
        "phrases: {en: {dry: Dry.}}}"
    )
    (tmp_path / "templates" / "care.typ.j2").write_text(
        "#par(<< t.accent >>, << phrases.dry >>, << about.model >>, << labels.found >>, "
        "<< figures|length >>)"
    )
    document = compose(content_of("demo"), registry, world, str(tmp_path))

    assert document.files["care.typ"] == (
        b'#let part(dial) = [#par("#24566b", "Dry.", "Medlar", "Found", (0))]\n'
    )
