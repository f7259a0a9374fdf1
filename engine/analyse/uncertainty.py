"""Standard uncertainties (k = 1) of lengths."""

import math
from dataclasses import dataclass

from trimscribe.model.job import Measurement
from trimscribe.model.thresholds import Thresholds

__all__ = ["Spread", "reading_u_mm", "spread_of"]


@dataclass(frozen=True)
class Spread:
    """Uncertainty in mm of one length: `line_mm` differs from line to line, `row_mm` is shared.

    Averaging many lines shrinks the first and leaves the second, which a whole row has in common.
    """

    line_mm: float
    row_mm: float


def spread_of(measurement: Measurement, thresholds: Thresholds) -> Spread:
    """The spread of a deviation from the specification.

    A job states how well a length is measured; hooking up and the specification's own rounding
    come on top: u = sqrt(stated² + u_hook_up²). When nothing is stated, `u_line` covers all.
    """
    stated = measurement.uncertainty_mm
    line = thresholds.u_line_mm if stated is None else math.hypot(stated, thresholds.u_hook_up_mm)
    return Spread(line, thresholds.u_row_mm)


def reading_u_mm(measurement: Measurement, thresholds: Thresholds) -> float:
    """Uncertainty of one reading by itself, for comparing the same line measured twice.

    The rounding of the specification cancels there, so a stated uncertainty stands alone.
    """
    stated = measurement.uncertainty_mm
    return thresholds.u_line_mm if stated is None else stated
