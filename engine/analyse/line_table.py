"""A measuring as arrays: by side, group and point, and its row points as columns."""

import itertools
import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Any

import numpy as np
from numpy.typing import NDArray

from trimscribe.analyse.products import Floats, Ints
from trimscribe.model.findings import WhyNot
from trimscribe.model.wing import Band, GroupKind, LineKey, Point, Side, Specification

__all__ = ["SIDES", "Bools", "Floats", "Ints", "LineTable", "band_of", "line_table"]

Bools = NDArray[np.bool_]

SIDES = tuple(Side)
_BANDS = tuple(Band)


@dataclass(frozen=True, eq=False)
class LineTable:
    """Lengths in mm by side, group and point; NaN where there is none. `when` is before or after.

    `specified` has no side, `is_row` says which groups are rows. `main_lines` numbers the main line
    of each point, alike on both sides; None where nobody knows them.

    Columns hold one value for each row point: the left side first, rows front to rear, centre to
    tip; the right half repeats the left half's layout. `line_keys` names each, `cells` are their
    places. `row` counts into `row_names`, `band` into `Band`, `main` counts the main lines of each
    row (a point that no main line of the cascade carries is one of its own). `along` is the share
    of the half span of each point within its row: (number - 1/2) / count; `chord_m` (metres) is NaN
    where unknown.
    `instead_mm` stands in for their deviations, as with risers or for a change between two tables.
    `blocked` says why no angle may be taken from the whole table, such as a wrong load.
    """

    when: str
    groups: tuple[str, ...]
    is_row: Bools
    specified: Floats
    length: Floats
    main_lines: Ints | None
    row_names: tuple[str, ...]
    line_keys: tuple[LineKey, ...]
    cells: tuple[Ints, ...]
    main: Ints
    band: Ints
    along: Floats
    chord_m: Floats
    instead_mm: Floats | None = None
    blocked: WhyNot = WhyNot.ASSESSED

    @cached_property
    def deviation(self) -> Floats:
        """Measured minus specified, in mm."""
        return np.asarray(self.length - self.specified)

    @cached_property
    def deviation_mm(self) -> Floats:
        """The same of each row point, or what stands in for it."""
        return self.deviation[self.cells] if self.instead_mm is None else self.instead_mm

    @cached_property
    def length_m(self) -> Floats:
        """Specified lengths of row points in metres."""
        return np.asarray(self.specified[self.cells[1:]] / 1000.0)

    @cached_property
    def measured(self) -> Bools:
        """Which row points have a known length."""
        return np.asarray(~np.isnan(self.deviation_mm))

    @cached_property
    def right(self) -> Bools:
        """Which columns are of the right side."""
        return np.asarray(self.cells[0] == 1)

    @cached_property
    def row(self) -> Ints:
        """The row of each column."""
        return np.asarray((np.cumsum(self.is_row) - 1)[self.cells[1]])

    @cached_property
    def row_and_side(self) -> Ints:
        """Counts the rows of the left side, then those of the right."""
        return np.asarray(self.row + len(self.row_names) * self.right)

    @cached_property
    def main_and_side(self) -> Ints:
        """Counts the main lines of the left side, then those of the right."""
        return np.asarray(self.main + (int(self.main.max(initial=-1)) + 1) * self.right)

    def on(self, side: Side | None = None, band: Band | None = None) -> Bools:
        """Columns of one side and band; None means all of them."""
        chosen = np.ones(len(self.main), dtype=np.bool_)
        if side is not None:
            chosen &= self.right == (side is Side.RIGHT)
        if band is not None:
            chosen &= self.band == _BANDS.index(band)
        return chosen

    def in_row(self, name: str) -> Bools:
        """Columns of one row."""
        return np.asarray(self.row == self.row_names.index(name))

    def with_lengths(
        self, lengths_mm: Mapping[LineKey, float], blocked: WhyNot = WhyNot.ASSESSED, when: str = ""
    ) -> "LineTable":
        """The same lines as measured another time."""
        length = np.full_like(self.length, math.nan)
        sides, groups = _numbers(SIDES), _numbers(self.groups)
        for (side, point), mm in lengths_mm.items():
            length[sides[side], groups[point.group], point.number - 1] = mm
        return replace(self, length=length, instead_mm=None, blocked=blocked, when=when)

    def without(self, cells: Bools) -> "LineTable":
        """The table without some of its lengths."""
        return replace(self, length=np.where(cells, np.nan, self.length))

    def completed(self, lengths: Floats, least: Bools) -> "LineTable":
        """The table with `lengths` in the places of `least` where it has none."""
        return replace(self, length=np.where(least & np.isnan(self.length), lengths, self.length))

    def alone(self, known: Bools) -> Bools:
        """Which points have no other of their main line among the `known`.

        Nothing near them tells a slip from a main line that differs. By group and point, as
        `known`, or with a side before these.
        """
        main = self.main_lines
        if main is None:
            return np.zeros_like(known)
        if known.ndim > main.ndim:
            return np.stack([self.alone(side) for side in known])
        counts = np.bincount(main[known], minlength=int(main.max(initial=0)) + 1)
        return np.asarray(counts[main] - known < 1)

    def place(self, side: Side, point: Point) -> tuple[int, int, int]:
        """Where a point's length is: side, group and point, all from 0."""
        return SIDES.index(side), self.groups.index(point.group), point.number - 1

    def marked(self, *place: Any) -> Bools:
        """Cells by side, group and point: those that an index of NumPy's picks."""
        cells = np.zeros_like(self.length, dtype=np.bool_)
        cells[place] = True
        return cells

    def keys(self, cells: Bools) -> tuple[LineKey, ...]:
        """The lines of these cells, whether they were measured or not."""
        specified = np.broadcast_to(cells & ~np.isnan(self.specified), self.length.shape)
        places = np.argwhere(specified).tolist()
        return tuple((SIDES[side], Point(self.groups[g], n + 1)) for side, g, n in places)

    def at_lines(self, keys: Iterable[LineKey]) -> Bools:
        """The cells of these lines."""
        cells = np.zeros_like(self.length, dtype=np.bool_)
        for key in keys:
            cells[self.place(*key)] = True
        return cells

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
        """The path of the first length that a row or another group has."""
        measured = np.flatnonzero(~np.isnan(self.length[side, group]))
        return self.at(side, group, int(measured[0]) if measured.size else 0)


