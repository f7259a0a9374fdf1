"""Whether a picture is what it says and nothing more: no code, no other files, no bomb."""

import re
import struct
import xml.etree.ElementTree as ET
from collections.abc import Mapping

from trimscribe.errors import Fault, Mark

__all__ = ["MEDIA_TYPES", "picture_fault"]

MEDIA_TYPES: Mapping[str, str] = {".svg": "image/svg+xml", ".png": "image/png"}

_PNG = b"\x89PNG\r\n\x1a\n"
_MOST_PIXELS = 16_000_000  # four times what a page can show of a logo
_MOST_SHAPES = 20_000
# `image` loads, `script` and `foreignObject` run or nest other languages, a filter is a bitmap of
# any size; animations show nothing on paper.
_REFUSED = {"script", "foreignObject", "image", "feImage", "filter", "animate", "set", "iframe"}
_OUTSIDE = re.compile(r"url\(\s*['\"]?(?!#)|@import|javascript:", re.IGNORECASE)
_PLAIN = "Save it as plain SVG without links, effects and embedded pictures, or as PNG."


def picture_fault(data: bytes, name: str, mark: Mark) -> Fault | None:
    """What is wrong with the picture `name` (.svg or .png), which is named at `mark`."""
    return _png(data, name, mark) if name.lower().endswith(".png") else _svg(data, name, mark)


def _png(data: bytes, name: str, mark: Mark) -> Fault | None:
    if not data.startswith(_PNG) or data[12:16] != b"IHDR" or len(data) < 33:
        return Fault("picture-broken", f"“{name}” is not a PNG file.", mark)
    width, height = struct.unpack(">II", data[16:24])
    if not 0 < width * height <= _MOST_PIXELS:
        message = f"“{name}” has {width} × {height} pixels; at most {_MOST_PIXELS:,} are allowed."
        return Fault("picture-too-large", message, mark, "Save it smaller.")
    return None


def _svg(data: bytes, name: str, mark: Mark) -> Fault | None:
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError:
        return Fault("picture-broken", f"“{name}” is not UTF-8 text.", mark, _PLAIN)
    if "<!DOCTYPE" in text or "<!ENTITY" in text:  # entities could name files or grow without end
        message = f"“{name}” declares a document type, which can load files."
        return Fault("picture-not-closed", message, mark, _PLAIN)
    try:
        root = ET.fromstring(text)
    except ET.ParseError as error:
        return Fault("picture-broken", f"“{name}” is not SVG: {error}.", mark, _PLAIN)
    if _tag(root) != "svg":
        return Fault("picture-broken", f"“{name}” is not SVG.", mark, _PLAIN)
    return _content(root, name, mark)


def _content(root: ET.Element, name: str, mark: Mark) -> Fault | None:
    elements = list(root.iter())
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
    if _repeats_repetition(elements):
        message = f"“{name}” repeats shapes that repeat others."
        return Fault("picture-not-closed", message, mark, _PLAIN)
    return None


def _reaches_out(element: ET.Element) -> bool:
    if _tag(element) in _REFUSED or _OUTSIDE.search(element.text or ""):
        return True
    for key, value in element.attrib.items():
        attribute = key.rpartition("}")[2].lower()
        if attribute.startswith("on") or _OUTSIDE.search(value):
            return True
        if attribute == "href" and not value.startswith("#"):
            return True
    return False


def _repeats_repetition(elements: list[ET.Element]) -> bool:
    """Whether a `use` names a shape with a `use` in it: ten of these in a row make a bomb."""
    by_id = {e.attrib["id"]: e for e in elements if "id" in e.attrib}
    for element in elements:
        if _tag(element) == "use":
            href = next((v for k, v in element.attrib.items() if k.endswith("href")), "")
            target = by_id.get(href[1:])
            if target is not None and any(_tag(inner) == "use" for inner in target.iter()):
                return True
    return False


def _tag(element: ET.Element) -> str:
    return str(element.tag).rpartition("}")[2]
