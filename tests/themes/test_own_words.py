"""What `theme check` says of strangers' themes: their own words, and fonts that draw others."""

from pathlib import Path

import pytest
from fontTools.ttLib import TTFont

from trimscribe.errors import Severity
from trimscribe.registry import Registry
from trimscribe.themes import base, linden
from trimscribe.theming import Checked, check_theme
from trimscribe.world import World

pytestmark = pytest.mark.slow

REGISTRY = Registry.installed()
LETTER = '<% extends "base:letter.typ.j2" %>\n<% block foot %>\n<< super() >>\n{}\n<% endblock %>'
SAID = "Never mind the numbers."


def checked(folder: Path, theme: str = "", **files: str) -> Checked:
    """Have a theme checked that changes some files of base."""
    named = {"theme.yaml": f"trimscribe: 1\nname: strange\nextends: base\n{theme}"}
    for name, text in (named | {k.replace("__", "/"): v for k, v in files.items()}).items():
        path = folder / name
        path.parent.mkdir(exist_ok=True)
        path.write_text(text, encoding="utf-8")
    return check_theme(str(folder), REGISTRY, World.real())


def letter(code: str) -> dict[str, str]:
    return {"templates__letter.typ.j2": LETTER.format(code)}


@pytest.mark.parametrize(
    "code",
    [
        SAID,
        f'#text("{SAID}")',
        f"#text(<< '{SAID}' >>)",
        '#text("Never " + "mind") the numbers.',
        '#{ ("Never", "mind", "the", "numbers.").join(" ") }',
        "<% if verdicts|length > 99 %>Never mind the numbers.<% endif %>",
        '#if here().page() > 99 { "Never mind the numbers." }',
        "#upper[Never mind the numbers.]",
    ],
)
def test_a_sentence_that_a_theme_adds_is_listed(code: str, tmp_path: Path) -> None:
    code = code if "here()" not in code else code.replace("#if", "#context if")
    found = checked(tmp_path, **letter(code))
    says = found.says

    assert not [fault for fault in found.faults if fault.severity is Severity.ERROR]
    assert "never mind the numbers" in " ".join(says).casefold()
    assert len(says) < 4


def test_texts_and_headings_of_a_theme_file_and_of_the_page_are_listed(tmp_path: Path) -> None:
    theme = "wording: {en: {before_you_fly: Go}}\nphrases: {en: {bye: Fly as you like}}\n"
    page = (base.folder / "templates" / "page.html.j2").read_text(encoding="utf-8")
    files = {"templates__page.html.j2": page.replace("</main>", f"</main><p>{SAID}</p>")}

    assert {"Go", "Fly as you like", SAID} <= set(checked(tmp_path, theme, **files).says)


def test_a_theme_that_only_restyles_says_nothing(tmp_path: Path) -> None:
    assert checked(tmp_path, 'tokens: {accent: "#7a1f4b"}\n').says == ()
    assert check_theme("base", REGISTRY, World.real()).says == ()


def test_the_command_lists_them(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    from trimscribe.cli.app import main

    checked(tmp_path, "phrases: {en: {bye: Fly as you like}}\n")

    with pytest.raises(SystemExit):
        main(["theme", "check", str(tmp_path)])
    assert "This theme says, in its own words: Fly as you like" in capsys.readouterr().err


def fonted(folder: Path, change: object) -> list[str]:
    """What is reported of a theme whose font was changed."""
    (folder / "fonts").mkdir()
    with TTFont(linden.folder / "fonts" / "Vollkorn-Regular.ttf") as font:
        change(font)  # type: ignore[operator]
        font.save(folder / "fonts" / "Vollkorn.ttf")
    faults = checked(folder, "tokens: {font: Vollkorn}\n").faults
    return [fault.message for fault in faults if fault.code == "font-false"]


def shifted(font: TTFont) -> None:
    """Every letter draws the next."""
    for table in font["cmap"].tables:
        known = dict(table.cmap)
        for first, last in ("az", "AZ", "09"):
            for code in range(ord(first), ord(last)):
                table.cmap[code] = known[code + 1]


def swapped(font: TTFont) -> None:
    """A 7 is drawn as a 1."""
    for table in font["cmap"].tables:
        table.cmap[ord("4")] = table.cmap[ord("1")]


def joined(font: TTFont) -> None:
    """The word outside is drawn as one character, whose outline may be any word."""
    from fontTools.feaLib.builder import addOpenTypeFeaturesFromString

    addOpenTypeFeaturesFromString(
        font, "feature liga { sub o u t s i d e by asterisk; } liga;", tables=["GSUB"]
    )


@pytest.mark.parametrize(
    ("change", "words"),
    [
        (shifted, "draws other letters than it says"),
        (swapped, "draws “1” for “4”"),
        (joined, "draws “outside” as one character"),
    ],
)
def test_a_font_that_draws_something_else_is_refused(
    change: object, words: str, tmp_path: Path
) -> None:
    assert words in " ".join(fonted(tmp_path, change))


def test_a_font_as_it_was_made_is_let_through(tmp_path: Path) -> None:
    assert fonted(tmp_path, lambda _: None) == []
