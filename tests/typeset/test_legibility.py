"""Nothing hides a required text from a reader: every trick is seen in the finished file."""

import datetime as dt
from pathlib import Path

import pytest
from fontTools.pens.recordingPen import DecomposingRecordingPen
from fontTools.pens.transformPen import TransformPen
from fontTools.pens.ttGlyphPen import TTGlyphPen
from fontTools.ttLib import TTFont

from trimscribe.errors import TypesetError
from trimscribe.model.document import Document, FontFolder
from trimscribe.themes import base, linden
from trimscribe.typeset.pdf import output

pytestmark = pytest.mark.quick

FRAME = """\
#set document(title: "T")
#set page(fill: rgb("#ffffff"))
#set text(font: "Inter", size: 10pt, lang: "en")
"""
WORDS = "Check the brakes."
SVG = "<svg xmlns='http://www.w3.org/2000/svg' viewBox='0 0 200 20'>{}</svg>"
# Twelve squares that each cover a fifth of a letter; lines a point apart; a veil; a veil's edge.
SMALL_COVERS = (
    "#for n in range(12) { place(top, dx: n * 6pt, dy: 1pt, square(size: 4pt, fill: white)) }"
)
HATCHED = "#for n in range(40) { place(top, dx: n * 2.2pt, line(angle: 90deg, length: 9pt)) }"
HAZE = 'rgb("#ffffffd0")'
FADE = 'gradient.linear(rgb("#ffffff00"), white)'


def reported(body: str, fonts: Path = base.folder / "fonts") -> str:
    """Why the words cannot be read in this document; empty when they can."""
    document = Document(
        main=FRAME + body,
        files={
            "black.svg": SVG.format("<rect width='200' height='20'/>").encode(),
            "words.svg": SVG.format(
                f"<g opacity='0.9'><text y='15' font-family='Inter'>{WORDS}</text></g>"
            ).encode(),
        },
        fonts=(FontFolder(fonts, ()),),
        title="T",
        language="en",
        date=dt.date(2026, 10, 16),
        required=(WORDS,),
        vital=(WORDS,),
        shown=None,  # paper alone
    )
    try:
        output.make(document)
    except TypesetError as error:
        (fault,) = error.faults
        assert fault.code == "required-text-unreadable", fault
        return fault.message.rpartition(", but ")[2]
    return ""


@pytest.mark.parametrize(
    "body",
    [
        WORDS,
        f"#text(size: 7pt)[{WORDS}]",
        f'#text(fill: rgb("#5b6470"))[{WORDS}]',
        f"#rect(fill: black, text(fill: white)[{WORDS}])",
        f'#rect(fill: gradient.linear(black, rgb("#333333")), text(fill: white)[{WORDS}])',
        f"#rect(stroke: 1pt, radius: 5pt)[{WORDS}]",
        f"#rect(stroke: 6pt, inset: 1em)[{WORDS}]",
        f"#underline[{WORDS}]",
        f"#highlight[{WORDS}]",
        f"#box(height: 1em, clip: true)[{WORDS}]",
        f'#text(tracking: -0.3pt, style: "italic")[{WORDS}]',
        "#strong[Check] the #text(fill: blue)[brakes].",
        f"#block(width: 1.3cm)[{WORDS}]",
        f"#rect(fill: black, text(fill: white, weight: 700)[{WORDS}])",
        f'#rect(fill: gradient.linear(white, rgb("#cfe0e8")))[{WORDS}]',
        f"#rect(fill: tiling(size: (4pt, 4pt), square(size: 2pt, fill: luma(235))))[{WORDS}]",
        f'#highlight(fill: rgb("#fff3b0"))[{WORDS}]',
        f"#underline(offset: 1.5pt)[{WORDS}]",
        f"#text(spacing: 70%)[{WORDS}]",
        f'#text(font: "Vollkorn", style: "italic")[{WORDS}]',
        f"#set page(width: 842pt, height: 595pt)\n{WORDS}",
        'Check #text(fill: rgb("#b84a10"), weight: 700, style: "italic")[the] brakes.',
        f'#text(style: "italic")[{WORDS}]',
        f"#skew(ax: -12deg)[{WORDS}]",
        # hidden in one place, plain in another
        f"#text(fill: white)[{WORDS}]\n\n{WORDS}",
    ],
)
def test_what_can_be_read_is_let_through(body: str) -> None:
    assert reported(body) == ""


