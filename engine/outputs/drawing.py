"""A figure's SVG as a part of a page: its colours follow the page's, by day and in the dark."""

import re
from collections.abc import Mapping
from typing import Any
from xml.etree import ElementTree as ET

from trimscribe.model.document import Figure
from trimscribe.outputs.ink import INKS

_NAMESPACE = re.compile(r"\{[^}]*\}")
_COLOUR = re.compile(r"#[0-9a-fA-F]{6}\b")
_REFERENCE = re.compile(r"url\(#([^)]+)\)|^#(.+)$")
# What a drawing is made of; anything else, such as metadata or scripts, is left out.
_KEPT = {
    *("svg", "g", "defs", "use", "path", "rect", "circle", "ellipse", "line", "polyline"),
    *("polygon", "text", "tspan", "clipPath"),
}


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
