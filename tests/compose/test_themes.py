"""Themes: joined with parents and brand, and refused with a place when they are not fit."""

import shutil
from collections.abc import Callable
from pathlib import Path

import pytest

from trimscribe.compose.theme_files import chain_of
from trimscribe.compose.themes import Look, resolve
from trimscribe.errors import Fault, ThemeError
from trimscribe.model.ink import Ink
from trimscribe.model.workshop import Workshop
from trimscribe.registry import Registry
from trimscribe.themes import base

SHOP = Workshop("Quarry Hill Canopy Works")
Write = Callable[..., str]


@pytest.fixture
def write(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Write:
    """Write a theme folder; its name relative to where the test is."""
    monkeypatch.chdir(tmp_path)

    def write(theme: str, folder: str = "mine", **templates: str) -> str:
        (tmp_path / folder / "templates").mkdir(parents=True, exist_ok=True)
        (tmp_path / folder / "theme.yaml").write_text(theme, encoding="utf-8")
        for name, text in templates.items():
            (tmp_path / folder / "templates" / f"{name}.typ.j2").write_text(text, encoding="utf-8")
        return f"./{folder}"

    return write


def look(theme: str, workshop: Workshop = SHOP) -> Look:
    return resolve(theme, workshop, Registry.installed())


def fault(theme: str, workshop: Workshop = SHOP) -> Fault:
    with pytest.raises(ThemeError) as raised:
        look(theme, workshop)
    (found,) = raised.value.faults
    return found


def test_base_is_the_theme_of_a_workshop_that_names_none() -> None:
    assert look("").name == "base"


def test_the_workshop_names_a_theme_and_the_caller_another(write: Write) -> None:
    folder = write("{trimscribe: 1, name: mine, extends: base}")
    shop = Workshop("x", theme=folder)

    assert look("", shop).name == "mine"
    assert look("base", shop).name == "base"


def test_a_theme_changes_what_it_names_and_keeps_the_rest(write: Write) -> None:
    folder = write(
        'trimscribe: 1\nname: mine\nextends: base\ntokens: {accent: "#7a1f4b"}\n'
        "sections: [cautions, letter, record]\n"
    )
    found, parent = look(folder), look("base")

    assert found.sections == ("cautions", "letter", "record")
    assert {k for k in found.tokens if found.tokens[k] != parent.tokens[k]} == {"accent"}


def test_the_workshop_s_accent_and_paper_win_over_the_theme() -> None:
    shop = Workshop("x", accent="#7a1f4b", paper="us-letter")
    found = look("base", shop)

    assert Ink.of(found.tokens).accent == "#7a1f4b"
    # US Letter is 8.5 inches wide (ANSI/ASME Y14.1), base keeps margins of 20 mm.
    assert found.width_pt == pytest.approx(8.5 * 72 - 2 * 20 / 25.4 * 72)


def test_a_block_of_a_parent_s_template_is_replaced_and_the_rest_stays(write: Write) -> None:
    folder = write(
        "{trimscribe: 1, name: mine, extends: base}",
        cautions='<% extends "base:cautions.typ.j2" %><% block cautions %>OURS<% endblock %>',
    )
    text = look(folder).templates.render("cautions.typ.j2", {"title": "x", "cautions": []})

    assert '#import "kit.typ"' in text
    assert "OURS" in text
    assert "heading" not in text


def test_an_unknown_theme_is_reported_with_the_nearest_name(write: Write) -> None:
    assert "base" in fault("bass").hint
    assert fault("zzz").code == "theme-unknown"

    found = fault(write("trimscribe: 1\nname: mine\nextends: nobody_s\n"))
    assert (found.code, str(found.mark)) == ("theme-unknown", "mine/theme.yaml:3:10")


def test_a_theme_without_a_required_section_is_refused(write: Write) -> None:
    folder = write("trimscribe: 1\nname: mine\nextends: base\nsections: [letter, record]\n")
    found = fault(folder)

    assert found.code == "theme-lacks-section"
    assert "cautions" in found.message
    assert found.mark is not None
    assert (found.mark.file, found.mark.line) == ("mine/theme.yaml", 4)


def test_unreadable_colours_are_refused_wherever_they_come_from(write: Write) -> None:
    folder = write('trimscribe: 1\nname: mine\nextends: base\ntokens:\n  text: "#c0c0c0"\n')
    found = fault(folder)

    assert found.code == "contrast-too-low"
    assert found.mark is not None
    assert found.mark.line == 5
    assert fault("base", Workshop("x", accent="#ffe000")).code == "contrast-too-low"


def test_a_dark_page_is_judged_against_its_own_background(write: Write) -> None:
    folder = write('{trimscribe: 1, name: mine, extends: base, tokens: {background: "#23282d"}}')

    with pytest.raises(ThemeError) as raised:
        look(folder)
    assert {f.code for f in raised.value.faults} == {"contrast-too-low"}
    assert len(raised.value.faults) > 3  # all at once


def test_text_too_small_to_read_is_refused(write: Write) -> None:
    assert fault(write("{trimscribe: 1, name: a, extends: base, tokens: {size_pt: 5}}")).code == (
        "text-too-small"
    )


def test_a_font_that_no_file_brings_is_refused(write: Write) -> None:
    found = fault(write("{trimscribe: 1, name: a, extends: base, tokens: {font: Garamond}}"))

    assert found.code == "font-missing"
    assert "Inter" in found.hint


def test_a_theme_that_extends_nothing_must_bring_everything(write: Write) -> None:
    folder = write("{trimscribe: 1, name: mine, tokens: {paper: a4}}")

    with pytest.raises(ThemeError) as raised:
        look(folder)
    codes = {f.code for f in raised.value.faults}
    assert codes == {"theme-lacks-token", "theme-lacks-section"}


def test_a_slip_in_a_key_is_reported_with_its_place_and_the_nearest_name(write: Write) -> None:
    folder = write("trimscribe: 1\nname: mine\nextends: base\ntokens:\n  acent: '#123456'\n")
    found = fault(folder)

    assert found.code == "unknown-key"
    assert "accent" in found.hint
    assert str(found.mark).startswith("mine/theme.yaml:5:3")


@pytest.mark.parametrize("colour", ["red", "#12345", "rgb(1,2,3)", "#12345g"])
def test_a_colour_is_six_hexadecimal_digits_and_nothing_else(write: Write, colour: str) -> None:
    folder = write(f"{{trimscribe: 1, name: a, extends: base, tokens: {{accent: '{colour}'}}}}")

    assert fault(folder).code == "wrong-form"


def test_a_folder_without_a_theme_is_reported(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    Path("empty").mkdir()

    assert fault("./empty").code == "theme-missing"


def test_themes_that_extend_each_other_are_reported_and_do_not_hang(write: Write) -> None:
    # Only an installed name can be extended, so a theme that carries a parent's name closes a ring.
    folder = write("{trimscribe: 1, name: base, extends: base}")

    assert fault(folder).code == "theme-circle"


def test_a_theme_extends_one_beside_it_and_none_elsewhere(tmp_path: Path) -> None:
    for name, extends in {
        "mine": "../house",
        "house": "../../far",
        "near": "../mine/below",
    }.items():
        (tmp_path / "shop" / name).mkdir(parents=True)
        text = f"trimscribe: 1\nname: {name}\nextends: {extends}\n"
        (tmp_path / "shop" / name / "theme.yaml").write_text(text)
    for folder in (tmp_path / "far", tmp_path / "shop" / "mine" / "below"):
        folder.mkdir()
        (folder / "theme.yaml").write_text("trimscribe: 1\nname: last\nextends: base\n")

    found = fault(str(tmp_path / "shop" / "mine"))

    assert found.code == "file-outside"
    assert found.mark
    assert found.mark.file.endswith("house/theme.yaml")
    chain = chain_of(str(tmp_path / "shop" / "near"), Registry.installed())
    assert [theme.file.name for theme in chain] == ["near", "last", "base"]


def test_links_in_a_theme_are_refused(write: Write, tmp_path: Path) -> None:
    folder = write("{trimscribe: 1, name: mine, extends: base}")
    secret = tmp_path / "secret.typ.j2"
    secret.write_text("outside")
    (tmp_path / folder / "templates" / "letter.typ.j2").symlink_to(secret)

    assert fault(folder).code == "theme-link"


def test_a_template_that_is_no_text_is_reported(write: Write, tmp_path: Path) -> None:
    folder = write("{trimscribe: 1, name: mine, extends: base}")
    (tmp_path / folder / "templates" / "letter.typ.j2").write_bytes(b"\xff\xfe\x00")

    assert fault(folder).code == "theme-not-utf-8"


def test_a_file_of_absurd_size_is_not_read(write: Write, tmp_path: Path) -> None:
    folder = write("{trimscribe: 1, name: mine, extends: base}")
    (tmp_path / folder / "assets").mkdir()
    with (tmp_path / folder / "assets" / "big.png").open("wb") as stream:
        stream.truncate(9_000_000)

    assert fault(folder).code == "file-too-large"


def test_a_changed_theme_is_read_again(write: Write) -> None:
    folder = write('{trimscribe: 1, name: mine, extends: base, tokens: {accent: "#7a1f4b"}}')
    first = look(folder).tokens["accent"]
    write('{trimscribe: 1, name: mine, extends: base, tokens: {accent: "#111111"} }')

    assert (first, look(folder).tokens["accent"]) == ("#7a1f4b", "#111111")


def test_a_copy_of_base_under_another_name_needs_no_parent(tmp_path: Path) -> None:
    copy = tmp_path / "copy"
    shutil.copytree(base.folder, copy)
    text = (copy / "theme.yaml").read_text(encoding="utf-8")
    (copy / "theme.yaml").write_text(text.replace("name: base", "name: ours"), encoding="utf-8")

    assert look(str(copy)).name == "ours"
