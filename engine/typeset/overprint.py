"""Texts of a page that overlap, those in drawings too."""

from collections.abc import Iterator
from typing import Any

import numpy as np

from trimscribe.typeset.runs import rectangles_of

# Width and height by which letters of two lines may meet: accents and descenders reach out.
_OVER_PT = (0.6, 1.0)
_SHOWN = 60  # letters of a text that are reported


def overprinted(textpage: Any) -> Iterator[str]:
    """The upper text of each two that overlap."""
    everything = range(max(textpage.count_chars(), 1))
    boxes = rectangles_of(textpage, [everything]).boxes
    boxes = boxes[np.argsort(boxes[:, 1])]
    # Only what begins below the top of a box can meet it: a few of all.
    number = np.arange(len(boxes))
    near = np.searchsorted(boxes[:, 1], boxes[:, 3] - _OVER_PT[1]) - number - 1
    one = np.repeat(number, np.maximum(near, 0))
    other = np.arange(len(one)) - np.searchsorted(one, one) + one + 1
    shared = np.minimum(boxes[one, 2:], boxes[other, 2:])
    shared -= np.maximum(boxes[one, :2], boxes[other, :2])
    for box in boxes[other[(shared > _OVER_PT).all(1)]]:
        yield text_in(textpage, box)


def text_in(textpage: Any, box: Any) -> str:
    """The beginning of what is in a box of a page."""
    return " ".join(textpage.get_text_bounded(*box).split())[:_SHOWN]
