"""Changes from before to after that no entry explains."""

import math
from collections.abc import Iterable, Iterator, Mapping, Sequence, Set
from dataclasses import dataclass
from statistics import median

from trimscribe.analyse.adjustment_effect import (
    AdjustmentEffect,
    effects_of,
    moved_by_work,
    promised,
    replaced_keys,
    sides_of_unnamed,
    unexplained,
)
from trimscribe.analyse.doubts.swaps import BothSides
from trimscribe.analyse.ledger import Scatter, common_shift, moved_together, scatter_of
from trimscribe.analyse.load import both_at_one_load
from trimscribe.model.findings import Doubt, DoubtKind, Findings, LedgerEntry, Verdict
from trimscribe.model.job import Job
from trimscribe.model.thresholds import Thresholds, thresholds_of
from trimscribe.model.wing import BRAKE_MAIN, LineKey, Point, Side, Specification

_GROUP = 3.8  # uncertainties of a main line's change, and of a single line's
_ENTRY = 3.5  # of one that was adjusted
_CELL = 4.2
_FEWEST_BESIDE = 2  # other lines of a row and side
_SIDE_PATH = 2  # parts of the path of a whole side
# What is off in one of the measurings seems to have moved.
_OF_LENGTHS = (
    DoubtKind.LENGTH,
    DoubtKind.NEIGHBOURS_SWAPPED,
    DoubtKind.ROWS_SWAPPED,
    DoubtKind.REVERSED,
    DoubtKind.SHIFTED,
    DoubtKind.OFF_TOGETHER,
    DoubtKind.TIMES_EQUAL,
)


def moves(job: Job, findings: Findings, reported: Iterable[Doubt]) -> Iterator[Doubt]:
    """Doubts about both measurings together; none where their loads do not compare.

    A length that was doubted before, in `reported`, moved for that reason and is not repeated.
    """
    thresholds = thresholds_of(job)
    both = both_at_one_load(job, thresholds)
    if job.specification is None or findings.change is None or both is None:
        return
    before, after = both
    effects = effects_of(job)
    moved = moved_by_work(job, findings.change.lines_mm)
    doubted = set(_doubted(reported, job.specification))
    scatter = scatter_of(before, after, thresholds)
    shift = common_shift(moved, effects, job.specification, scatter, None)
    rest = unexplained(moved, effects)
    level = shift.mm if shift.mm is not None else _middle(rest)
    promised_at = frozenset[LineKey]().union(*(effect.keys | effect.itself for effect in effects))
    # More than a session shifts is the work that fell short or went far: where the shift is not
    # known, the lines without an entry are compared among themselves then.
    alone = shift.mm is None and abs(level) > thresholds.tie_shift_mm
    level_beside = _middle({k: mm for k, mm in rest.items() if k not in promised_at})
    compared = _Compared(
        job=job,
        specification=job.specification,
        work=tuple(zip(effects, findings.ledger, strict=True)),
        left_over=_about_rows(
            {
                key: mm - (level_beside if alone and key not in promised_at else level)
                for key, mm in rest.items()
                if key not in doubted
            },
            thresholds.doubt_group_mm,
        ),
        doubted=doubted,
        scatter=scatter,
        shift_u_mm=shift.u_mm,
        short=findings.work is not None and findings.work.verdict is Verdict.FAIL,
        thresholds=thresholds,
    )
    sides = BothSides(
        job.specification,
        before.lengths_mm,
        after.lengths_mm,
        compared.left_over.keys(),
        *promised(effects),
        scatter,
    )
    swapped = list(sides.swapped())
    yield from swapped
    if not swapped:
        yield from compared.unlike_their_entry()
        yield from compared.without_entry()


def _about_rows(left_over: Mapping[LineKey, float], most_mm: float) -> dict[LineKey, float]:
    """Each change less that of its row's middle line, where that is no more than chance.

    A row hangs a little otherwise each time; a row that moved by more is left as it is.
    """
    by_row: dict[str, list[float]] = {}
    for (_, point), mm in left_over.items():
        by_row.setdefault(point.group, []).append(mm)
    middles = {row: median(mm) for row, mm in by_row.items()}
    return {
        key: mm - (middle if abs(middle := middles[key[1].group]) <= most_mm else 0.0)
        for key, mm in left_over.items()
    }


def _middle(values: Mapping[LineKey, float]) -> float:
    """The median: where the shift is not known, lines are only compared with each other."""
    return median(values.values()) if values else 0.0


def _doubted(reported: Iterable[Doubt], specification: Specification) -> Iterator[LineKey]:
    """The lines that moved as they were doubted; of sides that are off, also those of no row."""
    for doubt in reported:
        if doubt.kind not in _OF_LENGTHS:
            continue
        yield from doubt.lines
        if len(doubt.at) <= _SIDE_PATH:
            sides = {side for side, _ in doubt.lines}
            yield from (x for group in specification.groups for x in group.lines if x[0] in sides)


