"""Write the smallest XLS file that holds a table: BIFF8 in a compound file.

Records and layout: OpenOffice.org's Documentation of the Microsoft Excel File Format, and of the
Microsoft Compound Document File Format.
"""

import struct
from collections.abc import Mapping, Sequence

__all__ = ["xls"]

_SECTOR = 512
_FREE, _END, _FAT = 0xFFFFFFFF, 0xFFFFFFFE, 0xFFFFFFFD


def xls(sheets: Mapping[str, Sequence[Sequence[object]]]) -> bytes:
    """A workbook with these sheets; None is an empty cell."""
    bodies = [_sheet(grid) for grid in sheets.values()]
    head = _record(0x809, struct.pack("<HHHHII", 0x600, 5, 0, 0, 0, 6))
    head += b"".join(_record(0x31, _FONT) for _ in range(5))
    head += b"".join(_record(0xE0, _xf(style=n < 15)) for n in range(16))
    names = [name.encode("utf-16-le") for name in sheets]
    start = len(head) + sum(4 + 8 + len(name) for name in names) + 4
    bounds = b""
    for name, body in zip(names, bodies, strict=True):
        bounds += _record(0x85, struct.pack("<IHBB", start, 0, len(name) // 2, 1) + name)
        start += len(body)
    return _compound(head + bounds + _record(0x0A, b"") + b"".join(bodies))


_FONT = struct.pack("<HHHHHBBBB", 200, 0, 0x7FFF, 400, 0, 0, 0, 0, 0) + b"\x05\x00Arial"


def _xf(*, style: bool) -> bytes:
    return struct.pack("<HHHBBBBIIH", 0, 0, 0xFFF5 if style else 1, 0x20, 0, 0, 0, 0, 0, 0x20C0)


def _sheet(grid: Sequence[Sequence[object]]) -> bytes:
    body = _record(0x809, struct.pack("<HHHHII", 0x600, 0x10, 0, 0, 0, 6))
    for row, values in enumerate(grid):
        for column, value in enumerate(values):
            place = struct.pack("<HHH", row, column, 15)
            if isinstance(value, int | float):
                body += _record(0x203, place + struct.pack("<d", value))
            elif value is not None:
                text = str(value).encode("utf-16-le")
                body += _record(0x204, place + struct.pack("<HB", len(text) // 2, 1) + text)
    return body + _record(0x0A, b"")


def _record(kind: int, data: bytes) -> bytes:
    return struct.pack("<HH", kind, len(data)) + data


def _compound(stream: bytes) -> bytes:
    """One stream `Workbook`, long enough to need no short sectors."""
    stream = stream.ljust(max(4096, -(-len(stream) // _SECTOR) * _SECTOR), b"\0")
    count = len(stream) // _SECTOR
    fats = 1
    while fats * 128 < fats + 1 + count:
        fats += 1
    first = fats + 1
    fat = [_FAT] * fats + [_END] + [*range(first + 1, first + count), _END]
    fat += [_FREE] * (fats * 128 - len(fat))
    header = bytes.fromhex("d0cf11e0a1b11ae1") + bytes(16)
    header += struct.pack("<HHHHH6xIIIIIIIII", 0x3E, 3, 0xFFFE, 9, 6, 0, fats, fats, 0, 4096,
                          _END, 0, _END, 0)  # fmt: skip
    header += struct.pack("<109I", *range(fats), *[_FREE] * (109 - fats))
    folder = _entry("Root Entry", 5, 1, _END, 0) + _entry("Workbook", 2, _FREE, first, len(stream))
    return header + struct.pack(f"<{len(fat)}I", *fat) + folder.ljust(_SECTOR, b"\0") + stream


def _entry(name: str, kind: int, child: int, start: int, size: int) -> bytes:
    text = (name + "\0").encode("utf-16-le")
    return text.ljust(64, b"\0") + struct.pack(
        "<HBBIII36xIII", len(text), kind, 1, _FREE, _FREE, child, start, size, 0
    )
