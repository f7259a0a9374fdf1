"""Whether a reader can see a text that the finished page holds, and if not, why.

Nothing is taken on trust from the theme: what counts is what the page shows. This finds what a
theme does by accident. It does not judge what else a theme says.
"""

from collections.abc import Iterator, Sequence
from typing import Any

import numpy as np

from trimscribe.typeset.pixels import Appearance, appearance, page_and_texts_alone
from trimscribe.typeset.runs import (
    BAD_SHAPES,
    Rectangles,
    Runs,
    rectangles_of,
    runs_of,
)
from trimscribe.typeset.spacing import Found, why_not_apart

# Measured on 84 sound reports (10,344 texts) and the tricks of tests/typeset/test_legibility.py.
SMALLEST_PT = 7.0  # the small print of a report; about the x-height of a telephone book's
_PAPER_PT = (612.0, 842.0)  # the width of US Letter and the height of A4, upright
_LEAST_HEIGHT_PT = 3.3  # of the highest letters, as drawn: small ones of a face of that size
_NOTHING_PT = 0.1
_LEAST_WIDTH_PT = 1.1  # that a letter takes on average
_LEAST_CONTRAST = 4.5 - 0.05  # WCAG 2.2, 1.4.3; rounding to steps of grey takes up to 0.05
_LEAST_LIKE = 0.9  # sound texts 0.995 and more, struck out or covered ones 0.86 and less
_LEAST_TALL = 0.45  # of a line's height: one of small letters alone, without any that reach out
_LEAST_WIDE, _WIDE_PT = 0.8, 20.0  # share of a line's width, and the width from which it counts
_SPECK_PT = (4.0, 1.5)  # width and height below which a line is a dot or dashes, with little to see


def why_unseen(page: Any, textpage: Any, found: Sequence[Found], look: bool) -> list[str]:
    """Of texts on a page, what keeps a reader from each, or nothing.

    With `look` the page is looked at, after which it is of no use for anything else; without, only
    the height and width that their letters take.
    """
    lines = rectangles_of(textpage, [text.characters for text in found])
    smaller = _printed(page.get_size())
    drawn = [*_drawn(lines, smaller)]
    if not look or not found:
        return drawn
    runs = runs_of(page)
    own = lines.own_runs(runs)
    shapes = [*_shapes(lines, runs, own, smaller)]
    apart = why_not_apart(textpage, found)
    seen = _looked_at(page, lines, runs, own)
    return [
        shapes[number] or apart[number] or drawn[number] or _unlike(seen, lines, number)
        for number in range(len(found))
    ]


def _printed(size: tuple[float, float]) -> float:
    """By how much a page is made smaller where it is printed on the largest paper of a report."""
    short, long = sorted(size)
    return min(1.0, _PAPER_PT[0] / short, _PAPER_PT[1] / long)


def _drawn(lines: Rectangles, smaller: float) -> Iterator[str]:
    """What the letters of each text take of the paper, where that is too little."""
    highest = np.zeros(len(lines.letters))
    np.maximum.at(highest, lines.owners, lines.boxes[:, 3] - lines.boxes[:, 1])
    highest, widths = highest * smaller, lines.widths * smaller
    for high, width, letters in zip(highest, widths, lines.letters, strict=True):
        if width < _LEAST_WIDTH_PT * letters or high < _NOTHING_PT:
            yield "its letters are not painted, or overlap"
        else:
            yield f"its letters are drawn {high:.1f} pt high" if high < _LEAST_HEIGHT_PT else ""


def _shapes(lines: Rectangles, runs: Runs, own: Any, smaller: float) -> Iterator[str]:
    """What is wrong with the runs that each text is painted in."""
    crossed = lines.crossed(runs, own)
    bad = np.append(runs.shapes, 0)[own]
    sizes = np.append(runs.sizes, np.inf)[own] * smaller
    for number in range(len(lines.letters)):
        mine = lines.owners == number
        if bad[mine].any():
            yield BAD_SHAPES[bad[mine].max()]
        elif (size := sizes[mine].min()) < SMALLEST_PT - 0.01:
            yield f"it is {size:.1f} pt high; {SMALLEST_PT:g} pt is the least"
        else:
            yield "other text overlaps it" if crossed[mine].any() else ""


def _looked_at(page: Any, lines: Rectangles, runs: Runs, own: Any) -> Appearance:
    """How the lines look; specks look perfect, what lies off the page is unseen."""
    boxes = lines.down_to_baseline(runs, own, page.get_size()[1])
    seen, ideal = page_and_texts_alone(page)
    height, width = seen.shape
    speck = (boxes[:, 3] - boxes[:, 2] < _SPECK_PT[0]) | (boxes[:, 1] - boxes[:, 0] < _SPECK_PT[1])
    whole = np.round(boxes).astype(int)
    whole[:, :2] = whole[:, :2].clip(0, height)
    whole[:, 2:] = whole[:, 2:].clip(0, width)
    there = (whole[:, 1] > whole[:, 0]) & (whole[:, 3] > whole[:, 2]) & ~speck
    found = Appearance(*np.where(speck, 1.0, 0.0) * np.array([[1.0], [99.0], [1.0], [1.0]]))
    if there.any():
        for every, looked in zip(found, appearance(seen, ideal, whole[there]), strict=True):
            every[there] = looked
    return found


def _unlike(seen: Appearance, lines: Rectangles, number: int) -> str:
    mine = lines.owners == number
    wide = mine & (lines.boxes[:, 2] - lines.boxes[:, 0] > _WIDE_PT)
    if seen.tall[mine].min() < _LEAST_TALL or (seen.wide[wide] < _LEAST_WIDE).any():
        return "it is cut off, off the page or not painted"
    if (contrast := seen.contrast[mine].min()) < _LEAST_CONTRAST:
        return f"it is too faint or covered: its contrast is {contrast:.1f}; 4.5 is the least"
    if seen.like[mine].min() < _LEAST_LIKE:
        return "something is painted over it, or strikes it out"
    return ""
