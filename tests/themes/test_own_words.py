"""What `theme check` says of strangers' themes: their own words, and fonts that draw others."""

from collections.abc import Callable
from pathlib import Path

import pytest
from fontTools.ttLib import TTFont

from trimscribe.errors import Severity
from trimscribe.registry import Registry
from trimscribe.themes import base, bench, linden
from trimscribe.theming import Checked, check_theme
from trimscribe.world import World

pytestmark = pytest.mark.slow

REGISTRY = Registry.installed()
LETTER = '<% extends "base:letter.typ.j2" %>\n<% block foot %>\n<< super() >>\n{}\n<% endblock %>'
VOLLKORN = linden.folder / "fonts" / "Vollkorn-Regular.ttf"
ROBOTO = bench.folder / "fonts" / "RobotoCondensed-Regular.ttf"
SAID = "Never mind the numbers."


def written(folder: Path, theme: str = "", **files: str) -> str:
    """Write a theme that changes some files of base."""
    named = {"theme.yaml": f"trimscribe: 1\nname: strange\nextends: base\n{theme}"}
    for name, text in (named | {k.replace("__", "/"): v for k, v in files.items()}).items():
        path = folder / name
        path.parent.mkdir(exist_ok=True)
        path.write_text(text, encoding="utf-8")
    return str(folder)


def checked(folder: Path, theme: str = "", **files: str) -> Checked:
    """Have a theme checked that changes some files of base."""
    return check_theme(written(folder, theme, **files), REGISTRY, World.real())


# A theme adds all of them, each in another way and with words that are known between them.
SENTENCES = {
    SAID: SAID,
    "Never read the tables.": '#text("Never read the tables.")',
    "Never ask the pilot.": "#text(<< 'Never ask the pilot.' >>)",
    "Never trust the verdicts.": '#text("Never " + "trust") the verdicts.',
    "Never count the loops.": '#{ ("Never", "count", "the", "loops.").join(" ") }',
    "Never check the risers.": "<% if verdicts|length > 99 %>Never check the risers.<% endif %>",
    "Never sort the brakes.": '#context if here().page() > 99 { "Never sort the brakes." }',
    "Never weigh the canopy.": "#upper[Never weigh the canopy.]",
}


def test_every_sentence_that_a_theme_adds_is_listed_by_itself(tmp_path: Path) -> None:
    code = "\n<< super() >>\n".join(SENTENCES.values())
    found = checked(tmp_path, **{"templates__letter.typ.j2": LETTER.format(code)})

    assert not [fault for fault in found.faults if fault.severity is Severity.ERROR]
    assert sorted(found.says) == sorted([*SENTENCES, "NEVER WEIGH THE CANOPY."])


def test_texts_and_headings_of_a_theme_file_and_of_the_page_are_listed(tmp_path: Path) -> None:
    theme = "wording: {en: {before_you_fly: Go}}\nphrases: {en: {bye: Fly as you like}}\n"
    page = (base.folder / "templates" / "page.html.j2").read_text(encoding="utf-8")
    files = {"templates__page.html.j2": page.replace("</main>", f"</main><p>{SAID}</p>")}

    assert {"Go", "Fly as you like", SAID} <= set(checked(tmp_path, theme, **files).says)


def test_the_command_lists_them(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    from trimscribe.cli.app import main

    theme = written(tmp_path, "phrases: {en: {bye: Fly as you like}}\n")

    with pytest.raises(SystemExit):
        main(["theme", "check", theme])
    assert "This theme says, in its own words: Fly as you like" in capsys.readouterr().err


def with_font(folder: Path, source: Path, *changes: Callable[[TTFont], None]) -> None:
    """Give a theme a font that was changed."""
    (folder / "fonts").mkdir(exist_ok=True)
    with TTFont(source) as font:
        for change in changes:
            change(font)
        font.save(folder / "fonts" / source.name)


def false(found: Checked) -> set[str]:
    """What is reported of fonts that draw something else."""
    return {fault.message for fault in found.faults if fault.code == "font-false"}


def shifted(font: TTFont) -> None:
    """Every letter draws the next."""
    for table in font["cmap"].tables:
        known = dict(table.cmap)
        for first, last in ("az", "AZ", "09"):
            for code in range(ord(first), ord(last)):
                table.cmap[code] = known[code + 1]


def swapped(font: TTFont) -> None:
    """A 4 is drawn as a 1."""
    for table in font["cmap"].tables:
        table.cmap[ord("4")] = table.cmap[ord("1")]


def joined(font: TTFont) -> None:
    """The word outside is drawn as one character, whose outline may be any word."""
    from fontTools.feaLib.builder import addOpenTypeFeaturesFromString

    addOpenTypeFeaturesFromString(
        font, "feature liga { sub o u t s i d e by asterisk; } liga;", tables=["GSUB"]
    )


def test_fonts_that_draw_something_else_are_refused(tmp_path: Path) -> None:
    with_font(tmp_path, VOLLKORN, swapped, joined)
    with_font(tmp_path, ROBOTO, shifted)
    found = checked(tmp_path, "tokens: {font: Vollkorn, font_drawings: Roboto}\n")

    assert {
        "The font “Roboto” draws other letters than it says.",
        "The font “Vollkorn” draws “1” for “4”.",
        "A font draws “outside” as one character, which may be another word.",
    } <= false(found)


def test_a_theme_that_only_restyles_says_nothing_and_its_font_is_let_through(
    tmp_path: Path,
) -> None:
    with_font(tmp_path, VOLLKORN)
    found = checked(tmp_path, 'tokens: {font: Vollkorn, accent: "#7a1f4b"}\n')

    assert found.says == ()
    assert false(found) == set()
