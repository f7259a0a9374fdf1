"""The offset that all lines share: it has no trim effect and is taken out before judging."""

import math
from dataclasses import replace

import numpy as np

from trimscribe.analyse.fit import weighted_u
from trimscribe.analyse.line_table import Bools, LineTable
from trimscribe.analyse.uncertainty import Spread
from trimscribe.model.findings import CommonOffset
from trimscribe.model.job import OffsetMethod

__all__ = ["common_offset"]


# The median of many normal values scatters by so much more than their mean.
_MEDIAN = math.sqrt(math.pi / 2.0)


def common_offset(
    table: LineTable, method: OffsetMethod, row: str, spread: Spread
) -> CommonOffset | None:
    """The common offset in mm over the measured lines of all rows, both sides.

    Stabilo and brake lines are judged against it but take no part in it. `row` names the row
    whose mean is taken by `OffsetMethod.ROW`. None when there is nothing to take it from.
    """
    measured = table.measured
    if not measured.any():
        return None
    deviations = table.deviation_mm[measured]
    mean, median = float(deviations.mean()), float(np.median(deviations))
    match method:
        case OffsetMethod.MEAN:
            value = mean
        case OffsetMethod.MEDIAN:
            value = median
        case OffsetMethod.NONE:
            value = 0.0
        case OffsetMethod.ROW:
            if row not in table.row_names or not (chosen := measured & table.in_row(row)).any():
                return None
            value = float(table.deviation_mm[chosen].mean())
            measured = chosen
    u = 0.0 if method is OffsetMethod.NONE else _u(table, measured, method, spread)
    return CommonOffset(value, method, row, mean, median, u)


def _u(table: LineTable, used: Bools, method: OffsetMethod, spread: Spread) -> float:
    """Standard uncertainty in mm of the mean or median over the used lines."""
    if method is OffsetMethod.MEDIAN:
        spread = replace(spread, line_mm=_MEDIAN * spread.line_mm)
    return weighted_u(used / used.sum(), table, spread)
