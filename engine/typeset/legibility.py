"""Whether a reader can see a text that the finished page holds, and if not, why.

Nothing is taken on trust from the theme: what counts is what the page shows. This finds what a
theme does by accident. It does not judge what else a theme says.

A text is measured in four ways: by the paper that its letters take, by the runs that it is painted
in, by the gaps between letters and words, and by its looks: the page beside its own texts alone.
"""

from collections.abc import Iterator, Sequence
from itertools import chain
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from trimscribe.typeset import pdfium
from trimscribe.typeset.runs import BAD_SHAPES, Rectangles, Runs, rectangles_of, runs_of

_Values = NDArray[np.float64]
_Numbers = NDArray[np.int64]
_Boxes = NDArray[np.int64]  # a row for each box: top, bottom, left, right, in pixels
_Grey = NDArray[np.float32]

# Measured on 84 sound reports (10,344 texts) and the tricks of tests/typeset/test_legibility.py.
_SMALLEST_PT = 7.0  # the small print of a report; about the x-height of a telephone book's
_PAPER_PT = (612.0, 842.0)  # the width of US Letter and the height of A4, upright
_LEAST_HEIGHT_PT = 3.3  # of the highest letters, as drawn: small ones of a face of that size
_NOTHING_PT = 0.1
_LEAST_WIDTH_PT = 1.1  # that a letter takes on average
_LEAST_CONTRAST = 4.5 - 0.05  # WCAG 2.2, 1.4.3; rounding to steps of grey takes up to 0.05
_LEAST_LIKE = 0.9  # sound texts 0.995 and more, struck out or covered ones 0.86 and less
_LEAST_TALL = 0.45  # of a line's height: one of small letters alone, without any that reach out
_LEAST_WIDE, _WIDE_PT = 0.8, 20.0  # share of a line's width, and the width from which it counts
_SPECK_PT = (4.0, 1.5)  # width and height below which a line is a dot or dashes, with little to see
# Measured on 96 sound reports (16 jobs, three themes, two papers), of which none is refused: in
# Inter no letters share more than .11, and words are .3 of a letter further apart than letters.
_PILED = 0.3  # share of the slimmer of two letters that four in a row may not have in common
_BACK = 0.5  # of a letter's width by which one may begin ahead of the one before
_LEAST_GAP = 0.1  # of a letter's width, between words more than between letters
_FEW_GAPS = 2  # one may be an overhanging f's
_INK = -40  # of `ideal`; what is fainter is the edge of a letter
_LETTERS = 1.6  # of a box's height, about three letters: the length along which errors add up
_FLOOR = 0.02  # of a box's strongest column: the error that rounding may leave in one without ink


class Found(NamedTuple):
    """A text on a page: its characters in the page's text, without blanks and hyphens, and those of
    them, counted from 0, that have a blank before them.
    """

    characters: Sequence[int]
    words: Sequence[int]


def why_unseen(page: Any, textpage: Any, found: Sequence[Found], look: bool) -> list[str]:
    """Of texts on a page, what keeps a reader from each, or nothing.

    With `look` the page is looked at, after which it is of no use for anything else; without, only
    the height and width that their letters take.
    """
    lines = rectangles_of(textpage, [text.characters for text in found])
    smaller = _printed(page.get_size())
    drawn = [*_too_small(lines, smaller)]
    if not look or not found:
        return drawn
    runs = runs_of(page)
    own = lines.own_runs(runs)
    shapes = [*_shapes(lines, runs, own, smaller)]
    apart = _why_not_apart(textpage, found)
    seen = _looked_at(page, lines, runs, own)
    return [
        shapes[number] or apart[number] or drawn[number] or _unlike(seen, lines, number)
        for number in range(len(found))
    ]


def _printed(size: tuple[float, float]) -> float:
    """By how much a page is made smaller where it is printed on the largest paper of a report."""
    short, long = sorted(size)
    return min(1.0, _PAPER_PT[0] / short, _PAPER_PT[1] / long)


def _too_small(lines: Rectangles, smaller: float) -> Iterator[str]:
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
        elif (size := sizes[mine].min()) < _SMALLEST_PT - 0.01:
            yield f"it is {size:.1f} pt high; {_SMALLEST_PT:g} pt is the least"
        else:
            yield "other text overlaps it" if crossed[mine].any() else ""


def _why_not_apart(textpage: Any, texts: Sequence[Found]) -> list[str]:
    """What makes the letters of each text run into each other; empty where nothing does."""
    boxes, owners = _letter_boxes(textpage, texts)
    count = len(texts)

    def mean(values: _Values, of: _Numbers) -> _Values:
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


def _letter_boxes(textpage: Any, texts: Sequence[Found]) -> tuple[_Values, _Numbers]:
    """Left, right, bottom and top of the ink of each letter, and the number of its text."""
    counts = [len(text.characters) for text in texts]
    boxes = np.zeros((sum(counts), 4))
    at, ask, place = pdfium.address(textpage), pdfium.character, pdfium.start_of(boxes)
    for number in chain.from_iterable(text.characters for text in texts):
        # Straight into the rows: a report has some thousand letters that must be seen.
        ask(at, number, place, place + 8, place + 16, place + 24)
        place += 32
    return boxes, np.repeat(np.arange(len(texts)), counts)


