"""Whether the letters and words of texts are far enough apart to be told apart.

Places are in points. Letters are given in the order in which they are read; blanks are none.
"""

from collections.abc import Sequence
from itertools import chain
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from trimscribe.typeset import pdfium

# Measured on 96 sound reports (16 jobs, three themes, two papers), of which none is refused: in
# Inter no letters share more than .11, and words are .3 of a letter further apart than letters.
_PILED = 0.3  # share of the slimmer of two letters that four in a row may not have in common
_BACK = 0.5  # of a letter's width by which one may begin ahead of the one before
_LEAST_GAP = 0.1  # of a letter's width, between words more than between letters
_FEW_GAPS = 2  # one may be an overhanging f's


class Found(NamedTuple):
    """A text on a page: its characters in the page's text, without blanks and hyphens, and those of
    them, counted from 0, that have a blank before them.
    """

    characters: Sequence[int]
    words: Sequence[int]


def why_not_apart(textpage: Any, texts: Sequence[Found]) -> list[str]:
    """What makes the letters of each text run into each other; empty where nothing does."""
    boxes, owners = _boxes_of(textpage, texts)
    count = len(texts)

    def mean(values: NDArray[np.float64], of: NDArray[np.int64]) -> NDArray[np.float64]:
        return np.bincount(of, values, count) / np.maximum(np.bincount(of, minlength=count), 1)

    width = np.maximum(mean(boxes[:, 1] - boxes[:, 0], owners), 0.1)
    before, after, owner = boxes[:-1], boxes[1:], owners[1:]
    level = np.minimum(before[:, 3], after[:, 3]) > np.maximum(before[:, 2], after[:, 2])
    level &= owner == owners[:-1]
    # A glyph that stands for several letters, such as fi, has one box for all of them.
    apart = level & (before != after).any(1)
    slimmer = np.minimum(before[:, 1] - before[:, 0], after[:, 1] - after[:, 0])
    shared = np.minimum(before[:, 1], after[:, 1]) - np.maximum(before[:, 0], after[:, 0])
    piled = apart & (shared > _PILED * np.maximum(slimmer, 0.5))
    bad = apart & (after[:, 0] < before[:, 0] - _BACK * width[owner])
    bad[2:] |= piled[2:] & piled[1:-1] & piled[:-2]
    overlap = np.bincount(owner[bad], minlength=count) > 0

    blank = np.zeros(len(boxes), bool)
    start = 0
    for text in texts:
        blank[[start + word for word in text.words]] = True
        start += len(text.characters)
    between = (after[:, 0] - before[:, 1]) / width[owner]
    word, letter = level & blank[1:], apart & ~blank[1:]
    enough = np.bincount(owner[word], minlength=count) >= _FEW_GAPS
    least = mean(between[letter], owner[letter]) + _LEAST_GAP
    close = enough & (mean(between[word], owner[word]) < least)
    return [
        "its letters are on each other" if over else "its words run into each other" if near else ""
        for over, near in zip(overlap.tolist(), close.tolist(), strict=True)
    ]


def _boxes_of(
    textpage: Any, texts: Sequence[Found]
) -> tuple[NDArray[np.float64], NDArray[np.int64]]:
    """Left, right, bottom and top of the ink of each letter, and the number of its text."""
    counts = [len(text.characters) for text in texts]
    boxes = np.zeros((sum(counts), 4))
    at, ask, place = pdfium.address(textpage), pdfium.character, pdfium.start_of(boxes)
    for number in chain.from_iterable(text.characters for text in texts):
        # Straight into the rows: a report has some thousand letters that must be seen.
        ask(at, number, place, place + 8, place + 16, place + 24)
        place += 32
    return boxes, np.repeat(np.arange(len(texts)), counts)
