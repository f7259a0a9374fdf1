"""Whether a picture is what it says and nothing more: no code, no other files, no bomb.

PNG is looked through as its specification, third edition, has it, before Typst is asked to draw it.
"""

import contextlib
import re
import struct
import zlib
from collections.abc import Iterator, Mapping
from typing import TYPE_CHECKING

from trimscribe.errors import Fault, Mark

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
_START = b"\x89PNG\r\n\x1a\n"
_MOST_PIXELS = 16_000_000  # four times what a page can show of a logo
_MOST_UNPACKED = 1_000_000  # bytes of a colour profile or text
_PIECE = 1 << 20  # bytes of pixels unpacked at a time
_PALETTE = 3
# Samples of a pixel and the bits that one may have, by colour type (table 9).
_SAMPLES = {0: 1, 2: 3, _PALETTE: 1, 4: 2, 6: 4}
_BITS = {0: (1, 2, 4, 8, 16), 2: (8, 16), _PALETTE: (1, 2, 4, 8), 4: (8, 16), 6: (8, 16)}
# Adam7 (8.1): where each pass starts and how far its pixels are apart, across and down.
_PASSES = ((0, 0, 8, 8), (4, 0, 8, 8), (0, 4, 4, 8), (2, 0, 4, 4), (0, 2, 2, 4), (1, 0, 2, 2),
           (0, 1, 1, 2))  # fmt: skip
_AGAIN = "Save it again as PNG."


def picture_fault(data: bytes, name: str, mark: Mark) -> Fault | None:
    """What is wrong with the picture `name` (.svg or .png), which is named at `mark`."""
    return _png_fault(data, name, mark) if name.lower().endswith(".png") else _svg(data, name, mark)


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


def drawing_fault(svg: str, name: str) -> str:
    """Why nothing shows the drawing `name`, which a program has made; empty where all do."""
    from xml.etree import ElementTree

    if "<!ENTITY" in svg:
        return f"“{name}” declares entities"
    try:
        root = ElementTree.fromstring(svg)
    except ElementTree.ParseError as error:
        return f"“{name}” is not SVG: {error}"
    found = next((e for e in root.iter() if _reaches_out(e)), None)
    if found is not None:
        return f"“{name}” holds a `{_tag(found)}` that runs code or loads something"
    return "" if _tag(root) == "svg" else f"“{name}” is not SVG"


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
    drawn = _drawn(elements)
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


def _drawn(elements: "list[Element]") -> int | None:
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


def _png_fault(data: bytes, name: str, mark: Mark) -> Fault | None:
    """What is wrong with the PNG `name`, which is named at `mark`."""
    if not data.startswith(_START) or data[12:16] != b"IHDR" or len(data) < 33:
        return Fault("picture-broken", f"“{name}” is not a PNG file.", mark)
    width, height = struct.unpack(">II", data[16:24])
    if not 0 < width * height <= _MOST_PIXELS:
        message = f"“{name}” has {width} × {height} pixels; at most {_MOST_PIXELS:,} are allowed."
        return Fault("picture-too-large", message, mark, "Save it smaller.")
    if _swells(data):
        message = f"“{name}” holds a colour profile or a text that is larger than any."
        return Fault("picture-too-large", message, mark, "Save it without profile and comments.")
    if reason := _broken(data, width, height):
        return Fault("picture-broken", f"“{name}” is not a whole PNG: {reason}.", mark, _AGAIN)
    return None


def _broken(data: bytes, width: int, height: int) -> str:
    """Why its pixels cannot be read; empty when they can."""
    depth, colour, packing, filtering, interlaced = data[24:29]
    if depth not in _BITS.get(colour, ()) or packing or filtering or interlaced > 1:
        return "its head is of no kind that there is"
    kinds = []
    pixels = []
    for kind, body, whole in _chunks(data):
        if not whole and kind[:1].isupper():  # others may be left out (5.4)
            return f"its part {kind.decode('ascii', 'replace')} is damaged"
        kinds.append(kind)
        if kind == b"IDAT":
            pixels.append(body)
    if colour == _PALETTE and b"PLTE" not in kinds:
        return "it has no palette"
    if b"IEND" not in kinds:
        return "its end is missing"
    wanted = _size(width, height, depth * _SAMPLES[colour], interlaced=interlaced == 1)
    if _unpacked(b"".join(pixels), wanted) < wanted:
        return "its pixels are damaged, or some are missing"
    return ""


def _chunks(data: bytes) -> Iterator[tuple[bytes, bytes, bool]]:
    """Each part: its kind, what it holds, and whether its checksum says so."""
    place = len(_START)
    while place + 8 <= len(data):
        (length,) = struct.unpack(">I", data[place : place + 4])
        kind, body = data[place + 4 : place + 8], data[place + 8 : place + 8 + length]
        check = data[place + 8 + length : place + 12 + length]
        yield kind, body, check == struct.pack(">I", zlib.crc32(kind + body))
        if kind == b"IEND":
            return
        place += 12 + length


def _size(width: int, height: int, bits: int, *, interlaced: bool) -> int:
    """Bytes of all rows, each with its filter's number in front."""
    total = 0
    for left, top, across, down in _PASSES if interlaced else ((0, 0, 1, 1),):
        columns, rows = -(-(width - left) // across), -(-(height - top) // down)
        if columns > 0 and rows > 0:
            total += rows * (1 + (columns * bits + 7) // 8)
    return total


def _unpacked(packed: bytes, most: int) -> int:
    """How many bytes there are, no more than is asked for."""
    unpacker, found = zlib.decompressobj(), 0
    with contextlib.suppress(zlib.error):
        while packed and found < most:
            piece = unpacker.decompress(packed, _PIECE)
            packed = unpacker.unconsumed_tail
            found += len(piece)
            if not piece:
                break
        if found < most:
            found += len(unpacker.flush())  # what is left of the last piece
    return found


def _swells(data: bytes) -> bool:
    """Whether a part beside the pixels unpacks to more than it may (11.3)."""
    for kind, body, _ in _chunks(data):
        if kind in (b"iCCP", b"zTXt", b"iTXt"):
            start = body.find(b"\0") + 2  # after a name and the method
            with contextlib.suppress(zlib.error):
                unpacker = zlib.decompressobj()
                unpacker.decompress(body[start:], _MOST_UNPACKED)
                if unpacker.unconsumed_tail:
                    return True
    return False
