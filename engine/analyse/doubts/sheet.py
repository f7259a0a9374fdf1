"""A measuring as it was written down: one column per side and group, from the centre to the tip."""

from dataclasses import dataclass, replace

import numpy as np

from trimscribe.analyse.line_table import Bools
from trimscribe.analyse.uncertainty import Floats
from trimscribe.model.job import Measurement
from trimscribe.model.wing import GroupKind, Side, Specification

__all__ = ["SIDES", "LengthSheet", "median", "sheet_of"]

SIDES = tuple(Side)


@dataclass(frozen=True, eq=False)
class LengthSheet:
    """Lengths in mm by side, group and point; NaN where there is none.

    `specified` has no side, `is_row` says which groups are rows. `when` is before or after.
    """

    when: str
    groups: tuple[str, ...]
    is_row: Bools
    specified: Floats
    length: Floats

    @property
    def deviation(self) -> Floats:
        """Measured minus specified, in mm."""
        return np.asarray(self.length - self.specified)

    def without(self, cells: Bools) -> "LengthSheet":
        """The sheet without some of its lengths."""
        return replace(self, length=np.where(cells, np.nan, self.length))

    def name(self, side: int, group: int, point: int) -> str:
        """How people call one length: before.left.A3."""
        return f"{self.row_name(side, group)}{point + 1}"

    def row_name(self, side: int, group: int) -> str:
        """How people call one column: before.left.A."""
        return f"{self.when}.{SIDES[side].value}.{self.groups[group]}"

    def side(self, side: int) -> tuple[str, tuple[str | int, ...]]:
        """How people call one side, before.left, and its path among the places of the reading."""
        return f"{self.when}.{SIDES[side].value}", (self.when, SIDES[side].value)

    def at(self, side: int, group: int, point: int = 0) -> tuple[str | int, ...]:
        """The path of one length among the places of the reading."""
        return (self.when, SIDES[side].value, self.groups[group], point + 1)

    def first(self, side: int, group: int) -> tuple[str | int, ...]:
        """The path of the first length that a column has."""
        measured = np.flatnonzero(~np.isnan(self.length[side, group]))
        return self.at(side, group, int(measured[0]) if measured.size else 0)


def sheet_of(specification: Specification, measurement: Measurement, when: str) -> LengthSheet:
    """The lengths of one measuring, as they were read."""
    groups = specification.groups
    widest = max(len(group.lengths_mm) for group in groups)
    specified = np.full((len(groups), widest), np.nan)
    length = np.full((len(SIDES), len(groups), widest), np.nan)
    for g, group in enumerate(groups):
        specified[g, : len(group.lengths_mm)] = group.lengths_mm
        for s, side in enumerate(SIDES):
            values = [measurement.lengths_mm.get((side, point), np.nan) for point in group.points]
            length[s, g, : len(values)] = values
    is_row = np.array([group.kind is GroupKind.ROW for group in groups])
    return LengthSheet(when, tuple(group.name for group in groups), is_row, specified, length)


def median(stack: Floats) -> Floats:
    """The median over the first axis of what is known; NaN where nothing is."""
    known = (~np.isnan(stack)).sum(axis=0)
    ordered = np.sort(stack, axis=0)  # NaN goes last
    low = np.take_along_axis(ordered, np.maximum(known - 1, 0)[None] // 2, axis=0)[0]
    high = np.take_along_axis(ordered, (known // 2 * (known > 0))[None], axis=0)[0]
    return np.asarray((low + high) / 2.0)
