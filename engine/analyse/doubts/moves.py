"""Changes from before to after that no entry explains, and sides mixed up in between."""

import math
import re
from collections.abc import Iterable, Iterator, Mapping, Set
from dataclasses import dataclass
from statistics import pvariance
from typing import NamedTuple

from trimscribe.analyse.ledger import (
    Key,
    Work,
    common_shift,
    difference_u_mm,
    moved_together,
    unexplained,
)
from trimscribe.analyse.load import at_specified_load, comparable
from trimscribe.analyse.state import thresholds_of
from trimscribe.model.findings import Doubt, DoubtKind, Findings, LedgerEntry, Verdict
from trimscribe.model.job import Job
from trimscribe.model.thresholds import Thresholds
from trimscribe.model.wing import LineGroup, Point, Side, Specification

__all__ = ["moves"]

_LIKELIER = 6.0  # logarithm of how many times likelier sides must be swapped than not
_FITS = 4.0  # standard deviations of the variance that readings leave over
_FEWEST = 6  # pairs of lines that can tell
_CELL = 4.4  # uncertainties of a difference
_CELL_PATH = 4  # parts of the path of a single length


def moves(job: Job, findings: Findings, told: Iterable[Doubt]) -> Iterator[Doubt]:
    """Doubts about both measurings together; none where their loads do not compare.

    A length that was doubted before, in `told`, moved for that reason and is not told again.
    """
    if job.specification is None or job.before is None or job.after is None:
        return
    if findings.change is None:
        return
    thresholds = thresholds_of(job)
    before, after = (
        at_specified_load(job.specification, m, thresholds).measurement
        for m in (job.before, job.after)
    )
    if comparable(before.tension_n, after.tension_n, thresholds.load_ratio) is Verdict.FAIL:
        return
    work = tuple(Work.of(adjustment, job) for adjustment in job.adjustments)
    moved, doubted = findings.change.lines_mm, set(_doubted(told, job.specification))
    shift = common_shift(moved, work, job.specification)
    compared = _Compared(
        job=job,
        specification=job.specification,
        work=tuple(zip(work, findings.ledger, strict=True)),
        left_over={
            key: mm - shift
            for key, mm in unexplained(moved, work).items()
            if not _among(key, doubted)
        },
        doubted=doubted,
        after=after.lengths_mm,
        u_mm=difference_u_mm(before, after, thresholds),
        thresholds=thresholds,
    )
    swapped = list(compared.swapped_sides())
    yield from swapped
    if not swapped:
        yield from compared.unlike_their_entry()
        yield from compared.without_entry()


def _doubted(
    told: Iterable[Doubt], specification: Specification
) -> Iterator[Key | tuple[Side, str]]:
    """The single lengths, and the whole rows, that were doubted."""
    for doubt in told:
        if doubt.kind in (DoubtKind.REVERSED, DoubtKind.OFF_TOGETHER):
            yield from _named(doubt.name.split(".")[1:], specification)
        if len(doubt.at) < _CELL_PATH or doubt.at[0] == "specification":
            continue
        _, side, group, number = (str(part) for part in doubt.at)
        if doubt.kind in (DoubtKind.LENGTH, DoubtKind.NEIGHBOURS_SWAPPED):
            yield Side(side), Point(group, int(number))
        if doubt.kind is DoubtKind.NEIGHBOURS_SWAPPED:
            yield Side(side), Point(group, int(number) + 1)
        if doubt.kind in (DoubtKind.ROWS_SWAPPED, DoubtKind.TIMES_EQUAL):
            yield Side(side), group
        if doubt.kind is DoubtKind.ROWS_SWAPPED:
            yield Side(side), doubt.other


def _named(parts: list[str], specification: Specification) -> Iterator[tuple[Side, str]]:
    """The lists of a side, of a row, of both; all where none is named."""
    groups = [group.name for group in specification.groups]
    for side in [side for side in Side if side.value in parts] or Side:
        for group in [name for name in groups if name in parts] or groups:
            yield side, group


class _Pair(NamedTuple):
    """One point on both sides: left minus right now, and what the work leaves over on each."""

    now: float
    left: float
    right: float


def _agreement(pairs: Iterable[_Pair]) -> float:
    """Left minus right now, times what it was before and the work make of it, summed up.

    Around 0 for a wing with two equal sides, far below when one measuring's sides were swapped.
    """
    return math.fsum(pair.now * (pair.now - (pair.left - pair.right)) for pair in pairs)


def _among(key: Key, doubted: Set[Key | tuple[Side, str]]) -> bool:
    return key in doubted or (key[0], key[1].group) in doubted


