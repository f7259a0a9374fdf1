"""Places of small text on a sheet, so that no number covers another."""

from dataclasses import dataclass

__all__ = ["Box"]


@dataclass(frozen=True)
class Box:
    """A place on the sheet by its middle and half its sides, in points."""

    x: float
    y: float
    half_width: float
    half_height: float

    def meets(self, other: "Box") -> bool:
        """Whether two boxes come closer than a point."""
        return (
            abs(self.x - other.x) < self.half_width + other.half_width + 1
            and abs(self.y - other.y) < self.half_height + other.half_height + 1
        )
