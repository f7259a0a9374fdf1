"""What a finished PDF says, and where: its text, read back as a reader's program would."""

import hashlib
import itertools
import re
import threading
import unicodedata
import zlib
from collections.abc import Iterable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field
from functools import cached_property, lru_cache
from types import MappingProxyType
from typing import Any

import numpy as np
import pypdfium2

from trimscribe.model.report import PageBox
from trimscribe.typeset.legibility import Found, why_unseen
from trimscribe.typeset.runs import overprinted

# PDFium keeps global state and is not made for two threads at once.
PDFIUM = threading.Lock()
_NO_TITLES: Mapping[str, str] = MappingProxyType({})
# Blanks, and hyphens: PDFium takes one at the end of a line for the line's own.
_IGNORED = re.compile(r"[\s\u00ad\u200b\ufffe\x02\u2010-]")
_GAP = 0.6  # of a line's height: characters further apart are in different lines or columns
_COLOUR_SPACE = re.compile(rb" obj\n\[/ICCBased (\d+) 0 R\]\nendobj")
_STREAM = rb"\n%s 0 obj\n<</Length (\d+)[^>]*/FlateDecode>>\nstream\n"
# Typst describes colours by a profile of sRGB and one of grey. What PDFium works out of a profile
# takes it as long as reading three pages, and comes to the plain colours.
_PLAIN_COLOURS = {  # by the SHA-256 of the profile
    "c56e1685d888f5edb92fe07f2750f387f8fe8e91b32ff8fb0b56bfbbb9458353": b"/DeviceRGB",
    "00c0f94e09127520a17dc0e1d9264b5702081d96dbdb1549ee88e3631ce42a9d": b"/DeviceGray",
}


@dataclass(frozen=True)
class Unseen:
    """A required text that a reader does not see: `why` is empty where no page holds it."""

    text: str
    why: str = ""


@dataclass(frozen=True)
class Seen:
    """What a finished PDF shows: the number of its pages, and required texts that none of them
    shows legibly and in one piece.

    `later` are the vital texts that page one does not show, `overprinted` texts that stand on
    others, with their pages, `metadata` what fields say that are not empty, by their names.
    """

    pages: int
    unseen: tuple[Unseen, ...]
    later: tuple[str, ...]
    overprinted: Mapping[str, Sequence[int]]
    metadata: Mapping[str, str]


def pdf_pages(data: bytes) -> tuple[str, ...]:
    """The text of each page."""
    with opened(data) as pages:
        return tuple(page.text for page in pages)


def seen_in(
    data: bytes,
    required: tuple[str, ...],
    vital: tuple[str, ...] | None = None,
    titles: Mapping[str, str] = _NO_TITLES,
) -> Seen:
    """Look for texts that must be seen; line breaks, spaces and hyphens do not count.

    Pages with a text of `vital` are looked at as a reader sees them, by default all. A text in
    `titles` must follow the title that stands there for it.
    """
    reasons: dict[str, str] = {}
    missing = dict.fromkeys(required)
    closely = set(required if vital is None else vital)
    later: list[str] = []
    meeting: dict[str, list[int]] = {}
    with opened(data) as pages:
        for number, page in enumerate(pages, 1):
            for text in overprinted(page.textpage):
                meeting.setdefault(text, []).append(number)
            texts, places = page.find(missing)
            why = why_unseen(page.page, page.textpage, places, not closely.isdisjoint(texts))
            for text, hidden in zip(texts, why, strict=True):
                reason = hidden or page.why_not_below(titles.get(text, ""), text)
                if not reason:
                    missing.pop(text, None)
                reasons.setdefault(text, reason)
            if number == 1:
                later += (text for text in vital or () if text in missing)
        unseen = tuple(Unseen(text, reasons.get(text, "")) for text in missing)
        metadata = pages[0].page.pdf.get_metadata_dict(skip_empty=True)
        return Seen(len(pages), unseen, tuple(later), meeting, metadata)


def places_of(data: bytes, texts: Sequence[str]) -> tuple[tuple[PageBox, ...], ...]:
    """For each text the lines that it takes where it first is; empty where it does not."""
    with opened(data) as pages:
        return tuple(_first_place(text, pages) for text in texts)