class _Appearance(NamedTuple):
    """Of each box: `like` its text alone at the worst place (1: wholly), contrast of ink and ground
    by WCAG 2.2, and the shares of its height and width that its ink reaches over.
    """

    like: _Values
    contrast: _Values
    tall: _Values
    wide: _Values


def _looked_at(page: Any, lines: Rectangles, runs: Runs, own: Any) -> _Appearance:
    """How the lines look; specks look perfect, what lies off the page is unseen."""
    boxes = lines.down_to_baseline(runs, own, page.get_size()[1])
    seen, ideal = _page_and_texts_alone(page)
    height, width = seen.shape
    speck = (boxes[:, 3] - boxes[:, 2] < _SPECK_PT[0]) | (boxes[:, 1] - boxes[:, 0] < _SPECK_PT[1])
    whole = np.round(boxes).astype(int)
    whole[:, :2] = whole[:, :2].clip(0, height)
    whole[:, 2:] = whole[:, 2:].clip(0, width)
    there = (whole[:, 1] > whole[:, 0]) & (whole[:, 3] > whole[:, 2]) & ~speck
    found = _Appearance(*np.where(speck, 1.0, 0.0) * np.array([[1.0], [99.0], [1.0], [1.0]]))
    if there.any():
        for every, looked in zip(found, _appearance(seen, ideal, whole[there]), strict=True):
            every[there] = looked
    return found


def _unlike(seen: _Appearance, lines: Rectangles, number: int) -> str:
    mine = lines.owners == number
    wide = mine & (lines.boxes[:, 2] - lines.boxes[:, 0] > _WIDE_PT)
    if seen.tall[mine].min() < _LEAST_TALL or (seen.wide[wide] < _LEAST_WIDE).any():
        return "it is cut off, off the page or not painted"
    if (contrast := seen.contrast[mine].min()) < _LEAST_CONTRAST:
        return f"it is too faint or covered: its contrast is {contrast:.1f}; 4.5 is the least"
    if seen.like[mine].min() < _LEAST_LIKE:
        return "something is painted over it, or strikes it out"
    return ""


def _page_and_texts_alone(page: Any) -> tuple[_Grey, _Grey]:
    """A page as it is seen and its texts black on white, in grey, a pixel for each point.

    The page is of no use for anything else afterwards.
    """
    seen, at = _in_grey(page), pdfium.address(page)
    for number in range(pdfium.count_objects(at)):
        item = pdfium.object_at(at, number)
        if pdfium.object_kind(item) == pdfium.TEXT:
            pdfium.set_fill_colour(item, 0, 0, 0, 255)
            pdfium.set_render_mode(item, pdfium.FILL)
        else:
            pdfium.set_active(item, 0)
    return seen, _in_grey(page)


def _in_grey(page: Any) -> _Grey:
    bitmap = page.render(scale=1, grayscale=True, may_draw_forms=False)
    picture = bitmap.to_numpy()
    drawn: _Grey = picture.reshape(picture.shape[:2]).astype(np.float32)
    bitmap.close()
    return drawn


def _appearance(seen: _Grey, ideal: _Grey, boxes: _Boxes) -> _Appearance:
    """How the text in each box is seen; no box is empty or reaches over the pictures' edges.

    Within a box, what is seen is fitted as `ground + strength * ideal` by least squares, where
    `ideal` is 0 on paper and -255 in ink. That gives the colours of ground and ink whatever the
    renderer did to the edges of letters, and an error where something lies over them or is missing.
    """
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
    return _Appearance(
        np.maximum(0, 1 - np.maximum.reduceat(unlike, first)),
        _contrast(ground, ground - 255 * strength),
        _reach(np.minimum.reduceat(higher, first), np.maximum.reduceat(lower, first)) / high,
        _reach(
            np.minimum.reduceat(np.where(some, number, wide.max()), first),
            np.maximum.reduceat(np.where(some, number, -1), first),
        )
        / wide,
    )


def _starts(lengths: _Numbers) -> _Numbers:
    found: _Numbers = np.cumsum(lengths) - lengths
    return found


def _between(begin: _Numbers, end: _Numbers, values: _Values) -> _Values:
    running = np.concatenate(([0.0], values.cumsum()))
    found: _Values = running[end] - running[begin]
    return found


def _reach(first: _Numbers, last: _Numbers) -> _Numbers:
    found: _Numbers = np.maximum(last - first + 1, 0)
    return found


def _contrast(one: _Values, other: _Values) -> _Values:
    light, dark = _luminance(np.maximum(one, other)), _luminance(np.minimum(one, other))
    found: _Values = (light + 0.05) / (dark + 0.05)
    return found


def _luminance(grey: _Values) -> _Values:
    share = np.clip(grey, 0, 255) / 255
    found: _Values = np.where(share <= 0.04045, share / 12.92, ((share + 0.055) / 1.055) ** 2.4)
    return found
