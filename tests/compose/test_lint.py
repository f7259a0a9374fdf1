"""What is reported to those who write themes, beyond what stops a report."""

import shutil
from collections.abc import Callable
from pathlib import Path

import pytest
from fontTools.subset import Subsetter
from fontTools.ttLib import TTFont

from trimscribe.compose.lint import lint
from trimscribe.errors import Fault, Severity
from trimscribe.registry import Registry
from trimscribe.themes import base

Lint = Callable[..., tuple[Fault, ...]]
REGISTRY = Registry.installed()
SVG = '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 9 9">{}</svg>'


@pytest.fixture
def linted(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Lint:
    """Write a theme folder and look through it."""
    monkeypatch.chdir(tmp_path)

    def linted(theme: str = "", files: dict[str, str] | None = None) -> tuple[Fault, ...]:
        named = {"theme.yaml": f"trimscribe: 1\nname: mine\nextends: base\n{theme}"}
        for name, text in (named | (files or {})).items():
            path = tmp_path / "mine" / name
            path.parent.mkdir(parents=True, exist_ok=True)
            path.write_text(text, encoding="utf-8")
        look, faults = lint("./mine", REGISTRY)
        assert look.theme_chain == "mine → base"
        assert {fault.severity for fault in faults} <= {Severity.WARNING}
        return faults

    return linted


def test_a_small_sound_theme_has_nothing_to_mend(linted: Lint) -> None:
    assert linted("tokens: {accent: '#7a1f4b'}\n", {"README.md": "ours", "LICENCE.txt": "x"}) == ()


def test_red_and_green_are_told_apart_by_too_few(linted: Lint) -> None:
    faults = linted("tokens:\n  after: '#118811'\n  outside: '#cc0000'\n")

    assert {f.code for f in faults} == {"colours-alike"}
    (fault,) = [f for f in faults if "deuteranopia" in f.message]
    assert "`after` #118811 and `outside` #cc0000 (mine → base)" in fault.message
    assert fault.mark is not None
    assert (fault.mark.file, fault.mark.line) == ("mine/theme.yaml", 6)


def test_two_colours_of_one_grey_are_reported(linted: Lint) -> None:
    faults = linted("tokens: {before: '#a8641e', outside: '#a2459e'}\n")

    assert any("same grey" in fault.message for fault in faults)


def test_a_font_without_the_letters_of_a_language_or_of_names_is_reported(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    shutil.copytree(base.folder, "ours", ignore=shutil.ignore_patterns("*.otf"))
    text = Path("ours/theme.yaml").read_text(encoding="utf-8")
    Path("ours/theme.yaml").write_text(text.replace("name: base", "name: ours"), encoding="utf-8")
    with TTFont(base.folder / "fonts" / "Inter-Regular.otf") as font:
        subsetter = Subsetter()
        subsetter.populate(text="".join(map(chr, range(32, 127))))  # ASCII
        subsetter.subset(font)
        font.save("ours/fonts/Plain.otf")

    language, names = [f for f in lint("./ours", REGISTRY)[1] if f.code == "letters-missing"]
    assert "“" in language.message
    assert "which en is written with" in language.message
    assert "Ж" in names.message
    assert names.mark is not None
    assert "font: Inter" in names.mark.source


def test_files_that_nothing_uses_are_reported(linted: Lint) -> None:
    files = {
        "templates/letters.typ.j2": "x",
        "assets/leaf.svg": SVG.format("<path/>"),
        "assets/sun.svg": SVG.format("<path/>"),
        "notes/old.yaml": "x",
        "templates/cautions.typ.j2": '<% extends "base:cautions.typ.j2" %>'
        '<% block cautions %>#image("/assets/sun.svg", alt: "The sun")<% endblock %>',
    }
    faults = linted(files=files)

    assert {f.code for f in faults} == {"file-unused"}
    assert [str(f.mark) for f in faults] == [
        "mine/assets/leaf.svg",
        "mine/notes/old.yaml",
        "mine/templates/letters.typ.j2",
    ]


def test_a_picture_without_words_is_reported_at_its_line(linted: Lint) -> None:
    template = (
        '<% extends "base:cautions.typ.j2" %>\n<% block cautions %>\n'
        '#image("/assets/sun.svg", width: calc.max(1, 2) * 1cm)\n'
        '#image("/assets/sun.svg", alt: "The sun (yellow)")\n<< super() >>\n<% endblock %>'
    )
    (fault,) = linted(
        files={"assets/sun.svg": SVG.format("<path/>"), "templates/cautions.typ.j2": template}
    )

    assert fault.code == "alt-missing"
    assert str(fault.mark) == "mine/templates/cautions.typ.j2:3:2"


def test_a_block_that_no_parent_has_is_reported_at_its_line(linted: Lint) -> None:
    template = (
        '<% extends "base:cautions.typ.j2" %>\n<% block cautoins %>\n'
        "<% block inner %><% endblock %><% endblock %>"
    )
    (fault,) = linted(files={"templates/cautions.typ.j2": template})

    assert fault.code == "block-unknown"
    assert str(fault.mark) == "mine/templates/cautions.typ.j2:2:1"
    assert "`cautions`" in fault.hint


def test_a_picture_that_every_report_would_carry_is_weighed(linted: Lint) -> None:
    heavy = SVG.format(f'<path d="M{"0 0 " * 90_000}"/>')
    faults = linted(files={"assets/sun.svg": heavy})

    assert {f.code for f in faults} == {"file-unused", "picture-heavy"}
