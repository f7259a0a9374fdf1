"""Left and right mixed up from one measuring to the next, which fits better the other way round."""

import math
from collections.abc import Iterable, Iterator, Mapping, Set
from dataclasses import dataclass
from statistics import fmean
from typing import NamedTuple

from trimscribe.analyse.ledger import Scatter
from trimscribe.model.findings import Doubt, DoubtKind
from trimscribe.model.wing import BRAKE, LineGroup, LineKey, Side, Specification

_LIKELIER = 6.0  # logarithm of how many times likelier sides must be swapped than not
_FITS = 4.0  # standard deviations of the variance that readings leave over
_FEWEST = 3  # main lines of both sides that can tell
_ONE_ROW = 3.0  # off where one row alone is asked: that it moved explains it nearly as well
_ONE_OF_ROWS = 2.0  # more for that, as each row is asked
_OTHER = {Side.LEFT: Side.RIGHT, Side.RIGHT: Side.LEFT}


class SideDifference(NamedTuple):
    """One main line of one row, both sides: left minus right mean in mm over `lines` pairs.

    `after` as measured, `expected` as it was before with what the work promised.
    """

    after: float
    expected: float
    lines: int
    row: str

    def variance(self, scatter: Scatter) -> float:
        """Of either difference by itself, in mm²."""
        return scatter.group_mm(self.lines) ** 2


def swap_gain(groups: Iterable[SideDifference], scatter: Scatter) -> float:
    """How many times likelier the later sides are swapped than in place, as a logarithm.

    The true differences between the sides are not known: what of them lies beyond noise is their
    variance. A symmetric wing looks the same either way, and gains nothing.
    """
    known = [(g.after, g.expected, g.variance(scatter)) for g in groups]
    beyond = max(0.0, fmean((a * a + e * e) / 2.0 - v for a, e, v in known))
    return -math.fsum(a * e * 2.0 * beyond / (v * (v + 2.0 * beyond)) for a, e, v in known)


def swap_is_likelier(
    groups: list[SideDifference], scatter: Scatter, *, one_row: bool = False
) -> bool:
    """Whether sides are likelier swapped by far, fit when swapped, and nothing else says as much.

    The alternatives are one main line, or one row of one side, that moved without an entry, and
    rows that hung otherwise on one side, each by itself.
    """
    if len(groups) < _FEWEST:
        return False
    misfit = fmean((g.after + g.expected) ** 2 / (2.0 * g.variance(scatter)) for g in groups)
    if misfit > 1.0 + _FITS * math.sqrt(2.0 / len(groups)):
        return False
    moved = [_gain_of_moving([g], scatter) for g in groups]
    rows = [
        _gain_of_moving([g for g in groups if g.row == row], scatter)
        for row in dict.fromkeys(g.row for g in groups)
    ]
    hung = math.fsum(
        _gain_of_moving(
            [g for g in groups if g.row == row], scatter, most=4.0 * scatter.occasion_mm**2
        )
        for row in dict.fromkeys(g.row for g in groups)
    )
    other = max(*moved, max(rows) - (_ONE_ROW if one_row else 0.0), hung)
    likelier = _LIKELIER + (_ONE_OF_ROWS if one_row else 0.0)
    return swap_gain(groups, scatter) > max(likelier, other)


def _gain_of_moving(
    groups: Iterable[SideDifference], scatter: Scatter, most: float = math.inf
) -> float:
    """How much likelier it is that these lines of one side moved together than that none did.

    By any amount, or by one that varies by `most` mm².
    """
    known = [(g.after - g.expected, 2.0 * g.variance(scatter)) for g in groups]
    weight = math.fsum(1.0 / v for _, v in known)
    return math.fsum(d / v for d, v in known) ** 2 / (2.0 * (weight + 1.0 / most))


@dataclass(frozen=True)
class BothSides:
    """Both measurings, in mm by line, and the work in between.

    Lines that are not in `compared` are left out. `work` is what is promised in mm, `unknown` where
    that is not known.
    """

    specification: Specification
    before: Mapping[LineKey, float]
    after: Mapping[LineKey, float]
    compared: Set[LineKey]
    work: Mapping[LineKey, float]
    unknown: Set[LineKey]
    scatter: Scatter

    def swapped(self) -> Iterator[Doubt]:
        """The whole later measuring, or single rows of it, fits better with its sides swapped."""
        rows = self.specification.rows
        by_row = {row.name: list(self._differences(row)) for row in rows}
        whole = [group for groups in by_row.values() for group in groups]
        # Who mixes up the sides mixes up their brakes as well.
        for brakes in (group for group in self.specification.groups if group.name == BRAKE):
            whole += self._differences(brakes)
        mirrored = sum(bool(r) and swap_gain(r, self.scatter) > 0.0 for r in by_row.values())
        likelier = swap_is_likelier(whole, self.scatter) and 2 * mirrored > len(rows)
        if likelier or self._gaps_are_mirrored(whole):
            # Sides that differ evenly look the same when one moved by twice the difference.
            lines = tuple(key for row in rows for key in row.lines)
            yield Doubt(DoubtKind.SIDES_SWAPPED, "after", ("after",), lines, other="before")
            return
        for row in rows:
            if swap_is_likelier(by_row[row.name], self.scatter, one_row=True):
                name, at = f"after.{row.name}", ("after", Side.LEFT.value, row.name, 1)
                yield Doubt(DoubtKind.SIDES_SWAPPED, name, at, row.lines, other="before")

    def _gaps_are_mirrored(self, whole: list[SideDifference]) -> bool:
        """The later measuring lacks on the left what the first lacks on the right, and no other.

        Who measures a wing again meets the same lines, or more; only where differences between the
        sides clearly say that they are in place, these count for more.
        """
        first, last = (
            {key for row in self.specification.rows for key in row.lines if key in lengths}
            for lengths in (self.before, self.after)
        )
        exchanged = {(_OTHER[side], point) for side, point in last}
        if len(last - first) < _FEWEST or exchanged != first:
            return False
        return not whole or swap_gain(whole, self.scatter) > -_LIKELIER

    def _differences(self, row: LineGroup) -> Iterator[SideDifference]:
        """Left minus right of each main line of a row, from points known on both sides."""
        lines = [
            tuple(point for point in line.points if point.group == row.name)
            for line in self.specification.cascade
            if line.parent is None
        ]
        carried = {point for points in lines for point in points}
        for points in (*lines, *((p,) for p in row.points if p not in carried)):
            after, expected = [], []
            for point in points:
                keys = [(side, point) for side in Side]
                known = all(key in self.compared for key in keys)
                if known and self.unknown.isdisjoint(keys):
                    left, right = keys
                    after.append(self.after[left] - self.after[right])
                    was = [self.before[key] + self.work.get(key, 0.0) for key in keys]
                    expected.append(was[0] - was[1])
            if after:
                yield SideDifference(fmean(after), fmean(expected), len(after), row.name)
