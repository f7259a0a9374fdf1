"""Inks in the dark: as clear as by day, and told apart by role."""

import re

import pytest

from trimscribe.colour import contrast, lightness
from trimscribe.compose.themes import resolve
from trimscribe.model.workshop import Workshop
from trimscribe.outputs.ink import INKS, after_dark, css
from trimscribe.registry import Registry

REGISTRY = Registry.installed()
TEXTS = ("text", "quiet", "before_text", "after", "outside", "accent")


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