@dataclass
class Page:
    """A page with its text as it is and without all that does not count."""

    page: Any
    textpage: Any
    text: str = field(init=False)

    def __post_init__(self) -> None:
        """Read the text, all of it."""
        self.text = self.textpage.get_text_range()
        if len(self.text) != self.textpage.count_chars():  # letters beyond the first 65,536
            count = self.textpage.count_chars()
            codes = (pypdfium2.raw.FPDFText_GetUnicode(self.textpage, n) for n in range(count))
            self.text = "".join(map(chr, codes))

    @cached_property
    def squeezed(self) -> str:
        """The text without what does not count."""
        return _squeezed(self.text)

    @cached_property
    def _positions(self) -> list[int]:
        """Where each letter of the squeezed text is in the whole."""
        counts = np.frombuffer(self.text.translate(_COUNTS).encode("latin-1"), np.uint8)
        places: list[int] = np.arange(len(counts)).repeat(counts).tolist()
        return places

    def places_of(self, wanted: str) -> Iterator[list[int]]:
        """For each time that the page says `wanted`: the numbers of its characters."""
        start = self.squeezed.find(wanted) if wanted else -1
        while start >= 0:
            yield self._positions[start : start + len(wanted)]
            start = self.squeezed.find(wanted, start + 1)

    def find(self, texts: Iterable[str]) -> tuple[list[str], list[Found]]:
        """Where the page says some texts: each that it says, and its characters, time by time."""
        found = [(text, place) for text in texts for place in self.places_of(_wanted(text))]
        return [text for text, _ in found], [Found(place, _words(text)) for text, place in found]

    def why_not_below(self, title: str, text: str) -> str:
        """What is wrong with a text that must follow a title, with a sign in between at most."""
        if not title:
            return ""
        both = rf"{re.escape(_wanted(title))}\W?{re.escape(_wanted(text))}"
        return "" if re.search(both, self.squeezed) else "it does not follow its title"

    def close(self) -> None:
        """Let go of the page; its document is still open."""
        self.textpage.close()
        self.page.close()


@contextmanager
def opened(data: bytes) -> Iterator[list[Page]]:
    """The pages of a PDF, closed again in the right order."""
    with PDFIUM:
        pdf = pypdfium2.PdfDocument(with_plain_colours(data))
        pages: list[Page] = []
        try:
            for number in range(len(pdf)):
                loaded = pdf[number]
                pages.append(Page(loaded, loaded.get_textpage()))
            yield pages
        finally:
            for page in pages:
                page.close()
            pdf.close()


def with_plain_colours(data: bytes) -> bytes:
    """The same PDF, with every place where it was, but without Typst's profiles of sRGB and grey.

    Other profiles, which pictures bring along, stay.
    """

    def plainly(found: re.Match[bytes]) -> bytes:
        stream = re.search(_STREAM % found[1], data)
        if stream is None:
            return found[0]
        profile = zlib.decompress(data[stream.end() :][: int(stream[1])])
        plain = _PLAIN_COLOURS.get(hashlib.sha256(profile).hexdigest())
        return (b" obj\n%s\nendobj" % plain).ljust(len(found[0])) if plain else found[0]

    return _COLOUR_SPACE.sub(plainly, data)


def _first_place(text: str, pages: list[Page]) -> tuple[PageBox, ...]:
    for number, page in enumerate(pages, 1):
        for characters in page.places_of(_wanted(text)):
            return tuple(_lines_of(number, page, characters))
    return ()


def _lines_of(number: int, page: Page, characters: Sequence[int]) -> Iterator[PageBox]:
    """The characters' boxes joined line by line."""
    width, height = page.page.get_size()
    line: tuple[float, float, float, float] | None = None
    for character in characters:
        left, bottom, right, top = page.textpage.get_charbox(character, loose=True)
        if right <= left:
            continue
        if line and abs(bottom - line[1]) < (line[3] - line[1]) * _GAP and left > line[0]:
            line = (line[0], min(bottom, line[1]), max(right, line[2]), max(top, line[3]))
            continue
        if line:
            yield _box_on_page(number, line, width, height)
        line = (left, bottom, right, top)
    if line:
        yield _box_on_page(number, line, width, height)


def _box_on_page(
    number: int, line: tuple[float, float, float, float], width: float, height: float
) -> PageBox:
    left, bottom, right, top = line
    return PageBox(
        number,
        round(left / width, 4),
        round(1 - top / height, 4),
        round((right - left) / width, 4),
        round((top - bottom) / height, 4),
    )


@lru_cache(maxsize=1024)
def _wanted(text: str) -> str:
    """Kept, because most required texts are the same in every report."""
    return _squeezed(unicodedata.normalize("NFKC", text))


@lru_cache(maxsize=1024)
def _words(text: str) -> tuple[int, ...]:
    """The letters of a wanted text, counted from 0, that have a blank before them."""
    parts = unicodedata.normalize("NFKC", text).split(" ")
    ends = itertools.accumulate(len(_squeezed(part)) for part in parts)
    return tuple(dict.fromkeys(ends))[:-1]


def _squeezed(text: str) -> str:
    """What counts of a text, letter by letter, so that positions can be counted back."""
    return text.translate(_PLAIN)


class _Plain(dict[int, str]):
    """What a letter counts as: nothing, itself, or the letters that it is made of."""

    def __missing__(self, code: int) -> str:
        letter = chr(code)
        self[code] = "" if _IGNORED.match(letter) else unicodedata.normalize("NFKD", letter)
        return self[code]


class _Counts(dict[int, str]):
    """How many letters a letter counts as, at most 18, as the code of another."""

    def __missing__(self, code: int) -> str:
        self[code] = chr(len(_PLAIN[code]))
        return self[code]


_PLAIN, _COUNTS = _Plain(), _Counts()
