"""Whether a PNG is whole (PNG specification, third edition), before Typst is asked to draw it."""

import contextlib
import struct
import zlib
from collections.abc import Iterator

from trimscribe.errors import Fault, Mark

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


def png_fault(data: bytes, name: str, mark: Mark) -> Fault | None:
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
