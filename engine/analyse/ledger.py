"""The analysis `ledger`: does each adjusted line show the change that its loops promise?

measured = what the line's points moved together, of (after - before - other changes on the way)
           minus what all untouched lines changed together
"""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from statistics import fmean, median

from trimscribe.analyse.load import at_specified_load, comparable
from trimscribe.analyse.state import thresholds_of
from trimscribe.analyse.uncertainty import reading_u_mm
from trimscribe.analyse.verdicts import within
from trimscribe.contracts import CONTRACT
from trimscribe.model.findings import Findings, LedgerEntry, Verdict
from trimscribe.model.job import Adjustment, Job, LoopTable, Measurement
from trimscribe.model.thresholds import Thresholds
from trimscribe.model.wing import BRAKE_MAIN, GroupKind, Point, Side, Specification

__all__ = [
    "Key",
    "Ledger",
    "Work",
    "analysis",
    "common_shift",
    "difference_u_mm",
    "expected_change_mm",
    "moved_together",
    "points_below",
    "unexplained",
]

Key = tuple[Side, Point]

# With fewer untouched lines their median is no steadier than a single reading.
_ENOUGH_UNTOUCHED = 5
# In uncertainties of one line's change: a mean further off, lines further apart, are no chance.
_BY_CHANCE = 4.0
_ALIKE = 4.0


@dataclass(frozen=True)
class Ledger:
    """Fills `ledger`: one entry per adjustment, in the order of the job."""

    contract: int = CONTRACT
    name: str = "ledger"
    needs: tuple[str, ...] = ("change",)

    def analyse(self, job: Job, findings: Findings) -> Findings:
        """Expected against measured change of every adjusted line."""
        if not job.adjustments:
            return findings
        work = tuple(Work.of(adjustment, job) for adjustment in job.adjustments)
        moved = findings.change.lines_mm if findings.change else {}
        return replace(findings, ledger=_entries(work, moved, job))


@dataclass(frozen=True)
class Work:
    """One adjustment with its promise in mm and the points that it moves.

    `itself` is the adjusted line where it was measured alone: only a main brake line is.
    """

    adjustment: Adjustment
    expected_mm: float | None
    keys: frozenset[Key]
    itself: frozenset[Key]

    @classmethod
    def of(cls, adjustment: Adjustment, job: Job) -> "Work":
        """What one adjustment promises, and where."""
        line, side, specification = adjustment.line, adjustment.side, job.specification
        group = specification.group(line) if specification else None
        main = group.points if group and group.kind is GroupKind.BRAKE_MAIN else ()
        below = points_below(line, specification) if specification else ()
        return cls(
            adjustment,
            expected_change_mm(adjustment, job.loops),
            keys=frozenset((side, point) for point in below),
            itself=frozenset((side, point) for point in main),
        )


def expected_change_mm(adjustment: Adjustment, loops: LoopTable) -> float | None:
    """What the work promises in mm, + = longer: the take-up before minus that after.

    `maillon` names the table; it may be left out when there is only one. None when the table
    lacks a loop.
    """
    if adjustment.change_mm is not None:
        return adjustment.change_mm
    tables = loops.take_up_mm
    only = next(iter(tables.values())) if len(tables) == 1 else {}
    table = tables.get(adjustment.maillon, {}) if adjustment.maillon else only
    before, after = table.get(adjustment.loop_before), table.get(adjustment.loop_after)
    return None if before is None or after is None else before - after


def points_below(line: str, specification: Specification) -> tuple[Point, ...]:
    """The attachment points that a line moves: those of the cascade, the brake fan, or itself.

    `line` is a line of the cascade, the main brake line, or a single line such as "A3".
    """
    for cascade in specification.cascade:
        if cascade.name == line:
            return cascade.points
    main = next((g for g in specification.groups if g.kind is GroupKind.BRAKE_MAIN), None)
    if line == BRAKE_MAIN or (main is not None and line == main.name):
        fan = [p for g in specification.groups if g.kind is GroupKind.BRAKE for p in g.points]
        return tuple(fan) or (main.points if main else ())
    return tuple(p for g in specification.groups for p in g.points if str(p) == line)