@dataclass(frozen=True)
class _Compared:
    """Both measurings and the work in between.

    `left_over` is what the work leaves unexplained at each point, in mm, less what all share;
    `u_mm` the uncertainty of one reading; `doubted` the lengths and rows that are doubtful anyway.
    """

    job: Job
    specification: Specification
    work: tuple[tuple[Work, LedgerEntry], ...]
    left_over: Mapping[Key, float]
    after: Mapping[Key, float]
    u_mm: float
    thresholds: Thresholds
    doubted: Set[Key | tuple[Side, str]]

    def swapped_sides(self) -> Iterator[Doubt]:
        """The whole later measuring, or single rows of it, fits better with its sides swapped."""
        pairs = {row.name: dict(self._pairs(row)) for row in self.specification.rows}
        whole = {point: pair for row in pairs.values() for point, pair in row.items()}
        mirrored = [name for name, row in pairs.items() if _agreement(row.values()) < 0.0]
        if self._swapped(whole) and 2 * len(mirrored) > len(pairs):
            yield Doubt(DoubtKind.SIDES_SWAPPED, "after", ("after",), other="before")
            return
        for name, row in pairs.items():
            if self._swapped(row):
                at = ("after", Side.LEFT.value, name, 1)
                yield Doubt(DoubtKind.SIDES_SWAPPED, f"after.{name}", at, other="before")

    def _pairs(self, row: LineGroup) -> Iterator[tuple[Point, _Pair]]:
        for point in row.points:
            pair = (Side.LEFT, point), (Side.RIGHT, point)
            left, right = (self.left_over.get(key) for key in pair)
            if left is not None and right is not None:
                yield point, _Pair(self.after[pair[0]] - self.after[pair[1]], left, right)

    def _swapped(self, pairs: Mapping[Point, _Pair]) -> bool:
        """Whether the lengths are likelier by far with their sides swapped, and then fit.

        A forgotten loop also turns the difference between the sides round, but it alone explains
        more than the swap would.
        """
        if len(pairs) < _FEWEST:
            return False
        spread = 2.0 * self.u_mm**2
        gain = -_agreement(pairs.values()) / spread
        back = [mm for p in pairs.values() for mm in (p.left - p.now, p.right + p.now)]
        fits = pvariance(back) / spread <= 1.0 + _FITS * math.sqrt(2.0 / len(back))
        return fits and gain > max(_LIKELIER, self._gain_of_one(pairs) / (2.0 * spread))

    def _gain_of_one(self, pairs: Mapping[Point, _Pair]) -> float:
        """The most that one main line, moved on one side, explains of the squares left over."""
        lines = [line.points for line in self.specification.cascade if line.parent is None]
        known = [[pairs[p] for p in points if p in pairs] for points in lines]
        return max(
            (
                math.fsum(values) ** 2 / len(values)
                for line in known
                if line
                for values in ([p.left for p in line], [p.right for p in line])
            ),
            default=0.0,
        )

    def unlike_their_entry(self) -> Iterator[Doubt]:
        """Adjusted lines that did not move as their entry says."""
        for item, entry in self.work:
            moved_for_that = any(_among(key, self.doubted) for key in item.keys)
            if entry.verdict is Verdict.FAIL and not moved_for_that:
                yield Doubt(
                    DoubtKind.MOVED_UNLIKE,
                    f"adjustments.{entry.line}.{entry.side.value}",
                    ("adjustments", item.adjustment.entry, "line"),
                    found=entry.measured_mm,
                    expected=entry.expected_mm,
                    count=entry.points,
                    other=entry.line if self._moved_itself(item) else "",
                )

    def _moved_itself(self, item: Work) -> bool:
        """Whether a line that was measured alone, below the lines it moves, moved as planned."""
        own = [self.left_over[key] for key in item.itself if key in self.left_over]
        if not own or item.expected_mm is None or item.itself == item.keys:
            return False
        moved, limit = moved_together(own, self.u_mm, self.thresholds.doubt_group_mm)
        return abs(moved - item.expected_mm) <= limit

    def without_entry(self) -> Iterator[Doubt]:
        """Main lines, then single lines, that moved though no entry says so."""
        told: set[Key] = set()
        for item, entry in self.work:
            told |= item.itself  # the main brake line, whose work shows at its fan
            if entry.verdict is Verdict.FAIL:
                told |= item.keys
        for line in self.specification.cascade:
            for side in Side if line.parent is None else ():
                keys = [(side, point) for point in line.points]
                if told.isdisjoint(keys) and (doubt := self._main_line(line.name, keys)):
                    told.update(keys)
                    yield doubt
        limit = max(self.thresholds.doubt_moved_mm, _CELL * math.sqrt(2.0) * self.u_mm)
        for key, mm in self.left_over.items():
            if abs(mm) > limit and key not in told and not self._replaced(key):
                yield _moved(str(key[1]), key, mm, 1)

    def _main_line(self, name: str, keys: list[Key]) -> Doubt | None:
        known = [(key, mm) for key in keys if (mm := self.left_over.get(key)) is not None]
        if len(known) < 2:
            return None
        moves = [mm for _, mm in known]
        moved, limit = moved_together(moves, self.u_mm, self.thresholds.doubt_group_mm)
        if abs(moved) <= limit or any(self._replaced(key) for key in keys):
            return None
        return _moved(name, known[0][0], moved, len(known))

    def _replaced(self, key: Key) -> bool:
        """A new line may have any length; its part names it, such as "line B9"."""
        side, point = key
        return any(
            part.side in (None, side) and str(point) in re.findall(r"[^\s,;()]+", part.part)
            for part in self.job.replacements
        )


def _moved(line: str, key: Key, mm: float, count: int) -> Doubt:
    side, point = key
    at = ("after", side.value, point.group, point.number)
    name = f"after.{side.value}.{line}"
    return Doubt(DoubtKind.MOVED, name, at, found=mm, expected=0.0, count=count, other=line)
