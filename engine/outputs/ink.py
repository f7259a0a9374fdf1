"""The inks of a page as CSS: the theme's own by day, and what they become in the dark.

In the dark each ink stands out from the ground as much as it does from the paper by day, so what
is quiet stays quiet and what is said clearly stays clear.
"""

import colorsys
from collections.abc import Mapping
from typing import Any

from trimscribe.colour import contrast, lightness, parse
from trimscribe.model.ink import COLOURS, ColourUse

INKS = tuple(colour.token for colour in COLOURS)
# Hardly a colour by day, which the dark would bring out; the page itself is another matter.
_GREYS = {c.token for c in COLOURS if c.use in (ColourUse.LINE, ColourUse.GROUND)}
_DARK = 40.0  # L* of a paper below which a theme is dark by itself
_GROUND = 0.085  # lightness (HLS) of the ground in the dark: not black, which glares beside text
_MOST = 14.0  # contrast; beyond it light text seems to flicker on a dark ground


def css(tokens: Mapping[str, Any]) -> str:
    """Custom properties such as `--text`, for day and dark."""
    day = {name: str(tokens[name]) for name in INKS}
    by_day = _properties(day, "light")
    if lightness(day["background"]) < _DARK:
        return f":root{{{_properties(day, 'dark')}}}"
    night = _properties(after_dark(day), "dark")
    # Pictures keep the paper that they were made for.
    picture = f"img{{background:{day['background']}}}"
    dark = f"@media screen and (prefers-color-scheme:dark){{:root{{{night}}}{picture}}}"
    return f":root{{{by_day}}}{dark}"


def after_dark(day: Mapping[str, str]) -> Mapping[str, str]:
    """The inks on a dark ground that has a breath of the text's colour."""
    paper = day["background"]
    ground = _with_lightness(day["text"], _GROUND)
    night = {"background": ground}
    for name in INKS:
        if name not in night:
            ink = day["text"] if name in _GREYS else day[name]
            night[name] = _standing_out(ink, ground, min(contrast(day[name], paper), _MOST))
    return night


def _standing_out(ink: str, ground: str, wanted: float) -> str:
    """The ink as light as it must be to reach a contrast with the ground."""
    darker, lighter = 0.0, 1.0
    for _ in range(12):
        middle = (darker + lighter) / 2
        if contrast(_with_lightness(ink, middle), ground) < wanted or middle < _GROUND:
            darker = middle
        else:
            lighter = middle
    return _with_lightness(ink, lighter)


def _with_lightness(ink: str, value: float) -> str:
    hue, _, saturation = colorsys.rgb_to_hls(*(channel / 255 for channel in parse(ink)))
    made = colorsys.hls_to_rgb(hue, value, saturation)
    return "#" + "".join(f"{round(channel * 255):02x}" for channel in made)


def _properties(inks: Mapping[str, str], scheme: str) -> str:
    written = ";".join(f"--{name.replace('_', '-')}:{ink}" for name, ink in inks.items())
    return f"color-scheme:{scheme};{written}"
