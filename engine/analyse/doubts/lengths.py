"""Single lengths far from what their neighbours let expect, and what may have been meant."""

from collections.abc import Iterable, Iterator

import numpy as np

from trimscribe.analyse.line_table import Floats, LineTable
from trimscribe.model.findings import Doubt, DoubtKind
from trimscribe.model.thresholds import Thresholds

_FEW = 4  # points; a smaller group has no neighbours that could tell
_ROBUST = 5.0 * 1.4826  # five standard deviations, from the median of absolute errors
_CHANCE = 4.5  # standard deviations of one reading
_APART = 0.5  # of the limit, from the nearest neighbour
_MOST = 20  # doubts of one measuring; with more the sheet as a whole is in doubt
# A repair must come this close to what the neighbours let expect; a large step may be further off,
# as no other slip comes near.
_NEAR_MM = 8.0
_NEAR_STEP_MM = 16.0


def median(stack: Floats) -> Floats:
    """The median over the first axis of what is known; NaN where nothing is."""
    flat = stack.reshape(len(stack), -1)
    known = np.count_nonzero(flat == flat, axis=0)  # NaN is unlike itself
    ordered = np.sort(flat, axis=0)  # NaN goes last
    place = np.arange(flat.shape[1])
    low, high = ordered[np.maximum(known - 1, 0) // 2, place], ordered[known // 2, place]
    return np.asarray(((low + high) / 2.0).reshape(stack.shape[1:]))


def expected_deviation(sheet: LineTable) -> Floats:
    """What each deviation should be: the median of its neighbours."""
    return median(_neighbours(sheet))


def _neighbours(sheet: LineTable) -> Floats:
    """The deviations near each: two to either side, and three opposite.

    Those opposite are shifted by how far the two sides of the group lie apart.
    """
    deviation = sheet.deviation
    level = median(np.moveaxis(deviation, 2, 0))[:, :, None]
    opposite = (deviation - level)[::-1] + level
    return np.concatenate([beside(deviation), beside(opposite, (-1, 0, 1))])


def beside(values: Floats, steps: Iterable[int] = (-2, -1, 1, 2)) -> Floats:
    """For each step the values that many points, two at most, towards the tip (+) or centre (-)."""
    width = values.shape[-1]
    padded = np.full((*values.shape[:-1], width + 4), np.nan)
    padded[..., 2:-2] = values
    return np.stack([padded[..., 2 + by : 2 + by + width] for by in steps])


def far_lengths(
    sheet: LineTable, thresholds: Thresholds, repeat_mm: float, around: LineTable
) -> Iterator[Doubt]:
    """The worst length first, then the worst of what is left without it, and so on.

    It must be far from what is expected and from every neighbour: one that agrees with it hangs on
    the same main line, which may well differ from the next. `around` has the neighbours: the sheet
    itself, or that with what was not measured again; `repeat_mm` is how one reading scatters.
    """
    few = (~np.isnan(sheet.specified)).sum(axis=1)[None, :, None] < _FEW
    usual = max(thresholds.doubt_length_mm, _CHANCE * repeat_mm)
    for _ in range(_MOST):
        deviation, neighbours = sheet.deviation, _neighbours(around)
        expected = median(neighbours)
        error = np.abs(deviation - expected)
        known = error[~np.isnan(error)]
        if known.size == 0:
            return
        alone = few | around.alone(~np.isnan(around.length))
        least = np.where(alone, max(usual, thresholds.doubt_few_mm), usual)
        limit = np.maximum(least, _ROBUST * float(np.median(known)))
        apart = np.where(np.isnan(neighbours), np.inf, np.abs(deviation - neighbours)).min(axis=0)
        beyond = np.where(apart > _APART * limit, error / limit, 0.0)
        worst = np.unravel_index(int(np.argmax(np.nan_to_num(beyond))), beyond.shape)
        if not beyond[worst] > 1.0:
            return
        side, group, point = (int(i) for i in worst)
        found = float(sheet.length[worst])
        wanted = float(sheet.specified[group, point] + expected[worst])
        cells = sheet.marked(side, group, point)
        yield Doubt(
            DoubtKind.LENGTH,
            sheet.name(side, group, point),
            sheet.at(side, group, point),
            sheet.keys(cells),
            found=found,
            expected=wanted,
            suggested=suggestion(found, wanted),
        )
        sheet, around = sheet.without(cells), around.without(cells)


def suggestion(found_mm: float, expected_mm: float) -> float | None:
    """The length that was perhaps meant, by the likeliest slip that comes near what is expected.

    Two neighbouring digits swapped or a step of 10, 100 or 1000 mm, then one wrong digit.
    """
    whole = int(found_mm)
    rest = found_mm - whole
    digits = str(whole)
    swapped = [
        int(digits[:i] + digits[i + 1] + digits[i] + digits[i + 2 :])
        for i in range(len(digits) - 1)
    ]
    far = [whole + sign * step for step in (100, 1000) for sign in (1, -1)]
    stepped = [*far, whole + 10, whole - 10]
    wrong = [
        int(digits[:i] + other + digits[i + 1 :])
        for i in range(len(digits))
        for other in "0123456789"
    ]
    for slips, reach in ((swapped + stepped, _NEAR_MM), (far, _NEAR_STEP_MM), (wrong, _NEAR_MM)):
        near = [x + rest for x in slips if x != whole and abs(x + rest - expected_mm) <= reach]
        if near:
            return min(near, key=lambda x: abs(x - expected_mm))
    return None
