"""Where on the pages of a finished PDF a text is."""

import unicodedata
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from trimscribe.typeset.text import Page, opened, squeezed

_GAP = 0.6  # of a line's height: characters further apart are in different lines or columns


@dataclass(frozen=True)
class PageBox:
    """One line of a text: its page, from 1, and its box as shares of the page from the top left."""

    page: int
    left: float
    top: float
    width: float
    height: float


def places_of(data: bytes, texts: Sequence[str]) -> tuple[tuple[PageBox, ...], ...]:
    """For each text the lines that it takes where it first is; empty where it does not."""
    with opened(data) as pages:
        return tuple(_first(text, pages) for text in texts)


def _first(text: str, pages: list[Page]) -> tuple[PageBox, ...]:
    wanted = squeezed(unicodedata.normalize("NFKC", text))
    for number, page in enumerate(pages, 1):
        for characters in page.places_of(wanted):
            return tuple(_lines(number, page, characters))
    return ()


def _lines(number: int, page: Page, characters: Sequence[int]) -> Iterator[PageBox]:
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
            yield _place(number, line, width, height)
        line = (left, bottom, right, top)
    if line:
        yield _place(number, line, width, height)


def _place(
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
