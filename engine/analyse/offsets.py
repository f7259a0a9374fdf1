"""The offset that all lines share: it has no trim effect and is taken out before judging."""

import numpy as np

from trimscribe.analyse.line_table import LineTable
from trimscribe.model.findings import CommonOffset
from trimscribe.model.job import OffsetMethod

__all__ = ["common_offset"]


def common_offset(table: LineTable, method: OffsetMethod, row: str = "") -> CommonOffset | None:
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
    return CommonOffset(value, method, row, mean, median)
