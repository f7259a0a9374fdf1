"""Figures within a page: their inks follow the page, their ids stay their own."""

from collections.abc import Callable

import pytest

from trimscribe.model.document import Document, Figure
from trimscribe.outputs.html import inline
from trimscribe.outputs.ink import INKS

TOKENS = {name: f"#{number:02x}0000" for number, name in enumerate(INKS, 1)}
SVG = (
    '<svg xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink">'
    "<metadata>x</metadata><style>*{}</style><script>alert(1)</script>"
    '<defs><path id="m1" d="M 0 0\nL 1 1\n" style="fill: #060000"/></defs>'
    '<use xlink:href="#m1" style="fill: #AABBCC; clip-path: url(#c1)" onclick="x()"/>'
    '<text x="1">a &lt; b </text></svg>'
)


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
