"""Places of small text on a sheet, so that no number covers another."""

from collections.abc import Sequence
from typing import NamedTuple

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

    def struck_by(self, corners: Sequence[tuple[float, float]]) -> bool:
        """Whether a closed line through the corners comes closer than a point."""
        x, y = self.half_width + _APART, self.half_height + _APART
        around = [(px - self.x, py - self.y) for px, py in corners]
        return any(
            _crosses(start, end, x, y)
            for start, end in zip(around, [*around[1:], *around[:1]], strict=True)
        )


def _crosses(
    start: tuple[float, float], end: tuple[float, float], half_width: float, half_height: float
) -> bool:
    """Whether a straight piece enters a box around the origin (clipping by Liang and Barsky)."""
    first, last = 0.0, 1.0
    for at, to, half in zip(start, end, (half_width, half_height), strict=True):
        way = to - at
        if way == 0.0:
            if abs(at) >= half:
                return False
            continue
        near, far = sorted(((-half - at) / way, (half - at) / way))
        first, last = max(first, near), min(last, far)
    return first < last
