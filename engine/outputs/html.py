"""The page for the phone: one file that needs nothing else, with all that the report says.

Its inks are the theme's by day, and made of these in the dark; drawings follow them.
"""

import base64
import colorsys
import re
from collections.abc import Mapping
from dataclasses import dataclass, replace
from pathlib import PurePosixPath
from typing import Any
from xml.etree import ElementTree as ET

from trimscribe.colour import contrast, lightness, parse
from trimscribe.errors import Fault, TypesetError
from trimscribe.model.document import Document, Figure, Part
from trimscribe.model.ink import COLOURS, ColourUse
from trimscribe.model.report import Report
from trimscribe.outputs.groundwork import GROUNDWORK, cautions_frame
from trimscribe.outputs.page import HEAD, read_page, refused_in
from trimscribe.templating import Markup

# A page of 360 px with its margins shows a drawing of this width in points as it was drawn.
_WIDTH_PT = 262.0
_CAUTIONS = "cautions"  # the part that no theme makes
_TYPES = {".svg": "image/svg+xml", ".png": "image/png"}
# Nothing is fetched, nothing runs: what the page needs lies in it.
_POLICY = "default-src 'none'; style-src 'unsafe-inline'; img-src data:"
INKS = tuple(colour.token for colour in COLOURS)
# Hardly a colour by day, which the dark would bring out; the page itself is another matter.
_GREYS = {c.token for c in COLOURS if c.use in (ColourUse.LINE, ColourUse.GROUND)}
_DARK = 40.0  # L* of a paper below which a theme is dark by itself
_GROUND = 0.085  # lightness (HLS) of the ground in the dark: not black, which glares beside text
_MOST = 14.0  # contrast; beyond it light text seems to flicker on a dark ground
_NAMESPACE = re.compile(r"\{[^}]*\}")
_COLOUR = re.compile(r"#[0-9a-fA-F]{6}\b")
_REFERENCE = re.compile(r"url\(#([^)]+)\)|^#(.+)$")
# What a drawing is made of; anything else, such as metadata or scripts, is left out.
_SHAPES = ("path", "rect", "circle", "ellipse", "line", "polyline", "polygon", "text", "tspan")
_KEPT = {*_SHAPES, "svg", "g", "defs", "use", "clipPath"}


@dataclass(frozen=True)
class HtmlOutput:
    """Writes a document as one page of HTML that works without scripts and network."""

    contract: int = 2
    name: str = "html"
    suffix: str = ".html"

    def make(self, document: Document) -> Report:
        """Return the page; raises ThemeError for a template, TypesetError for what it lacks."""
        shown = document.shown
        pictures = {f"/{name}": _data(name, data) for name, data in document.files.items()}
        parts = {part.name: _part(part, document, pictures) for part in shown.parts}
        written = shown.studio.page("page.html.j2", {**shown.frame, "parts": [*parts.values()]})
        if faults := read_page(
            written, document.required, parts.get(_CAUTIONS, ""), document.page_template_for
        ):
            refused = {name: refused_in(text) for name, text in parts.items()}
            raise TypesetError([_placed(fault, refused) for fault in faults])
        data = written.replace(HEAD, HEAD + _essentials(document), 1).encode()
        return Report(data=data, suffix=self.suffix, media_type="text/html", pages=1)


def _placed(fault: Fault, refused: Mapping[str, tuple[Fault, ...]]) -> Fault:
    """A fault with the section that it is in: what may not be there has no line of its own."""
    found = next((name for name, faults in refused.items() if fault in faults), "")
    if not found:
        return fault
    return replace(fault, message=f"{fault.message.removesuffix('.')}: section “{found}”.")


def _part(part: Part, document: Document, pictures: Mapping[str, str]) -> Markup:
    shown = document.shown
    if part.name == _CAUTIONS:
        return cautions_frame(part.values)
    drawn = (shown.studio.draw(name, _WIDTH_PT) for name in part.figures)
    figures = [_figure(figure, shown.tokens) for figure in drawn if figure]
    values = {**part.values, "figures": figures, "pictures": pictures}
    # Every value in it was escaped when it was written.
    return Markup(shown.studio.page(f"{part.name}.html.j2", values))


def _figure(figure: Figure, tokens: Mapping[str, Any]) -> Mapping[str, Any]:
    return {
        "name": figure.name,
        "alt": figure.alt,
        "caption": figure.caption,
        "drawing": Markup(inline(figure, tokens)),  # built from elements, so its text is escaped
    }


def _data(name: str, data: bytes) -> str:
    """A picture as an address that holds it; other files of the paper have no place here."""
    kind = _TYPES.get(PurePosixPath(name).suffix)
    return f"data:{kind};base64,{base64.b64encode(data).decode()}" if kind else ""


def _essentials(document: Document) -> str:
    """What every page has, whatever its theme."""
    return (
        '\n<meta charset="utf-8">'
        '\n<meta name="viewport" content="width=device-width, initial-scale=1">'
        f'\n<meta http-equiv="Content-Security-Policy" content="{_POLICY}">'
        f"\n<style>{GROUNDWORK}{css(document.shown.tokens)}</style>"
    )


def css(tokens: Mapping[str, Any]) -> str:
    """The inks as custom properties such as `--text`: the theme's own by day, and in the dark."""
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
    """The inks on a dark ground that has a breath of the text's colour.

    Each stands out from the ground as much as it does from the paper by day, so what is quiet stays
    quiet and what is said clearly stays clear.
    """
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


def inline(figure: Figure, tokens: Mapping[str, Any]) -> str:
    """The drawing as an `svg` element that says its alt text, as wide as its place allows."""
    names = {str(tokens[name]).lower(): name.replace("_", "-") for name in reversed(INKS)}
    root = ET.fromstring(figure.svg)
    drawn = ET.Element(
        "svg",
        {
            "viewBox": f"0 0 {figure.width_pt:g} {figure.height_pt:g}",
            "role": "img",
            "aria-label": figure.alt,
            "class": "drawing",
        },
    )
    for child in root:
        _copy(child, drawn, figure.name, names)
    if not len(drawn):
        message = f"The figure “{figure.name}” has no shapes that a page can show."
        raise TypesetError.of("page-refused", message, hint=f"Draw with {', '.join(_SHAPES)}.")
    return ET.tostring(drawn, encoding="unicode")


def _copy(source: ET.Element, into: ET.Element, prefix: str, names: Mapping[str, str]) -> None:
    tag = _NAMESPACE.sub("", source.tag) if isinstance(source.tag, str) else ""
    if tag not in _KEPT:
        return
    made = ET.SubElement(into, tag)
    for key, value in source.attrib.items():
        name = _NAMESPACE.sub("", key)
        if name.startswith("on"):
            continue
        made.set(name, _attribute(name, value, prefix, names))
    made.text = source.text.strip() if source.text and tag not in ("text", "tspan") else source.text
    for child in source:
        _copy(child, made, prefix, names)


def _attribute(name: str, value: str, prefix: str, names: Mapping[str, str]) -> str:
    """Ids get the figure's name, since all drawings share one page; inks become the page's."""
    if name == "id":
        return f"{prefix}-{value}"
    if name == "d":
        return " ".join(value.split())
    value = _REFERENCE.sub(
        lambda found: f"url(#{prefix}-{found[1]})" if found[1] else f"#{prefix}-{found[2]}", value
    )
    return _COLOUR.sub(lambda found: _ink(found[0], names), value)


def _ink(colour: str, names: Mapping[str, str]) -> str:
    name = names.get(colour.lower())
    return f"var(--{name})" if name else colour


output = HtmlOutput()
