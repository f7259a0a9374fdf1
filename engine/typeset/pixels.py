"""How well text on a page is seen: the page beside its own texts alone, black on white.

Within the box of a text, what is seen is fitted as `ground + strength * ideal` by least squares,
where `ideal` is 0 on paper and -255 in ink. That gives the colours of ground and ink whatever the
renderer did to the edges of letters, and an error where something lies over them or is missing.
"""

from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from trimscribe.typeset import pdfium

Boxes = NDArray[np.int64]  # a row for each box: top, bottom, left, right, in pixels
_Grey = NDArray[np.float32]
_Values = NDArray[np.float64]
_INK = -40  # of `ideal`; what is fainter is the edge of a letter
_LETTERS = 1.6  # of a box's height, about three letters: the length along which errors add up
_FLOOR = 0.02  # of a box's strongest column: the error that rounding may leave in one without ink


class Appearance(NamedTuple):
    """Of each box: `like` its text alone at the worst place (1: wholly), contrast of ink and ground
    by WCAG 2.2, and the shares of its height and width that its ink reaches over.
    """

    like: _Values
    contrast: _Values
    tall: _Values
    wide: _Values


def page_and_texts_alone(page: Any) -> tuple[_Grey, _Grey]:
    """A page as it is seen and its texts black on white, in grey, a pixel for each point.

    The page is of no use for anything else afterwards.
    """
    seen, at = _drawn(page), pdfium.address(page)
    for number in range(pdfium.count_objects(at)):
        item = pdfium.object_at(at, number)
        if pdfium.object_kind(item) == pdfium.TEXT:
            pdfium.set_fill_colour(item, 0, 0, 0, 255)
            pdfium.set_render_mode(item, pdfium.FILL)
        else:
            pdfium.set_active(item, 0)
    return seen, _drawn(page)


def _drawn(page: Any) -> _Grey:
    bitmap = page.render(scale=1, grayscale=True, may_draw_forms=False)
    picture = bitmap.to_numpy()
    drawn: _Grey = picture.reshape(picture.shape[:2]).astype(np.float32)
    bitmap.close()
    return drawn


def appearance(seen: _Grey, ideal: _Grey, boxes: Boxes) -> Appearance:
    """How the text in each box is seen; no box is empty or reaches over the pictures' edges."""
    top, bottom, left, right = boxes.T
    high, wide = bottom - top, right - left
    # All boxes' pixels in one row, column by column: sums over stretches of it do all the rest.
    box = np.repeat(np.arange(len(boxes)), wide)  # of each column
    first = _starts(wide)  # column of each box
    number = np.arange(len(box)) - first[box]  # of each column within its box
    tall = high[box]
    start = _starts(tall)  # pixel of each column
    row = np.arange(tall.sum()) - np.repeat(start, tall)
    pixels = (row + np.repeat(top[box], tall)) * seen.shape[1]
    pixels += np.repeat(number + left[box], tall)
    a, b = seen.ravel()[pixels], ideal.ravel()[pixels] - 255

    def sums(values: Any) -> _Values:
        """The sum of each column."""
        found: _Values = np.add.reduceat(values, start, dtype=np.float64)
        return found

    of_a, of_b, of_ab, of_bb, of_aa = map(sums, (a, b, a * b, b * b, a * a))
    all_a, all_b, all_ab, all_bb = (np.add.reduceat(v, first) for v in (of_a, of_b, of_ab, of_bb))
    spread = all_bb - all_b * all_b / (high * wide)
    strength = (all_ab - all_a * all_b / (high * wide)) / np.maximum(spread, 1e-6)
    strength[spread < 1e3] = 0  # hardly any ink
    ground = (all_a - strength * all_b) / (high * wide)

    k, g = strength[box], ground[box]
    error = of_aa + tall * g * g + k * k * of_bb - 2 * g * of_a - 2 * k * of_ab + 2 * g * k * of_b
    own = k * k * of_bb
    window = np.maximum(4, (_LETTERS * tall).astype(int))
    end = np.minimum(np.arange(len(box)) + window, (first + wide)[box])
    begin = np.maximum(end - window, first[box])
    floor = _FLOOR * window * np.maximum.reduceat(own, first)[box] + 1e-3
    unlike = _between(begin, end, error) / (_between(begin, end, own) + floor)

    inked = b < _INK
    higher = np.minimum.reduceat(np.where(inked, row, high.max()), start)
    lower = np.maximum.reduceat(np.where(inked, row, -1), start)
    some = lower >= 0  # columns with ink
    return Appearance(
        np.maximum(0, 1 - np.maximum.reduceat(unlike, first)),
        _contrast(ground, ground - 255 * strength),
        _reach(np.minimum.reduceat(higher, first), np.maximum.reduceat(lower, first)) / high,
        _reach(
            np.minimum.reduceat(np.where(some, number, wide.max()), first),
            np.maximum.reduceat(np.where(some, number, -1), first),
        )
        / wide,
    )


def _starts(lengths: NDArray[np.int64]) -> NDArray[np.int64]:
    found: NDArray[np.int64] = np.cumsum(lengths) - lengths
    return found


def _between(begin: NDArray[np.int64], end: NDArray[np.int64], values: _Values) -> _Values:
    running = np.concatenate(([0.0], values.cumsum()))
    found: _Values = running[end] - running[begin]
    return found


def _reach(first: NDArray[np.int64], last: NDArray[np.int64]) -> NDArray[np.int64]:
    found: NDArray[np.int64] = np.maximum(last - first + 1, 0)
    return found


def _contrast(one: _Values, other: _Values) -> _Values:
    light, dark = _luminance(np.maximum(one, other)), _luminance(np.minimum(one, other))
    found: _Values = (light + 0.05) / (dark + 0.05)
    return found


def _luminance(grey: _Values) -> _Values:
    share = np.clip(grey, 0, 255) / 255
    found: _Values = np.where(share <= 0.04045, share / 12.92, ((share + 0.055) / 1.055) ** 2.4)
    return found
