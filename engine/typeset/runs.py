"""The lines that texts of a finished page take, those that overlap, and the runs of its paint.

Places are in points from the lower left corner of the page; a box is left, bottom, right, top.
"""

from collections.abc import Iterator, Sequence
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from trimscribe.typeset import pdfium
from trimscribe.typeset.pdfium import DOUBLES, FLOATS, MATRIX

_Values = NDArray[np.float64]
_Numbers = NDArray[np.int64]
# What may be wrong with a run, by its number; 0 is nothing.
BAD_SHAPES = (
    "",
    "it is turned, mirrored or skewed",
    "its letters are squeezed",
    "programs that read aloud are told to skip it",
    "it is cut off",
)
_READ_OVER, _CUT = 3, 4
_LOST = (0.15, 1.5)  # share of its height, and width in points, of which a frame may cut a run
_SLIMMEST = 0.6  # width over height of a letter, of its own: squeezed more it is not told apart
_STEEPEST = 0.4  # of an oblique face; italics reach 0.25
_LEVEL = 0.01
_NEXT_LINE_PT = (1.0, 1.5)  # width and height by which the next line may not reach into one
_SAME_LINE_PT = 2.5  # width by which a run may reach into the one before it: italics, kerning
# Width and height by which letters of two lines may meet: accents and descenders reach out.
_OVER_PT = (0.6, 1.0)
_SHOWN = 60  # letters of a text that are reported


class Runs(NamedTuple):
    """The runs of text that a page paints itself: box, baseline, height of an em, bad shape."""

    boxes: _Values
    baselines: _Values
    sizes: _Values
    shapes: _Numbers


class Rectangles(NamedTuple):
    """The lines of some texts: `owners` says which text each is of; by text its letters' number
    and the width of all its lines.
    """

    boxes: _Values
    owners: _Numbers
    letters: _Numbers
    widths: _Values

    def own_runs(self, runs: Runs) -> _Numbers:
        """Of each line the number of the run that paints most of it; -1 for none."""
        if not len(runs.boxes):
            return np.full(len(self.boxes), -1)
        level = (runs.baselines > self.boxes[:, 1:2] - 1.5) & (
            runs.baselines < self.boxes[:, 3:] - 1
        )
        met = self._shared(runs, 0) * self._shared(runs, 1) * (1 + level)
        return np.where(met.max(1) > 0, met.argmax(1), -1)

    def crossed(self, runs: Runs, own: _Numbers) -> NDArray[np.bool_]:
        """Whether another run stands on a line, or one of the next lines reaches into it."""
        if not len(runs.boxes):
            return np.zeros(len(self.boxes), bool)
        wide, high = self._shared(runs, 0), self._shared(runs, 1)
        apart = abs(runs.baselines - runs.baselines[own][:, None]) > 1
        least = np.where(apart, _NEXT_LINE_PT[0], _SAME_LINE_PT)
        meets: NDArray[np.bool_] = (wide > least) & (high > _NEXT_LINE_PT[1])
        meets[np.arange(len(own)), own] = False
        return np.asarray(meets.any(1))

    def _shared(self, runs: Runs, axis: int) -> _Values:
        """How far each run reaches into each line, along one axis."""
        near = np.maximum(self.boxes[:, None, axis], runs.boxes[None, :, axis])
        far = np.minimum(self.boxes[:, None, axis + 2], runs.boxes[None, :, axis + 2])
        found: _Values = np.maximum(far - near, 0)
        return found

    def down_to_baseline(self, runs: Runs, own: _Numbers, height: float) -> _Values:
        """Top, bottom, left and right from the page's upper left corner, without descenders.

        An underline is honest, and lies below.
        """
        base = runs.baselines[own] if len(runs.boxes) else np.full(len(own), -np.inf)
        foot = np.where(base < self.boxes[:, 3] - 2, np.maximum(self.boxes[:, 1], base), -np.inf)
        foot = np.maximum(foot, self.boxes[:, 1])
        return np.stack((height - self.boxes[:, 3], height - foot, *self.boxes[:, ::2].T), 1)


def rectangles_of(textpage: Any, texts: Sequence[Sequence[int]]) -> Rectangles:
    """The lines of texts, each given by the numbers of its characters."""
    at = pdfium.address(textpage)
    boxes, owners, widths = [], [], []
    for owner, characters in enumerate(texts):
        first, count = characters[0], characters[-1] - characters[0] + 1
        width = 0.0
        for number in range(pdfium.count_rectangles(at, first, count)):
            pdfium.rectangle(at, number, *DOUBLES.places)
            left, top, right, bottom = DOUBLES.values[:]
            width += right - left
            owners.append(owner)
            boxes.append((left, bottom, right, top))
        widths.append(width)
    return Rectangles(
        np.array(boxes).reshape(-1, 4),
        np.array(owners, int),
        np.array([len(characters) for characters in texts]),
        np.array(widths),
    )


def _is_cut(item: pdfium.Address, box: Sequence[float]) -> bool:
    """Whether a frame around a run leaves less of it than a reader needs."""
    left, bottom, right, top = box
    high, wide = _LOST[0] * (top - bottom), _LOST[1]
    return any(
        frame[0] > left + wide
        or frame[1] > bottom + high
        or frame[2] < right - wide
        or frame[3] < top - high
        for frame in pdfium.frames(item)
    )


def runs_of(page: Any) -> Runs:
    """The runs of a page that are more than blanks."""
    at = pdfium.address(page)
    boxes, baselines, sizes, shapes = [], [], [], []
    for number in range(pdfium.count_objects(at)):
        item = pdfium.object_at(at, number)
        if pdfium.object_kind(item) != pdfium.TEXT:
            continue
        pdfium.object_bounds(item, *FLOATS.places[:4])
        box = FLOATS.values[:4]
        if box[2] <= box[0]:
            continue
        pdfium.matrix(item, MATRIX)
        a, b, c, d, _, baseline = FLOATS.values[:]
        pdfium.font_size(item, FLOATS.places[0])
        boxes.append(box)
        baselines.append(baseline)
        sizes.append(abs(FLOATS.values[0] * d))
        turned = a <= 0 or d <= 0 or abs(b) > _LEVEL * d or abs(c) > _STEEPEST * d
        shape = 1 if turned else 2 if a < _SLIMMEST * d else _READ_OVER * pdfium.is_artifact(item)
        shapes.append(shape or _CUT * _is_cut(item, box))
    return Runs(
        np.array(boxes).reshape(-1, 4), np.array(baselines), np.array(sizes), np.array(shapes, int)
    )


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
