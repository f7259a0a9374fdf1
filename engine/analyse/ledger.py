"""The analysis `ledger`: does each adjusted line show the change that its loops promise?

    measured = what the line's points moved together, of (after - before - other changes on the way)
               minus what the whole line set changed by in between

Two tests: each line by itself, and all adjusted lines together. A shortfall that all share shows
only in the second, and only where the shift of the session is known. Where some were let out and
others shortened, what both fall short by cancels in their mean: it is also counted by its way.
"""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from statistics import fmean, median

from trimscribe.analyse.adjustment_effect import AdjustmentEffect, effects_of, moved_by_work
from trimscribe.analyse.judging import within
from trimscribe.analyse.load import both_at_one_load, measured_alike
from trimscribe.analyse.uncertainty import repeat_of_both_mm
from trimscribe.contracts import CONTRACT
from trimscribe.model.findings import Findings, LedgerEntry, Verdict, WhyNot, WorkCheck
from trimscribe.model.job import Job, Measurement
from trimscribe.model.thresholds import Thresholds, thresholds_of
from trimscribe.model.wing import LineKey, Side, Specification

# With fewer untouched lines their median is no steadier than a single reading.
_ENOUGH_UNTOUCHED = 5
_MEDIAN = 1.25  # a median scatters by so much more than a mean
# In uncertainties: a mean further off, lines further apart, are not chance.
_BY_CHANCE = 3.5
_ALIKE = 4.0
_TOGETHER = 3.0
# A change in uncertainties from which it is not chance in any of several lines: Bonferroni, as for
# the directions of a wing.
_SHOWN = 2.6


@dataclass(frozen=True)
class Scatter:
    """How the change of an unmoved line scatters between two measurings on one bench, in mm.

    `repeat_mm` is that of one reading, `occasion_mm` what the row of one side errs by each time.
    """

    repeat_mm: float
    occasion_mm: float

    @property
    def line_mm(self) -> float:
        """Of the change of a single line."""
        return math.sqrt(2.0) * math.hypot(self.repeat_mm, self.occasion_mm)

    def group_mm(self, lines: int, *, of_median: bool = False) -> float:
        """Of the mean, or the median, of the changes of this many lines of one row and side."""
        steadier = (_MEDIAN if of_median else 1.0) * self.repeat_mm / math.sqrt(lines)
        return math.sqrt(2.0) * math.hypot(steadier, self.occasion_mm)


@dataclass(frozen=True)
class Shift:
    """What the whole line set changed by between both measurings, in mm, + = longer.

    `mm` is None where that is not known; then lines can only be compared with each other. `most_mm`
    is what it may be at most all the same; None where nobody knows.
    """

    mm: float | None
    u_mm: float
    untouched: int
    most_mm: float | None = None


@dataclass(frozen=True)
class Ledger:
    """Fills `ledger`, one entry per adjustment in the order of the job, and `work`."""

    contract: int = CONTRACT
    name: str = "ledger"
    needs: tuple[str, ...] = ("change",)

    def analyse(self, job: Job, findings: Findings) -> Findings:
        """Expected against measured change of every adjusted line, and of all together."""
        if not job.adjustments:
            return findings
        effects = effects_of(job)
        compared = _compared(job, findings, effects)
        if compared is None:
            blank = Scatter(0.0, 0.0)
            nothing = Shift(None, 0.0, 0)
            book = _Book(effects, {}, nothing, blank, thresholds_of(job), frozenset())
            return replace(findings, ledger=book.entries(None))
        work = compared.together()
        return replace(findings, ledger=compared.entries(work), work=work)


def scatter_of(before: Measurement, after: Measurement, thresholds: Thresholds) -> Scatter:
    """One reading by both measurings, the row of one side by what benches do."""
    repeat = repeat_of_both_mm(before, after, thresholds)
    return Scatter(repeat, thresholds.u_row_side_occasion_mm)


