"""All that the bytes of a file may say to somebody who opens it: its texts, in every reading.

A name in a workbook is packed, split over runs, or written as references to characters. Each part
of a packed file is read by itself, as it is and without its marks.
"""

import base64
import binascii
import contextlib
import html
import io
import quopri
import re
import zipfile
from collections.abc import Iterator
from dataclasses import dataclass

PICTURES = (
    ".png",
    ".jpg",
    ".jpeg",
    ".gif",
    ".bmp",
    ".tif",
    ".tiff",
    ".emf",
    ".wmf",
    ".webp",
    ".svg",
)
_OLD_WORKBOOK = b"\xd0\xcf\x11\xe0"
_DEEPEST = 3  # packed files within packed files
_LARGEST = 64_000_000  # bytes unpacked; what was read as an export is far below
_HEAD = 30  # bytes in front of the name of a packed part
_TAG = re.compile(r"<[^<>]*>")
# What is set in the midst of words, or is not seen at all.
_UNSEEN = dict.fromkeys([0xAD, *range(0x200B, 0x2010), *range(0x202A, 0x202F), 0x2060, 0xFEFF])
_BROKEN = re.compile(r"[-\u2010\u2011]\r?\n[ \t]*")
_ESCAPE = re.compile(r"\\u\{?([0-9a-fA-F]{4,6})\}?|\\x([0-9a-fA-F]{2})|_x([0-9a-fA-F]{4})_")
_PACKED = re.compile(rb"[A-Za-z0-9+/_-]{8,}={0,2}")
_PERCENT = re.compile(rb"%([0-9a-fA-F]{2})")
_HEX = re.compile(rb"(?:[0-9a-fA-F]{2}){6,}")
_MOST_PIECES = 10_000


@dataclass(frozen=True)
class FileText:
    """A text of a file, and of which part of it; `plain` where it is the file as it is."""

    text: str
    part: str = ""
    plain: bool = False


def readings(data: bytes, name: str = "", depth: int = 0) -> Iterator[FileText]:
    """The name and each text of a file; raises ValueError where it cannot be looked through."""
    yield FileText(name, name)
    packed = depth < _DEEPEST and zipfile.is_zipfile(io.BytesIO(data))
    around = _around_packed(data) if packed else data
    for number, text in enumerate(_decoded(around)):
        yield FileText(text, "", plain=not number)
        yield from (FileText(other, "") for other in dict.fromkeys(_ways(text)) if other != text)
    yield from (FileText(text) for text in _pieces(around))
    if packed:
        yield from _unpacked(data, depth)


def _around_packed(data: bytes) -> bytes:
    """The file with blanks where its deflated parts are, which `_unpacked` reads.

    Their packed bytes are as good as random: now and then they spell a short name.
    """
    kept = bytearray(data)
    with zipfile.ZipFile(io.BytesIO(data)) as packed:
        for part in packed.infolist():
            if part.compress_type == zipfile.ZIP_DEFLATED:
                # APPNOTE.TXT of the ZIP format, 4.3.7: a head, at its end the lengths of name and
                # extra field, then these two.
                at = part.header_offset + _HEAD
                name, extra = data[at - 4 : at - 2], data[at - 2 : at]
                start = at + int.from_bytes(name, "little") + int.from_bytes(extra, "little")
                stream = data[start : start + part.compress_size]
                kept[start : start + len(stream)] = b" " * len(stream)
    return bytes(kept)


def _unpacked(data: bytes, depth: int) -> Iterator[FileText]:
    with zipfile.ZipFile(io.BytesIO(data)) as packed:
        if sum(part.file_size for part in packed.infolist()) > _LARGEST:
            raise ValueError("too much is packed in it")
        yield from (FileText(text) for text in _decoded(packed.comment))
        for part in packed.infolist():
            yield from (
                FileText(text, part.filename) for text in _decoded(part.comment + part.extra)
            )
            inner = packed.read(part)
            for said in readings(inner, part.filename, depth + 1):
                yield FileText(said.text, said.part or part.filename)


def _decoded(data: bytes) -> Iterator[str]:
    """The bytes as text, in the ways that files of this trade are written."""
    try:
        yield data.decode("utf-8-sig")
    except UnicodeDecodeError:
        yield data.decode("cp1252", "replace")
        yield data.decode("utf-8", "replace")
        yield data.decode("mac-roman")
    if b"\0" in data[:2000] or data.startswith(_OLD_WORKBOOK):
        for order in ("utf-16-le", "utf-16-be"):
            yield data.decode(order, "replace")
            yield data[1:].decode(order, "replace")


def _ways(text: str) -> Iterator[str]:
    """The same text as programs show it: without marks, references resolved, lines joined."""
    for way in (text, _escapes_resolved(text)):
        whole = html.unescape(html.unescape(way))
        yield whole
        if "<" in way:
            yield html.unescape(_TAG.sub(" ", way))
            yield html.unescape(_TAG.sub("", way))  # a word that is split over runs
    if "%" in text:
        octets = _PERCENT.sub(lambda found: bytes.fromhex(found[1].decode()), text.encode())
        yield octets.decode("utf-8", "replace")
        yield octets.decode("latin-1")
    if re.search("=[0-9A-F]{2}", text):
        yield quopri.decodestring(text.encode()).decode("utf-8", "replace")
    seen = text.translate(_UNSEEN)
    yield seen
    yield _BROKEN.sub("", seen)
    if "\t" in text or ";" in text or "," in text:
        yield re.sub(r"[\t;,\"']+", " ", seen)  # cells beside each other


def _escapes_resolved(text: str) -> str:
    def letter(found: re.Match[str]) -> str:
        code = int(next(filter(None, found.groups())), 16)
        return chr(code) if code < 0x110000 and not 0xD800 <= code < 0xE000 else " "

    return _ESCAPE.sub(letter, text)


def _pieces(data: bytes) -> Iterator[str]:
    """What is in a file as base64 or in hexadecimal figures, as far as it is text."""
    for number, found in enumerate(_PACKED.finditer(data)):
        if number > _MOST_PIECES:
            break
        piece = found[0].rstrip(b"=")
        piece += b"=" * (-len(piece) % 4)
        with contextlib.suppress(binascii.Error, ValueError):
            text = base64.b64decode(piece, altchars=b"-_" if set(b"-_") & set(piece) else None)
            yield text.decode("utf-8")
    for found in _HEX.finditer(data):
        with contextlib.suppress(ValueError):
            yield bytes.fromhex(found[0].decode()).decode("utf-8")
