"""A text file that a person wrote, with a mark for every place in it."""

import codecs
import re
from dataclasses import dataclass, replace
from typing import Any

from trimscribe.errors import Fault, Mark

__all__ = ["MarkedText"]

_BREAK = re.compile("\r\n|\r|\n")
# Signs that are invisible, or end a line for some programs and not for others.
_CONTROL = (
    r"[^\t\n\r\x20-\x7e\xa0-\u2027\u202a-\ud7ff\ue000-\ufefe\uff00-\ufffd\U00010000-\U0010ffff]"
)
_BOMS = (b"\xff\xfe", b"\xfe\xff", b"\x00\x00\xfe\xff")
_OTHERS = (
    (b"\x89PNG", "a picture (PNG)"),
    (b"\xff\xd8\xff", "a picture (JPEG)"),
    (b"%PDF-", "a PDF file"),
    (b"PK\x03\x04", "a workbook or an archive"),
    (b"\xd0\xcf\x11\xe0", "an old workbook or document"),
)
_MOST = 20  # faults of one kind; a file full of tabs needs no more


@dataclass(frozen=True)
class MarkedText:
    """A file as text and as lines; `file` is the path as typed.

    It is `readable` when a parser can make sense of it, whatever faults it has.
    """

    file: str
    whole: str = ""
    lines: tuple[str, ...] = ("",)
    readable: bool = False

    @classmethod
    def decode(
        cls, data: bytes, file: str, largest: int, *, tabs: bool = False
    ) -> tuple["MarkedText", tuple[Fault, ...]]:
        """Turn bytes into text, with all faults of size, encoding and invisible characters.

        A tab is such a fault too, unless `tabs` are allowed. The byte order mark that some programs
        put in front is no part of the text.
        """
        if len(data) > largest:
            return cls(file), (
                Fault("file-too-large", f"This file has more than {largest} bytes.", Mark(file)),
            )
        if other := next((name for start, name in _OTHERS if data.startswith(start)), ""):
            message = f"This is {other}, not a text file."
            return cls(file), (Fault("not-utf-8", message, Mark(file), "Name the right file."),)
        if data.startswith(_BOMS) or b"\x00" in data[:4]:
            return cls(file), (_not_utf_8("It looks like UTF-16.", Mark(file)),)
        data = data.removeprefix(codecs.BOM_UTF8)
        try:
            text = data.decode("utf-8")
        except UnicodeDecodeError as error:
            before = _BREAK.split(data[: error.start].decode("utf-8"))
            mark = Mark(file, len(before), len(before[-1]) + 1, 1, before[-1] + "\ufffd")
            return cls(file), (_not_utf_8("One of its characters is not UTF-8.", mark),)
        found = cls(file, text, tuple(_BREAK.split(text)), True)
        blanks = () if tabs else found._each("\t", "tab", "A tab is here.", "Write spaces.")
        signs = found._each(
            _CONTROL, "invisible-sign", "An invisible control character is here.", "Delete it."
        )
        # A tab that indents a line leaves the parser nothing to go by.
        lost = signs or [f for f in blanks if f.mark and not _before(f.mark).strip()]
        return replace(found, readable=not lost), (*blanks, *signs)

    @property
    def start(self) -> Mark:
        """The first line of the file."""
        return Mark(self.file, 1, 1, max(1, len(self.lines[0])), self.lines[0])

    def at(self, mark: Any) -> Mark:
        """The place of a parser's mark; one behind the end falls on the last line with text."""
        if mark is None:
            return self.start
        line, column = mark.line, mark.column
        while line and (line >= len(self.lines) or not self.lines[line].strip()):
            line -= 1
            column = len(self.lines[line]) if line < len(self.lines) else 0
        column = min(column, max(0, len(self.lines[line]) - 1))
        return Mark(self.file, line + 1, column + 1, 1, self.lines[line])

    def between(self, start: Any, end: Any) -> Mark:
        """From one of the parser's marks to another, as far as the first one's line goes."""
        line = start.line
        source = self.lines[line] if line < len(self.lines) else ""
        stop = end.column if end.line == line else len(source)
        return Mark(self.file, line + 1, start.column + 1, max(1, stop - start.column), source)

    def _each(self, pattern: str, code: str, message: str, hint: str) -> tuple[Fault, ...]:
        faults = []
        for number, line in enumerate(self.lines, 1):
            if found := re.search(pattern, line):
                mark = Mark(self.file, number, found.start() + 1, 1, line)
                faults.append(Fault(code, message, mark, hint))
                if len(faults) == _MOST:
                    break
        return tuple(faults)


def _before(mark: Mark) -> str:
    return mark.source[: mark.column - 1]


def _not_utf_8(what: str, mark: Mark) -> Fault:
    return Fault("not-utf-8", f"This file is not UTF-8 text. {what}", mark, "Save it as UTF-8.")
