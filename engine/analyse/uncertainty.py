"""Standard uncertainties (k = 1): the budget of one length, and how errors combine.

An error that several lines share is one error: its effects are added before they are squared
(JCGM 100:2008, 5.2, equation 13). So what all lines have in common, such as a tape that reads
short, cancels wherever lengths are compared with each other.
"""

import math
from collections.abc import Iterable
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from trimscribe.model.budget import ErrorSource, LoadCorrection, Scope
from trimscribe.model.job import Measurement
from trimscribe.model.thresholds import Thresholds
from trimscribe.model.wing import Specification

__all__ = ["Shared", "Spread", "budget_of", "combined_u", "reading_u_mm", "spread_of"]

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]


@dataclass(frozen=True, eq=False)
class Shared:
    """Errors of standard uncertainty `u`, one for each group: quantities of a group share it."""

    u: float
    group: Ints


@dataclass(frozen=True)
class Spread:
    """Uncertainty of one deviation by how far its errors reach.

    `line_mm` differs from line to line and shrinks in a mean, `row_mm` is shared by a row,
    `scale_mm_per_m` by all lines in proportion to their length. `rounding_mm`, a part of
    `line_mm`, belongs to the specified length and is the same wherever that is.
    """

    line_mm: float
    row_mm: float
    scale_mm_per_m: float = 0.0
    rounding_mm: float = 0.0

    @property
    def between_equal_lines(self) -> "Spread":
        """For differences between lines of one specified length: its rounding cancels."""
        line = math.sqrt(max(self.line_mm**2 - self.rounding_mm**2, 0.0))
        return replace(self, line_mm=line, rounding_mm=0.0)


def combined_u(sensitivity: Floats, sources: Iterable[Shared]) -> float:
    """Standard uncertainty of sum(sensitivity × quantity) from independent sources of error.

    Within a source, the sensitivities of quantities that share an error are summed first.
    """
    parts = (s.u * np.bincount(s.group, weights=sensitivity) for s in sources)
    return math.sqrt(math.fsum(float(part @ part) for part in parts))


def budget_of(
    measurement: Measurement,
    specification: Specification,
    thresholds: Thresholds,
    correction: LoadCorrection | None = None,
) -> tuple[ErrorSource, ...]:
    """What makes one length uncertain, entry by entry; the job's own figures come first."""
    reading, rounding = measurement.uncertainty_mm, specification.rounding_mm
    step = thresholds.rounding_mm if rounding is None else rounding
    entries = [
        ErrorSource(
            "instrument", reading_u_mm(measurement, thresholds), "mm", Scope.LINE,
            stated=reading is not None,
        ),
        ErrorSource("tension", thresholds.u_tension_mm, "mm", Scope.LINE),
        ErrorSource("hook_up", thresholds.u_hook_up_mm, "mm", Scope.LINE),
        ErrorSource(
            "rounding", step / math.sqrt(12.0), "mm", Scope.LINE, stated=rounding is not None
        ),
        ErrorSource("row", thresholds.u_row_mm, "mm", Scope.ROW),
        ErrorSource("scale", thresholds.u_scale_mm_per_m, "mm/m", Scope.ALL),
    ]  # fmt: skip
    if correction is not None:
        entries.append(ErrorSource("correction", correction.u_mm, "mm", Scope.ROW))
    return tuple(entries)


def spread_of(budget: Iterable[ErrorSource]) -> Spread:
    """The budget of one length, summed up by how far its errors reach."""
    entries = tuple(budget)

    def over(scope: Scope) -> float:
        return math.hypot(*(entry.u for entry in entries if entry.scope is scope))

    rounding = next(entry.u for entry in entries if entry.name == "rounding")
    return Spread(over(Scope.LINE), over(Scope.ROW), over(Scope.ALL), rounding)


def reading_u_mm(measurement: Measurement, thresholds: Thresholds) -> float:
    """Uncertainty of one reading by itself, for comparing the same line measured twice."""
    stated = measurement.uncertainty_mm
    return thresholds.u_instrument_mm if stated is None else stated
