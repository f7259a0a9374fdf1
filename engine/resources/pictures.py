"""Whether a picture is what it says and nothing more: no code, no other files, no bomb."""

import re
from collections.abc import Iterator, Mapping
from typing import TYPE_CHECKING

from trimscribe.errors import Fault, Mark
from trimscribe.resources.png import png_fault

if TYPE_CHECKING:
    from xml.etree.ElementTree import Element

MEDIA_TYPES: Mapping[str, str] = {".svg": "image/svg+xml", ".png": "image/png"}

# What draws other shapes in turn: one inside another multiplies, and ten make a bomb.
_PAINTS = {"linearGradient", "radialGradient", "stop"}  # these draw nothing by themselves
_OFTEN = 100
_NAMING = re.compile(r"url\(\s*['\"]?#([^)'\"\s]+)|^#(\S+)$")
_MOST_DRAWN = 100_000  # shapes, each as often as it is drawn
_MOST_STYLE = 20_000  # characters of `style` elements: each rule is tried on each shape
_MOST_SHAPES = 20_000
# `image` loads, `script` and `foreignObject` run or nest other languages, a filter is a bitmap of
# any size; animations show nothing on paper.
_REFUSED = {"script", "foreignObject", "image", "feImage", "filter", "animate", "set", "iframe"}
_OUTSIDE = re.compile(r"url\(\s*['\"]?(?!#)|@import|javascript:", re.IGNORECASE)
_PLAIN = "Save it as plain SVG without links, effects and embedded pictures, or as PNG."


def picture_fault(data: bytes, name: str, mark: Mark) -> Fault | None:
    """What is wrong with the picture `name` (.svg or .png), which is named at `mark`."""
    return png_fault(data, name, mark) if name.lower().endswith(".png") else _svg(data, name, mark)


def _svg(data: bytes, name: str, mark: Mark) -> Fault | None:
    from xml.etree import ElementTree  # here, because most commands look at no picture

    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError:
        return Fault("picture-broken", f"“{name}” is not UTF-8 text.", mark, _PLAIN)
    if "<!DOCTYPE" in text or "<!ENTITY" in text:  # entities could name files or grow without end
        message = f"“{name}” declares a document type, which can load files."
        return Fault("picture-not-closed", message, mark, _PLAIN)
    try:
        root = ElementTree.fromstring(text)
    except ElementTree.ParseError as error:
        return Fault("picture-broken", f"“{name}” is not SVG: {error}.", mark, _PLAIN)
    if _tag(root) != "svg":
        return Fault("picture-broken", f"“{name}” is not SVG.", mark, _PLAIN)
    return _content(root, name, mark)


def _content(root: "Element", name: str, mark: Mark) -> Fault | None:
    elements = list(root.iter())
    style = sum(len(e.text or "") for e in elements if _tag(e) == "style")
    if style > _MOST_STYLE:
        message = f"“{name}” has {style:,} characters of styles; {_MOST_STYLE:,} are allowed."
        return Fault("picture-too-large", message, mark, _PLAIN)
    if len(elements) > _MOST_SHAPES:
        message = f"“{name}” has {len(elements):,} shapes; at most {_MOST_SHAPES:,} are allowed."
        return Fault("picture-too-large", message, mark, "Save it simpler.")
    found = next((e for e in elements if _reaches_out(e)), None)
    if found is not None:  # an element without children counts as false
        message = f"“{name}” holds a `{_tag(found)}` that runs code or loads something."
        return Fault("picture-not-closed", message, mark, _PLAIN)
    if any(_tag(element) == "text" for element in elements):
        hint = "Convert the text to paths before saving it."
        return Fault("picture-not-outlined", f"“{name}” holds text as text.", mark, hint)
    drawn = _drawn(root, elements)
    if drawn is None:
        message = f"“{name}” repeats shapes that repeat others."
        return Fault("picture-not-closed", message, mark, _PLAIN)
    if drawn > _MOST_DRAWN:
        message = f"“{name}” draws {drawn:,} shapes; at most {_MOST_DRAWN:,} are allowed."
        return Fault("picture-too-large", message, mark, "Save it simpler.")
    return None


def _reaches_out(element: "Element") -> bool:
    if _tag(element) in _REFUSED or _OUTSIDE.search(element.text or ""):
        return True
    for key, value in element.attrib.items():
        attribute = key.rpartition("}")[2].lower()
        if attribute.startswith("on") or _OUTSIDE.search(value):
            return True
        if attribute == "href" and not value.startswith("#"):
            return True
    return False


def _drawn(root: "Element", elements: "list[Element]") -> int | None:
    """How many shapes are drawn, each as often as it is; None where repetition repeats itself.

    A shape that another names (`use`, or a pattern, mask, clip or marker) is drawn again for each
    that names it; a pattern or marker over and over, so that what it holds counts a hundredfold.
    What a `style` element names may be drawn for every shape.
    """
    sizes: dict[Element, int] = {}
    repeating: dict[Element, bool] = {}
    by_id = {e.attrib["id"]: e for e in elements if "id" in e.attrib}
    named = {e: [t for key in _named(e) if (t := _shape(by_id.get(key))) is not None]
             for e in elements}  # fmt: skip
    for element in reversed(elements):  # children come after their parents
        sizes[element] = 1 + sum(sizes[child] for child in element)
        repeating[element] = bool(named[element]) or any(repeating[c] for c in element)
    total = len(elements)
    for element, targets in named.items():
        for target in targets:
            if repeating[target]:
                return None
            total += sizes[element] * _times(target) * sizes[target]
    for element in elements:
        if _tag(element) == "style":
            for found in _NAMING.finditer(element.text or ""):
                shape = _shape(by_id.get(found[1] or ""))
                if shape is not None and repeating[shape]:
                    return None
                if shape is not None:
                    total += len(elements) * _times(shape) * sizes[shape]
    return total


def _shape(element: "Element | None") -> "Element | None":
    """An element that draws something by itself, unlike a gradient."""
    return element if element is not None and _tag(element) not in _PAINTS else None


def _times(element: "Element") -> int:
    return _OFTEN if _tag(element) in ("pattern", "marker") else 1


def _named(element: "Element") -> Iterator[str]:
    """What an element names by its attributes."""
    for key, value in element.attrib.items():
        if key.rpartition("}")[2] != "id":
            for found in _NAMING.finditer(value):
                yield found[1] or found[2]


def _tag(element: "Element") -> str:
    return str(element.tag).rpartition("}")[2]
