"""A measuring as it was written down: one column per side and group, from the centre to the tip."""

import itertools
from dataclasses import dataclass, replace

import numpy as np

from trimscribe.analyse.line_table import Bools
from trimscribe.analyse.uncertainty import Floats, Ints
from trimscribe.model.job import Measurement
from trimscribe.model.wing import GroupKind, Point, Side, Specification

__all__ = ["SIDES", "LengthSheet", "median", "sheet_of"]

SIDES = tuple(Side)


@dataclass(frozen=True, eq=False)
class LengthSheet:
    """Lengths in mm by side, group and point; NaN where there is none.

    `specified` has no side, `is_row` says which groups are rows. `when` is before or after.
    `main` numbers the main line of each point, alike on both sides; None where nobody knows them.
    """

    when: str
    groups: tuple[str, ...]
    is_row: Bools
    specified: Floats
    length: Floats
    main: Ints | None = None

    @property
    def deviation(self) -> Floats:
        """Measured minus specified, in mm."""
        return np.asarray(self.length - self.specified)

    def without(self, cells: Bools) -> "LengthSheet":
        """The sheet without some of its lengths."""
        return replace(self, length=np.where(cells, np.nan, self.length))

    def completed(self, lengths: Floats, least: Bools) -> "LengthSheet":
        """The sheet with `lengths` in the places of `least` where it has none."""
        return replace(self, length=np.where(least & np.isnan(self.length), lengths, self.length))

    def alone(self, known: Bools) -> Bools:
        """Which points have no other of their main line among the `known`.

        Nothing near them tells a slip from a main line that differs. By group and point, as
        `known`, or with a side before these.
        """
        if self.main is None:
            return np.zeros_like(known)
        if known.ndim > self.main.ndim:
            return np.stack([self.alone(side) for side in known])
        counts = np.bincount(self.main[known], minlength=int(self.main.max(initial=0)) + 1)
        return np.asarray(counts[self.main] - known < 1)

    def place(self, side: Side, point: Point) -> tuple[int, int, int]:
        """Where a point's length is: side, group and point, all from 0."""
        return SIDES.index(side), self.groups.index(point.group), point.number - 1

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
    names = tuple(group.name for group in groups)
    return LengthSheet(when, names, is_row, specified, length, _main_lines(specification, widest))


def _main_lines(specification: Specification, widest: int) -> Ints | None:
    """A number for each main line; a point of a row that none carries is one by itself.

    Other groups are one line each: a brake's fan hangs together.
    """
    if not specification.cascade:
        return None
    carried = {
        point: n
        for n, line in enumerate(line for line in specification.cascade if line.parent is None)
        for point in line.points
    }
    free = itertools.count(len(specification.cascade))
    found = np.zeros((len(specification.groups), widest), dtype=np.int64)
    for g, group in enumerate(specification.groups):
        found[g] = next(free)
        if group.kind is GroupKind.ROW:
            found[g, : len(group.points)] = [
                carried[p] if p in carried else next(free) for p in group.points
            ]
    return found


def median(stack: Floats) -> Floats:
    """The median over the first axis of what is known; NaN where nothing is."""
    known = (~np.isnan(stack)).sum(axis=0)
    ordered = np.sort(stack, axis=0)  # NaN goes last
    low = np.take_along_axis(ordered, np.maximum(known - 1, 0)[None] // 2, axis=0)[0]
    high = np.take_along_axis(ordered, (known // 2 * (known > 0))[None], axis=0)[0]
    return np.asarray((low + high) / 2.0)
