"""Places of small text on a sheet, so that no number covers another."""

from collections.abc import Iterable
from typing import NamedTuple

__all__ = ["Box"]

_APART = 1.0  # points


class Box(NamedTuple):
    """A place on the sheet by its middle and half its sides, in points."""

    x: float
    y: float
    half_width: float
    half_height: float

    def meets(self, other: "Box") -> bool:
        """Whether two boxes come closer than a point."""
        return (
            abs(self.x - other.x) < self.half_width + other.half_width + _APART
            and abs(self.y - other.y) < self.half_height + other.half_height + _APART
        )

    def meets_any(self, points: Iterable[tuple[float, float]]) -> bool:
        """Whether one of many points comes closer than a point."""
        x, y = self.half_width + _APART, self.half_height + _APART
        return any(abs(px - self.x) < x and abs(py - self.y) < y for px, py in points)
