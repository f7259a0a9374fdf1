"""Contrast as WCAG 2.2 defines it."""

import pytest

from trimscribe.colour import contrast, parse


# Published pairs on white: WCAG 2.2 formula, values as in facts of the standard's own examples
# (#767676 is the well-known lightest grey that passes 4.5) and the Okabe-Ito palette, computed.
@pytest.mark.parametrize(
    ("colour", "ratio"),
    [
        ("#000000", 21.0),
        ("#767676", 4.5422),
        ("#777777", 4.4781),
        ("#595959", 7.0047),
        ("#0072B2", 5.1854),
        ("#D55E00", 3.8672),
        ("#E69F00", 2.2523),
    ],
)
def test_contrast_on_white_matches_the_published_formula(colour: str, ratio: float) -> None:
    assert contrast(colour, "#ffffff") == pytest.approx(ratio, abs=5e-5)
    assert contrast("#ffffff", colour) == contrast(colour, "#ffffff")


@pytest.mark.parametrize("text", ["", "red", "#12345", "#1234567", "#12345g", "__import__('os')"])
def test_what_is_no_colour_is_refused_and_never_evaluated(text: str) -> None:
    with pytest.raises(ValueError, match="not a colour"):
        parse(text)