def common_shift(
    moved: Mapping[LineKey, float],
    effects: Sequence[AdjustmentEffect],
    specification: Specification,
    scatter: Scatter,
    session_u_mm: float | None,
) -> Shift:
    """The median change of untouched row and stabilo lines: bench, hook-up, settling.

    With fewer than five it is taken as 0 with `session_u_mm` where both measurings were of one
    session, and is not known where they were not (None).
    """
    trim = _trim(specification)
    touched = frozenset[LineKey]().union(*(effect.keys for effect in effects))
    untouched = [mm for key, mm in moved.items() if key[1].group in trim and key not in touched]
    if len(untouched) >= _ENOUGH_UNTOUCHED:
        steadier = _MEDIAN * math.sqrt(2.0) * scatter.repeat_mm / math.sqrt(len(untouched))
        return Shift(median(untouched), math.hypot(steadier, scatter.occasion_mm), len(untouched))
    if session_u_mm is not None:
        return Shift(0.0, session_u_mm, len(untouched))
    return Shift(None, 0.0, len(untouched))


def _trim(specification: Specification) -> frozenset[str]:
    """The groups that the wing hangs on: rows and stabilo."""
    return frozenset(group.name for group in specification.groups if not group.kind.is_brake)


def moved_together(moves_mm: Sequence[float], scatter: Scatter) -> tuple[float, float]:
    """How far the lines above one main line moved, and how that scatters, in mm.

    Their mean; where they differ by more than four standard deviations they did not move together,
    and it is their median, which one odd line does not carry along.
    """
    count = len(moves_mm)
    if _moved_alike(moves_mm, scatter):
        return fmean(moves_mm), scatter.group_mm(count)
    return median(moves_mm), scatter.group_mm(count, of_median=True)


def _moved_alike(moves_mm: Sequence[float], scatter: Scatter) -> bool:
    return max(moves_mm) - min(moves_mm) <= _ALIKE * math.sqrt(2.0) * scatter.repeat_mm


def _compared(
    job: Job, findings: Findings, effects: tuple[AdjustmentEffect, ...]
) -> "_Book | None":
    """Both measurings side by side; None where they do not compare."""
    thresholds = thresholds_of(job)
    both = both_at_one_load(job, thresholds)
    if job.specification is None or findings.change is None or both is None:
        return None
    first, last = both
    scatter = scatter_of(first, last, thresholds)
    moved = moved_by_work(job, findings.change.lines_mm)
    session = _session_u_mm(first, last, thresholds)
    shift = common_shift(moved, effects, job.specification, scatter, session)
    if measured_alike(first, last, thresholds):
        shift = replace(shift, most_mm=thresholds.tie_shift_mm)
    return _Book(effects, moved, shift, scatter, thresholds, _trim(job.specification))


def _session_u_mm(first: Measurement, last: Measurement, thresholds: Thresholds) -> float | None:
    """Of a shift taken as 0: one day, method, instrument and load; else nobody knows it."""
    one_day = first.date is not None and first.date == last.date
    if not one_day or not measured_alike(first, last, thresholds):
        return None
    return thresholds.u_session_shift_mm if last.session_mm is None else last.session_mm


