"""The page's inks and drawings: as clear in the dark as by day; drawings follow the page."""

import re
from collections.abc import Callable

import pytest

from trimscribe.colour import contrast, lightness
from trimscribe.compose.themes import resolve
from trimscribe.model.document import Document, Figure
from trimscribe.model.workshop import Workshop
from trimscribe.outputs.html import INKS, after_dark, css, inline
from trimscribe.registry import Registry

REGISTRY = Registry.installed()
TEXTS = ("text", "quiet", "before_text", "after", "outside", "accent")
TOKENS = {name: f"#{number:02x}0000" for number, name in enumerate(INKS, 1)}
SVG = (
    '<svg xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink">'
    "<metadata>x</metadata><style>*{}</style><script>alert(1)</script>"
    '<defs><path id="m1" d="M 0 0\nL 1 1\n" style="fill: #060000"/></defs>'
    '<use xlink:href="#m1" style="fill: #AABBCC; clip-path: url(#c1)" onclick="x()"/>'
    '<text x="1">a &lt; b </text></svg>'
)


@pytest.mark.parametrize("theme", ["base", "bench", "linden"])
def test_each_ink_stands_out_in_the_dark_as_much_as_by_day(theme: str) -> None:
    tokens = resolve(theme, Workshop(""), REGISTRY).tokens
    night = after_dark({name: tokens[name] for name in INKS})

    assert lightness(night["background"]) < 15
    for name in INKS:
        by_day = min(contrast(tokens[name], tokens["background"]), 14.0)
        assert contrast(night[name], night["background"]) == pytest.approx(by_day, rel=0.06), name
    for name in TEXTS:
        assert contrast(night[name], night["background"]) >= 4.5
        assert contrast(night[name], night["wash"]) >= 4.0


def test_a_theme_on_dark_paper_stays_as_it_is() -> None:
    tokens = dict.fromkeys(INKS, "#eeeeee") | {"background": "#101418"}

    assert "prefers-color-scheme" not in css(tokens)
    assert "color-scheme:dark" in css(tokens)


def test_every_ink_is_a_property_by_day_and_in_the_dark() -> None:
    tokens = resolve("base", Workshop(""), REGISTRY).tokens

    names = re.findall(r"--([a-z-]+):#[0-9a-f]{6}", css(tokens))

    assert sorted(names) == sorted([name.replace("_", "-") for name in INKS] * 2)


def test_inks_ids_and_texts() -> None:
    drawn = inline(
        Figure(name="plan", svg=SVG, width_pt=100, height_pt=50, alt='with "words" & more'), TOKENS
    )

    assert drawn == (
        '<svg viewBox="0 0 100 50" role="img" aria-label="with &quot;words&quot; &amp; more" '
        'class="drawing"><defs><path id="plan-m1" d="M 0 0 L 1 1" style="fill: var(--after)" />'
        '</defs><use href="#plan-m1" style="fill: #AABBCC; clip-path: url(#plan-c1)" />'
        '<text x="1">a &lt; b </text></svg>'
    )


@pytest.mark.parametrize("name", ["side_view", "span_charts", "plan_view"])
def test_figures_fit_the_width_of_a_phone(name: str, document_of: Callable[..., Document]) -> None:
    figure = document_of("demo").shown.studio.draw(name, 262)

    assert figure is not None
    assert figure.width_pt == 262