def band_of(number: int, count: int) -> Band:
    """The band of point `number` (from 1, centre) in a row of `count` points.

    A point's share of the half span is (number - 1) / (count - 1): 0 at the centre, 1 at the tip.
    The centre is below a third, the middle up to two thirds. Each row is shared out by its own
    count; a row of one point lies in the centre.
    """
    thirds = 3 * (number - 1)
    if count == 1 or thirds < count - 1:
        return Band.CENTRE
    return Band.MIDDLE if thirds <= 2 * (count - 1) else Band.TIP


def line_table(
    specification: Specification,
    lengths_mm: Mapping[LineKey, float],
    blocked: WhyNot = WhyNot.ASSESSED,
    when: str = "",
) -> LineTable:
    """The lengths of one measuring; points not measured hold NaN."""
    groups = specification.groups
    counts = [len(group.lengths_mm) for group in groups]
    specified = np.full((len(groups), max(counts, default=0)), np.nan)
    for index, group in enumerate(groups):
        specified[index, : counts[index]] = group.lengths_mm
    is_row = np.array([group.kind is GroupKind.ROW for group in groups], dtype=np.bool_)
    main_lines = _main_lines(specification, specified.shape[1])
    rows = specification.rows
    row, point = np.nonzero(~np.isnan(specified) & is_row[:, None])
    row_mains: dict[Any, int] = {}
    mains = zip(row.tolist(), main_lines[row, point].tolist(), strict=True)
    bands = [band_of(n + 1, len(r.lengths_mm)) for r in rows for n in range(len(r.lengths_mm))]
    chord_m = [at for r in rows for at in r.chord_m or (math.nan,) * len(r.lengths_mm)]
    layout = LineTable(
        when=when,
        groups=tuple(group.name for group in groups),
        is_row=is_row,
        specified=specified,
        length=np.full((len(SIDES), *specified.shape), np.nan),
        main_lines=main_lines if specification.cascade else None,
        row_names=tuple(r.name for r in rows),
        line_keys=tuple((side, p) for side in SIDES for r in rows for p in r.points),
        cells=(np.repeat(np.arange(len(SIDES)), len(row)), np.tile(row, 2), np.tile(point, 2)),
        main=np.tile([row_mains.setdefault(main, len(row_mains)) for main in mains], 2),
        band=np.tile([_BANDS.index(band) for band in bands], 2),
        along=np.tile((point + 0.5) / np.array(counts)[row], 2),
        chord_m=np.tile(chord_m, 2),
    )
    return layout.with_lengths(lengths_mm, blocked, when)


def _numbers(names: Iterable[str]) -> dict[str, int]:
    return {name: n for n, name in enumerate(names)}


def _main_lines(specification: Specification, widest: int) -> Ints:
    """A number for each main line; a point of a row that none carries is one by itself.

    Other groups are one line each: a brake's fan hangs together.
    """
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
