"""The themes that ship: sound, plainly different, and written as a workshop would write them."""

from pathlib import Path

import pytest

from trimscribe.compose.themes import resolve
from trimscribe.model.workshop import Workshop
from trimscribe.registry import Registry
from trimscribe.themes import base
from trimscribe.theming import check_theme
from trimscribe.world import World

REGISTRY = Registry.installed()
FOLDER = Path(base.folder).parent
NAMES = sorted(path.parent.name for path in FOLDER.glob("*/theme.yaml"))
OTHERS = [name for name in NAMES if name != "base"]


def test_every_theme_that_ships_is_installed() -> None:
    assert set(NAMES) <= set(REGISTRY.names("themes"))
    assert len(NAMES) >= 3


@pytest.mark.parametrize("name", NAMES)
@pytest.mark.slow
def test_a_theme_that_ships_has_nothing_to_mend(name: str) -> None:
    checked = check_theme(name, REGISTRY, World.real())

    assert [f"{f.code}: {f.message}" for f in checked.faults] == []
    assert checked.pages["en"] > 3
    assert checked.says == () or name != "base"


@pytest.mark.parametrize("name", OTHERS)
def test_a_theme_of_a_workshop_needs_few_lines_and_no_code(name: str) -> None:
    files = [p for p in (FOLDER / name).rglob("*") if p.suffix in (".yaml", ".j2")]

    assert sum(len(p.read_text(encoding="utf-8").splitlines()) for p in files) < 150
    assert [p.name for p in (FOLDER / name).rglob("*.py")] == ["__init__.py"]
    assert len((FOLDER / name / "__init__.py").read_text().splitlines()) < 10


@pytest.mark.parametrize("name", NAMES)
def test_fonts_come_with_their_licence_and_stay_below_two_megabytes(name: str) -> None:
    fonts = FOLDER / name / "fonts"
    sizes = [p.stat().st_size for p in fonts.iterdir() if p.suffix in (".otf", ".ttf")]

    assert 0 < sum(sizes) < 2_000_000
    assert [p for p in fonts.glob("*.txt") if "icense" in p.read_text(encoding="utf-8")]


def test_themes_differ_in_face_paper_colours_and_pages() -> None:
    looks = [resolve(name, Workshop("x"), REGISTRY) for name in NAMES]

    for token in ("font", "size_pt", "margin_x_mm", "text", "accent", "before", "after"):
        assert len({look.tokens[token] for look in looks}) == len(looks), token
    assert {look.tokens["paper"] for look in looks} == {"a4", "us-letter"}