def moved_together(moves_mm: Sequence[float], u_mm: float, least_mm: float) -> tuple[float, float]:
    """How far the lines above one main line moved, and how far off that is by chance, in mm.

    Their mean, with 4·√2·u/√n; where they differ by more than 4·√2·u they did not move together,
    and it is their median, which one odd line does not carry along, with 1.25 times that. `u_mm` is
    the uncertainty of one reading; never less than `least_mm` may be chance. Tuned on simulated
    jobs: `tests/benchmarks/doubt_rates.py`.
    """
    u = math.sqrt(2.0) * u_mm
    limit = _BY_CHANCE * u / math.sqrt(len(moves_mm))
    if max(moves_mm) - min(moves_mm) <= _ALIKE * u:
        return fmean(moves_mm), max(least_mm, limit)
    return median(moves_mm), max(least_mm, 1.25 * limit)


def _entries(
    work: tuple[Work, ...], moved: Mapping[Key, float], job: Job
) -> tuple[LedgerEntry, ...]:
    thresholds = thresholds_of(job)
    if job.specification is None or job.before is None or job.after is None:
        return tuple(_entry(item, [], 0.0, 0.0, thresholds) for item in work)
    before, after = (
        at_specified_load(job.specification, m, thresholds).measurement
        for m in (job.before, job.after)
    )
    # Without the same load the whole wing stretches differently: nothing agrees or disagrees.
    load = comparable(before.tension_n, after.tension_n, thresholds.load_ratio)
    u = difference_u_mm(before, after, thresholds)
    shift = common_shift(moved, work, job.specification)
    entries = (_entry(item, _own(item, work, moved), shift, u, thresholds) for item in work)
    if load is Verdict.FAIL:
        entries = (replace(e, limit_mm=None, verdict=Verdict.NOT_ASSESSED) for e in entries)
    return tuple(entries)


def difference_u_mm(before: Measurement, after: Measurement, thresholds: Thresholds) -> float:
    """Uncertainty of one reading in mm, as the root mean square of both measurings."""
    first, last = (reading_u_mm(m, thresholds) for m in (before, after))
    return math.sqrt((first**2 + last**2) / 2.0)


def unexplained(moved: Mapping[Key, float], work: tuple[Work, ...]) -> dict[Key, float]:
    """Each point's change less all that the work promises there; without an unknown promise."""
    promised: dict[Key, float] = {}
    unknown: set[Key] = set()
    for item in work:
        for key in item.keys:
            if item.expected_mm is None:
                unknown.add(key)
            else:
                promised[key] = promised.get(key, 0.0) + item.expected_mm
    return {key: mm - promised.get(key, 0.0) for key, mm in moved.items() if key not in unknown}


def common_shift(
    moved: Mapping[Key, float], work: tuple[Work, ...], specification: Specification
) -> float:
    """What the whole line set seems to have changed by in mm: bench, hook-up, settling.

    The median over untouched row and stabilo lines; when nearly all were touched, over the rest
    that the work does not explain.
    """
    trim = {
        group.name
        for group in specification.groups
        if group.kind in (GroupKind.ROW, GroupKind.STABILO)
    }
    touched = frozenset[Key]().union(*(item.keys for item in work))
    lines = {key: mm for key, mm in moved.items() if key[1].group in trim}
    untouched = [mm for key, mm in lines.items() if key not in touched]
    if len(untouched) >= _ENOUGH_UNTOUCHED:
        return median(untouched)
    rest = unexplained(lines, work).values()
    return median(rest) if rest else 0.0


def _own(item: Work, work: tuple[Work, ...], moved: Mapping[Key, float]) -> list[float]:
    """The change in mm at each point below the line, less that of other lines on the way.

    A main brake line speaks for itself where no line of its fan was measured twice.
    """
    others = tuple(other for other in work if other is not item)
    keys = item.keys & moved.keys() or item.itself & moved.keys()
    return list(unexplained({key: moved[key] for key in sorted(keys)}, others).values())


def _entry(
    item: Work, own: list[float], shift: float, u: float, thresholds: Thresholds
) -> LedgerEntry:
    adjustment = item.adjustment
    measured: float | None = None
    limit: float | None = None
    if own:
        moved, limit = moved_together(own, u, thresholds.doubt_group_mm)
        measured = moved - shift
    gap = None if measured is None or item.expected_mm is None else measured - item.expected_mm
    return LedgerEntry(
        line=adjustment.line,
        side=adjustment.side,
        loop_before=adjustment.loop_before,
        loop_after=adjustment.loop_after,
        expected_mm=item.expected_mm,
        measured_mm=measured,
        points=len(own),
        limit_mm=limit,
        verdict=within(gap, limit),
        remark=adjustment.remark,
    )


analysis = Ledger()