@dataclass(frozen=True)
class _Compared:
    """Both measurings and the work in between.

    `left_over` is what the work leaves unexplained at each point, in mm, less what all share, which
    is uncertain by `shift_u_mm`; `doubted` the lines that are doubtful anyway. The work may be
    `short` of its plan as a whole.
    """

    job: Job
    specification: Specification
    work: tuple[tuple[AdjustmentEffect, LedgerEntry], ...]
    left_over: Mapping[LineKey, float]
    doubted: Set[LineKey]
    scatter: Scatter
    shift_u_mm: float
    short: bool
    thresholds: Thresholds

    def unlike_their_entry(self) -> Iterator[Doubt]:
        """Adjusted lines that did not move as their entry says.

        They must stand out from the rest of their row as well, which may have hung otherwise; of
        work that is short as a whole it is enough to report the worst.
        """
        failed = [
            (item, entry)
            for item, entry in self.work
            if entry.verdict is Verdict.FAIL and item.keys.isdisjoint(self.doubted)
        ]
        found = [one for one in failed if self._stands_out(one[0])]
        if not found and self.short and failed:
            found = [max(failed, key=lambda one: _gap(one[1]))]
        for item, entry in found:
            yield Doubt(
                DoubtKind.MOVED_UNLIKE,
                f"adjustments.{entry.line}.{entry.side.value}",
                ("adjustments", item.adjustment.entry, "line"),
                tuple(sorted(item.keys or item.itself)),
                found=entry.measured_mm,
                expected=entry.expected_mm,
                count=entry.points,
                other=entry.line if self._moved_itself(item) else "",
            )

    def _stands_out(self, item: AdjustmentEffect) -> bool:
        keys = [key for key in sorted(item.keys or item.itself) if key in self.left_over]
        return not keys or self._moved_alone(keys, _ENTRY) is not None

    def _moved_itself(self, item: AdjustmentEffect) -> bool:
        """Whether a line that was measured alone, below the lines it moves, moved as planned."""
        own = [self.left_over[key] for key in item.itself if key in self.left_over]
        if not own or item.expected_mm is None or item.itself == item.keys:
            return False
        moved, u = moved_together(own, self.scatter)
        return abs(moved - item.expected_mm) <= max(self.thresholds.doubt_group_mm, _GROUP * u)

    def _moved_alone(self, keys: list[LineKey], bar: float = _GROUP) -> float | None:
        """How far these lines moved together in mm; None up to `bar` uncertainties.

        The side of a row hangs a little otherwise each time, and takes all its lines along.
        """
        moved, u = moved_together([self.left_over[key] for key in keys], self.scatter)
        least = self.thresholds.doubt_group_mm
        hung = 2.0 * self.scatter.occasion_mm**2
        if abs(moved) <= max(least, bar * math.sqrt(max(u**2 - hung, 0.0))):
            return None  # as nearly always: what hangs beside them need not be looked at
        side, group = keys[0][0], keys[0][1].group
        beside = [
            mm
            for key, mm in self.left_over.items()
            if key[0] is side and key[1].group == group and key not in keys
        ]
        if len(beside) < _FEWEST_BESIDE:
            return moved if abs(moved) > max(least, bar * math.hypot(u, self.shift_u_mm)) else None
        noise = self.scatter.group_mm(len(beside), of_median=True) ** 2 - hung
        share = hung / (hung + noise)
        moved -= share * max(-least, min(least, median(beside)))
        u = math.sqrt(u**2 - share * hung)
        return moved if abs(moved) > max(least, bar * u) else None

    def without_entry(self) -> Iterator[Doubt]:
        """Main lines, then single lines, that moved though no entry says so."""
        reported: set[LineKey] = set()
        for item, _ in self.work:
            # With an entry of their own; the main brake line, whose work shows at its fan.
            reported |= item.keys | item.itself
        unnamed = sides_of_unnamed(self.job)
        replaced = replaced_keys(self.job) | {k for k in self.left_over if k[0] in unnamed}
        limit = max(self.thresholds.doubt_moved_mm, _CELL * self.scatter.line_mm)
        for line in self.specification.cascade:
            for side in Side if line.parent is None else ():
                keys = [(side, point) for point in line.points]
                if not reported.isdisjoint(keys) or not replaced.isdisjoint(keys):
                    continue
                if doubt := self._main_line(line.name, keys):
                    reported.update(keys)
                    # The main brake line's own length, measured alone, mostly says the same.
                    main = (side, Point(BRAKE_MAIN, 1))
                    unlike = self.left_over.get(main, 0.0) - (doubt.found or 0.0)
                    if line.name == BRAKE_MAIN and abs(unlike) <= limit:
                        reported.add(main)
                    yield doubt
        for key in self.left_over:
            moved = self._moved_alone([key], _CELL)
            if moved is None or abs(moved) <= self.thresholds.doubt_moved_mm:
                continue
            if key not in reported and key not in replaced:
                yield _moved(str(key[1]), [key], moved)

    def _main_line(self, name: str, keys: list[LineKey]) -> Doubt | None:
        known = [key for key in keys if key in self.left_over]
        if len(known) < 2:
            return None
        moved = self._moved_alone(known)
        return None if moved is None else _moved(name, known, moved)


def _gap(entry: LedgerEntry) -> float:
    """How far a line is off its plan, in mm."""
    return abs((entry.measured_mm or 0.0) - (entry.expected_mm or 0.0))


def _moved(line: str, keys: Sequence[LineKey], mm: float) -> Doubt:
    side, point = keys[0]
    return Doubt(
        DoubtKind.MOVED,
        f"after.{side.value}.{line}",
        ("after", side.value, point.group, point.number),
        tuple(keys),
        found=mm,
        expected=0.0,
        count=len(keys),
        other=line,
    )
