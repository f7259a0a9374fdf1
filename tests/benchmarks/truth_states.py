"""A wing as it truly is, and what that does to it in the air.

Computed again from the definitions, not by the engine. Signs and units are the engine's: + mm is
longer than specified, + degrees is nose up, right minus left.
"""

import math
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

__all__ = [
    "BRAKE_TOLERANCE_MM",
    "FREE_TRAVEL_MM",
    "THRESHOLDS",
    "TOLERANCE_MM",
    "TURN_DEG",
    "TURN_MM",
    "Floats",
    "Layout",
    "State",
]

Floats = NDArray[np.float64]

TOLERANCE_MM = 10.0
BRAKE_TOLERANCE_MM = 25.0
# From where a pilot may notice it: the defaults of the engine, written down by themselves.
THRESHOLDS = {"pitch": 0.5, "twist": 1.0, "turn": 1.0, "brakes": 20.0}
TURN_DEG, TURN_MM = 0.4, 10.0
TURN_PER_DEG, TURN_PER_MM = 2.28, -0.0478  # deg/s to the right; size rough, sign sure
BAND_WEIGHTS = (0.49, 0.37, 0.14)  # centre, middle, tip: what a degree does to the speed
FREE_TRAVEL_MM = 70.0


@dataclass(frozen=True, eq=False)
class Layout:
    """Every line of all rows on both sides: the left half first, rows front to rear."""

    names: tuple[str, ...]
    counts: tuple[int, ...]
    row: NDArray[np.int_]
    number: NDArray[np.int_]
    right: NDArray[np.bool_]
    chord_m: Floats
    specified_mm: Floats
    main: NDArray[np.int_]  # main lines over all rows of one side, numbered from 0
    trailing_edge_m: float
    brake_mm: tuple[float, ...]

    def main_name(self, main: int) -> str:
        """The name of a main line, such as a1."""
        row = int(self.row[np.flatnonzero(self.main == main)[0]])
        first = int(self.main[self.row == row].min())
        return f"{self.names[row].lower()}{main - first + 1}"

    @cached_property
    def band(self) -> NDArray[np.int_]:
        """Thirds of the half span by the row's own count, 0 at the centre."""
        count = np.array(self.counts)[self.row]
        return np.minimum(3 * (self.number - 1) // np.maximum(count - 1, 1), 2)


@dataclass(frozen=True, eq=False)
class State:
    """A wing as it truly is: deviations of its lines, risers and brakes in mm."""

    layout: Layout
    lines_mm: Floats
    risers_mm: Floats  # by side and row
    brakes_mm: tuple[float, float]  # left, right
    turn_factors: tuple[float, float] = (1.0, 1.0)  # what this wing makes of degrees and of mm

    @cached_property
    def hung_mm(self) -> Floats:
        """Lines with their risers: what the wing hangs on."""
        return self.lines_mm + self.risers_mm[self.layout.right.astype(int), self.layout.row]

    def _angle(self, chosen: NDArray[np.bool_]) -> float:
        x, d = self.layout.chord_m[chosen], self.hung_mm[chosen]
        slope = ((x - x.mean()) * (d - d.mean())).sum() / ((x - x.mean()) ** 2).sum()
        return -math.degrees(math.atan(slope / 1000.0))

    @cached_property
    def pitch(self) -> float:
        """Degrees nose up over all lines."""
        return self._angle(np.ones_like(self.layout.right))

    @cached_property
    def pitch_by_lines(self) -> float:
        """The same of the lines alone, whatever their risers are."""
        return self._lines_alone.pitch

    @cached_property
    def _lines_alone(self) -> "State":
        return replace(self, risers_mm=np.zeros_like(self.risers_mm))

    @cached_property
    def bands(self) -> tuple[float, ...]:
        """Degrees nose up of centre, middle and tip."""
        return tuple(self._angle(self.layout.band == band) for band in range(3))

    @property
    def twist(self) -> float:
        """Tip minus centre in degrees."""
        return self.bands[2] - self.bands[0]

    @property
    def effective(self) -> float:
        """Degrees nose up as the speed sees them."""
        return sum(w * b for w, b in zip(BAND_WEIGHTS, self.bands, strict=True))

    @cached_property
    def side_angle(self) -> float:
        """Angle of the right half minus that of the left."""
        right = self.layout.right
        return self._angle(right) - self._angle(~right)

    @cached_property
    def side_mm(self) -> float:
        """Mean of the right half minus that of the left."""
        right = self.layout.right
        return float(self.hung_mm[right].mean() - self.hung_mm[~right].mean())

    @property
    def turn(self) -> float:
        """Deg/s to the right, as this wing answers to degrees and to mm."""
        by_angle, by_length = self.turn_factors
        return TURN_PER_DEG * by_angle * self.side_angle + TURN_PER_MM * by_length * self.side_mm

    @property
    def turn_usual(self) -> float:
        """The same with the factors that everybody reckons with."""
        return TURN_PER_DEG * self.side_angle + TURN_PER_MM * self.side_mm

    @property
    def trailing_edge_mm(self) -> float:
        """The line set drawn on to the trailing edge."""
        x, d = self.layout.chord_m, self.hung_mm
        slope = ((x - x.mean()) * (d - d.mean())).sum() / ((x - x.mean()) ** 2).sum()
        return float(d.mean() + slope * (self.layout.trailing_edge_m - x.mean()))

    def travel(self, side: int) -> float:
        """More (+) free brake travel than specified, in mm."""
        return self.brakes_mm[side] - self.trailing_edge_mm

    def travel_by_lines(self, side: int) -> float:
        """The same against the lines alone, whatever their risers are."""
        return self._lines_alone.travel(side)

    def relative(self, method: str) -> Floats:
        """Deviations of the lines less what all share, by the method for the common offset."""
        first = self.layout.row == 0
        shared = {
            "mean": self.lines_mm.mean(),
            "median": np.median(self.lines_mm),
            "none": 0.0,
            "row": self.lines_mm[first].mean(),
        }
        return self.lines_mm - shared[method]