@dataclass(frozen=True)
class _Book:
    """The work beside what was measured of it; `trim` names the rows and the stabilo."""

    effects: tuple[AdjustmentEffect, ...]
    moved: Mapping[LineKey, float]
    shift: Shift
    scatter: Scatter
    thresholds: Thresholds
    trim: frozenset[str]

    def entries(self, together: WorkCheck | None) -> tuple[LedgerEntry, ...]:
        """Each by itself; a shortfall that all share leaves open which of them moved as planned."""
        found = self._each()
        trim = [self._is_trim(effect) for effect in self.effects]
        alone = any(x.verdict is Verdict.FAIL for x, own in zip(found, trim, strict=True) if own)
        if together is None or together.verdict is not Verdict.FAIL or alone:
            return found
        return tuple(
            replace(x, verdict=Verdict.NOT_ASSESSED) if own and x.verdict is Verdict.PASS else x
            for x, own in zip(found, trim, strict=True)
        )

    def _each(self) -> tuple[LedgerEntry, ...]:
        gaps = [gap for effect in self.effects if (gap := self._gap(effect)) is not None]
        # Where the shift is not known, lines are compared with the middle one of them, which is no
        # steadier than their number makes it.
        middle, unsteady = 0.0, 0.0
        if gaps and self.shift.mm is None:
            middle, unsteady = median(gaps), _MEDIAN / math.sqrt(len(gaps))
        moves = [self._move(effect, unsteady) for effect in self.effects]
        least = self._least_mm([move[1] for move in moves if move is not None])
        return tuple(
            self._entry(effect, move, middle, least)
            for effect, move in zip(self.effects, moves, strict=True)
        )

    def _move(self, effect: AdjustmentEffect, unsteady: float) -> tuple[float, float] | None:
        """What a line was measured to move by in mm, and its uncertainty; None if it was not.

        `unsteady` is the uncertainty of the middle in those of one line.
        """
        own = self._own(effect)
        if not own:
            return None
        mm, u = moved_together([*own.values()], self.scatter)
        return mm - (self.shift.mm or 0.0), math.hypot(u, unsteady * u, self.shift.u_mm)

    def _least_mm(self, us_mm: Sequence[float]) -> float | None:
        """The change that is no chance in any line of the ledger, to a tenth; None: any may be.

        One for all, that of the least certain line: two changes alike are reported alike. Where it
        is not known what the whole line set changed by, the most that this may be counts too.
        """
        unknown = 0.0 if self.shift.mm is not None else self.shift.most_mm
        if unknown is None or not us_mm:
            return None
        return math.ceil(10.0 * (unknown + _SHOWN * max(us_mm))) / 10.0

    def together(self) -> WorkCheck | None:
        """All adjusted row and stabilo lines against their plan; None where none was measured."""
        gaps = {
            key: mm
            for effect in self.effects
            if effect.expected_mm is not None and self._is_trim(effect)
            for key, mm in self._own(effect, gaps=True).items()
        }
        if not gaps:
            return None
        shift, limit = self.shift, self._common_limit()
        if shift.mm is None:
            return WorkCheck(
                0.0, 0.0, shift.untouched, None, None, Verdict.NOT_ASSESSED, WhyNot.SHIFT_UNKNOWN
            )
        gap = fmean(gaps.values()) - shift.mm
        short, most = self._short({key: mm - shift.mm for key, mm in gaps.items()}) or (None, None)
        verdict = within(gap, limit)
        if within(short, most) is Verdict.FAIL:
            verdict = Verdict.FAIL
        return WorkCheck(
            shift.mm,
            shift.u_mm,
            shift.untouched,
            gap,
            limit,
            verdict,
            short_mm=short,
            short_limit_mm=most,
        )

    def _short(self, gaps: Mapping[LineKey, float]) -> tuple[float, float] | None:
        """How much less far than planned these lines moved on average, and what chance makes of it.

        Each counts the way it was to move, so the shift of the session falls out as far as both
        ways balance. What is left may be less than anybody knows a loop's take-up to: not below
        what a single line's doubt starts from. None where all were to move one way: then their mean
        says it.
        """
        ways = {
            key: math.copysign(1.0, plan)
            for key in gaps
            if (plan := sum(x.expected_mm or 0.0 for x in self._at[key]))
        }
        if len({*ways.values()}) < 2:
            return None
        count = len(ways)
        lists: dict[tuple[Side, str], float] = {}
        for (side, point), way in ways.items():
            lists[side, point.group] = lists.get((side, point.group), 0.0) + way / count
        variance = 2.0 * self.scatter.repeat_mm**2 / count
        variance += 2.0 * self.scatter.occasion_mm**2 * math.fsum(w * w for w in lists.values())
        variance += (self.shift.u_mm * fmean(ways.values())) ** 2
        short = -fmean(gaps[key] * way for key, way in ways.items())
        return short, max(self.thresholds.doubt_group_mm, _TOGETHER * math.sqrt(variance))

    def _entry(
        self,
        effect: AdjustmentEffect,
        move: tuple[float, float] | None,
        middle_mm: float,
        least_mm: float | None,
    ) -> LedgerEntry:
        adjustment, expected = effect.adjustment, effect.expected_mm
        measured: float | None = None
        limit: float | None = None
        shown: bool | None = None
        if move is not None:
            measured, u = move
            limit = max(self.thresholds.doubt_group_mm, _BY_CHANCE * u)
            as_planned = expected is None or measured * math.copysign(1.0, expected) > 0.0
            shown = (
                True if least_mm is not None and abs(measured) > least_mm and as_planned else None
            )
        gap = None if measured is None or expected is None else measured - expected - middle_mm
        verdict = within(gap, limit)
        off = None if measured is None or expected is None else abs(measured - expected)
        if self.shift.mm is None and least_mm is not None and off is not None and off > least_mm:
            # By more than all lines together may have changed: no middle one excuses that.
            verdict, limit = Verdict.FAIL, least_mm
        own = [*self._own(effect).values()]
        # Points of one line that did not move together do not show how far it was moved.
        apart = bool(own) and not _moved_alike(own, self.scatter)
        if apart and verdict is not Verdict.FAIL:
            shown = None
        # Within 10 mm of a plan of 10 mm is also where a line lies that nobody touched.
        small = expected is None or limit is None or abs(expected) <= limit
        if verdict is Verdict.PASS and (self.shift.mm is None or small or not shown):
            verdict = Verdict.NOT_ASSESSED
        return LedgerEntry(
            line=adjustment.line,
            side=adjustment.side,
            loop_before=adjustment.loop_before,
            loop_after=adjustment.loop_after,
            expected_mm=expected,
            measured_mm=measured,
            points=len(own),
            shift_mm=None if measured is None else self.shift.mm,
            limit_mm=limit,
            verdict=verdict,
            remark=adjustment.remark,
            shown=False if verdict is Verdict.FAIL and not shown else shown,
            least_mm=None if measured is None else least_mm,
            apart=apart,
        )

    def _gap(self, effect: AdjustmentEffect) -> float | None:
        own = self._own(effect)
        if not own or effect.expected_mm is None:
            return None
        return moved_together([*own.values()], self.scatter)[0] - effect.expected_mm

    def _own(self, effect: AdjustmentEffect, *, gaps: bool = False) -> dict[LineKey, float]:
        """The change in mm at each point that the line carries, less that of others on the way.

        A main brake line speaks for itself where no line of its fan was measured twice. `gaps`
        takes its own promise off too.
        """
        own: dict[LineKey, float] = {}
        for key in sorted(effect.keys & self.moved.keys() or effect.itself & self.moved.keys()):
            work = [x.expected_mm for x in self._at.get(key, ()) if gaps or x is not effect]
            known = [mm for mm in work if mm is not None]
            if len(known) == len(work):
                own[key] = self.moved[key] - sum(known)
        return own

    @cached_property
    def _at(self) -> dict[LineKey, list[AdjustmentEffect]]:
        """All work that moves each point."""
        found: dict[LineKey, list[AdjustmentEffect]] = {}
        for effect in self.effects:
            for key in effect.keys:
                found.setdefault(key, []).append(effect)
        return found

    def _is_trim(self, effect: AdjustmentEffect) -> bool:
        return any(point.group in self.trim for _, point in effect.keys)

    def _common_limit(self) -> float | None:
        """What the mean of all adjusted row and stabilo lines may be off plan by chance, in mm."""
        keys = {
            key for effect in self.effects if self._is_trim(effect) for key in self._own(effect)
        }
        if not keys:
            return None
        lists = {(side, point.group) for side, point in keys}
        occasion = 2.0 * self.scatter.occasion_mm**2 / len(lists)
        line = 2.0 * self.scatter.repeat_mm**2 / len(keys)
        return _TOGETHER * math.sqrt(line + occasion + self.shift.u_mm**2)


analysis = Ledger()