@pytest.mark.parametrize(
    ("body", "why"),
    [
        (f"#text(size: 5pt)[{WORDS}]", "it is 5.0 pt high"),
        (f"#scale(40%)[{WORDS}]", "it is 4.0 pt high"),
        (f"#scale(x: 30%)[{WORDS}]", "squeezed"),
        (f"#scale(x: -100%)[{WORDS}]", "mirrored"),
        (f"#rotate(180deg)[{WORDS}]", "turned"),
        (f"#rotate(90deg)[{WORDS}]", "turned"),
        (f'#text(fill: rgb("#c0c0c0"))[{WORDS}]', "contrast is 1.8"),
        (f"#text(fill: white, stroke: 0.1pt + white)[{WORDS}]", "contrast is 1.0"),
        (f"#text(fill: gradient.linear(red, white))[{WORDS}]", "contrast"),
        (f'#text(fill: rgb("#00000030"))[{WORDS}]', "contrast is 1.1"),
        (f"#rect(fill: black)[{WORDS}]", "contrast is 1.0"),
        (f'#place(image("black.svg", alt: "x"))\n{WORDS}', "contrast"),
        (f"#move(dx: -14cm)[{WORDS}]", "off the page"),
        (f"#place(bottom, dy: 5cm)[{WORDS}]", "off the page"),
        (f"#box(width: 2pt, height: 2pt, clip: true, box(width: 9cm)[{WORDS}])", "cut off"),
        (f"{WORDS}#place(top, rect(width: 100%, height: 30pt, fill: white))", "covered"),
        (f"{WORDS}#place(top, dy: 5pt, line(length: 100%, stroke: 12pt + white))", "covered"),
        (f'{WORDS}#place(top, dy: -5pt, image("black.svg", alt: "x"))', "covered"),
        (f"{WORDS}#place(top)[Everything is perfectly fine.]", "other text"),
        (f"#place(top)[Everything is perfectly fine.]{WORDS}", "other text"),
        (f"#pdf.artifact[{WORDS}]", "skip it"),
        ("Check the #text(fill: white)[brakes].", "contrast"),
        ("Check t#text(size: 1pt)[h]e brakes.", "1.0 pt"),
        (f"#text(stroke: 3pt + white)[{WORDS}]", "faint"),
        (f"#skew(ax: 30deg)[{WORDS}]", "skewed"),
        (f"#skew(ay: 10deg)[{WORDS}]", "turned"),
        (f"#rotate(4deg)[{WORDS}]", "turned"),
        (f"#strike[{WORDS}]", "strikes it out"),
        (f"#strike(stroke: 0.6pt + red)[{WORDS}]", "strikes it out"),
        ("Check #strike[the] brakes.", "strikes it out"),
        (f"{WORDS}#place(top, dx: 28pt, rect(width: 16pt, height: 9pt, fill: white))", "painted"),
        (WORDS + SMALL_COVERS, "painted over"),
        (WORDS + HATCHED, "painted over"),
        (f"{WORDS}#place(top, dy: -3pt, rect(width: 9cm, height: 15pt, fill: {HAZE}))", "faint"),
        (f"{WORDS}#place(top, dy: -3pt, rect(width: 3cm, height: 15pt, fill: {FADE}))", "faint"),
        (f"#box(height: 3pt, clip: true)[{WORDS}]", "cut off"),
        (f"#box(width: 50pt, clip: true, box(width: 9cm)[{WORDS}])", "cut off"),
        (f"#text(tracking: -0.45em)[{WORDS}]", "on each other"),
        ("Check #text(tracking: -0.45em)[the bra]kes.", "on each other"),
        (f"#text(spacing: 0%)[{WORDS}]", "run into each other"),
        (f"#text(spacing: -260%)[{WORDS}]", "on each other"),
        ("Check #box(clip: true, height: 0.25em)[the] brakes.", "cut off"),
        ("Check #box(clip: true, width: 0.35em)[the]#h(1em) brakes.", "cut off"),
        (f"#set page(width: 1250pt, height: 1750pt)\n{WORDS}", "it is 4.8 pt high"),
        (f"{WORDS}#place(top, dx: 1pt)[{WORDS}]", "other text"),
        (f"{WORDS}#place(top, dy: 4pt)[Everything is fine.]", "other text"),
        (f"#place(top)[All is fine.]#h(20pt){WORDS}", "other text"),
        ('#image("words.svg", alt: "x")', "not painted"),
    ],
)
def test_what_hides_it_is_reported(body: str, why: str) -> None:
    assert why in reported(body)


def test_text_on_a_dark_page_is_judged_against_that_page() -> None:
    dark = '#set page(fill: rgb("#14202a"))\n'

    assert reported(f"{dark}#text(fill: white)[{WORDS}]") == ""
    assert "contrast" in reported(f"{dark}{WORDS}")


@pytest.mark.parametrize(
    "fill",
    [
        "gradient.linear(black, black)",
        "tiling(size: (4pt, 4pt), rect(width: 4pt, height: 4pt, fill: black))",
    ],
)
def test_a_pattern_on_the_page_or_behind_the_words_is_looked_at(fill: str) -> None:
    assert "contrast" in reported(f"#set page(fill: {fill})\n#v(8cm)\n{WORDS * 5}")
    assert "contrast" in reported(f"#rect(fill: {fill}, inset: 3pt)[{WORDS}]")
    assert (
        reported(f"#rect(fill: {fill.replace('white', 'black')}, text(fill: white)[{WORDS}])") == ""
    )


def test_a_page_that_is_dark_where_the_words_are_is_looked_at() -> None:
    assert "contrast" in reported(
        f"#set page(fill: gradient.radial(black, white))\n#v(9cm)\n#align(center)[{WORDS}]"
    )


def test_a_page_without_a_colour_of_its_own_counts_as_paper() -> None:
    assert reported(f"#set page(fill: none)\n{WORDS}") == ""
    assert "contrast" in reported(f"#set page(fill: none)\n#text(fill: white)[{WORDS}]")


@pytest.mark.parametrize(("scale", "why"), [(0.0, "not painted"), (0.2, "pt high"), (1.0, "")])
@pytest.mark.slow
def test_a_font_that_draws_its_letters_tiny_or_not_at_all_is_seen(
    scale: float, why: str, tmp_path: Path
) -> None:
    """Its letters keep their width, so that nothing but what is drawn tells."""
    with TTFont(linden.folder / "fonts" / "Vollkorn-Regular.ttf") as font:
        glyphs = font.getGlyphSet()
        for name in glyphs:
            drawn, pen = DecomposingRecordingPen(glyphs), TTGlyphPen(None)
            glyphs[name].draw(drawn)
            drawn.replay(TransformPen(pen, (scale, 0, 0, scale, 0, 0)))
            font["glyf"][name] = pen.glyph() if scale else TTGlyphPen(None).glyph()
        font.save(tmp_path / "font.ttf")

    found = reported(f'#set text(font: "Vollkorn")\n{WORDS}', tmp_path)

    assert why in found
    assert bool(found) == bool(why)
