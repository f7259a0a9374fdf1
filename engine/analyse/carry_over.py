"""The later measuring, completed by lines that nobody moved since the earlier one.

A workshop that measures again only what it changed leaves the rest as it was. Those lengths count
on where they were measured in the same way and under the same load, and where untouched lines that
were measured both times, the controls, tie the two measurings. Their mean change is the session's:
it is added to what is carried over. Rates of a tie that fails and of one that should have failed
were simulated: our own study. Where nothing that holds the wing was worked on or measured again,
all of it is as it was measured, and needs no tie; brake lines that were measured again do.
"""

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from statistics import fmean, median

import numpy as np

from trimscribe.analyse.adjustment_effect import touched_keys
from trimscribe.analyse.line_table import Bools, LineTable
from trimscribe.analyse.load import LoadedMeasuring, measured_alike
from trimscribe.analyse.uncertainty import Shared, repeat_of_both_mm
from trimscribe.model.findings import CarryOver, Verdict, WhyNot
from trimscribe.model.job import Job, Measurement
from trimscribe.model.thresholds import Thresholds
from trimscribe.model.wing import GroupKind, LineKey, Side, Specification

_ODD = 3.3  # standard deviations of one control's change from their median
_QUANTILE = 0.99  # of chi squared for all of them together
_PER_SIDE = 3  # controls; with fewer the session's own uncertainty has to do


@dataclass(frozen=True)
class CarriedLines:
    """The lines that were taken over, and the uncertainty in mm that they share.

    `shift_mm` is what was added to each, as the session changed all lines, + = longer. `moved` are
    the lines that were worked on and measured again: only those changed. `brakes_u_mm` is what
    brake lines that were measured again err by besides against lines that nothing ties them to,
    None where that is not known. `alone`: no other line that holds the wing is known, so that all
    of them hung as they were measured.
    """

    keys: frozenset[LineKey]
    moved: frozenset[LineKey]
    shift_mm: float
    u_mm: float
    brakes_u_mm: float | None = 0.0
    alone: bool = False

    def occasion_mm(self, thresholds: Thresholds) -> float:
        """What the lines of one group and side err by besides, as they hung at another time."""
        if self.alone:
            return 0.0
        root = math.sqrt(2.0)
        return math.hypot(thresholds.u_row_change_mm, root * thresholds.u_row_side_occasion_mm)

    def errors(self, table: LineTable, thresholds: Thresholds) -> tuple[Shared, ...]:
        """What they share against those measured now."""
        if self.alone:
            return ()
        return occasion_errors(table, self.among(table), self.u_mm, thresholds)

    def among(self, table: LineTable) -> Bools:
        """Which columns of a table they are."""
        return np.array([key in self.keys for key in table.line_keys], dtype=np.bool_)


def occasion_errors(
    table: LineTable, chosen: Bools, u_all_mm: float, thresholds: Thresholds
) -> tuple[Shared, ...]:
    """The difference between two sessions on one bench, over the chosen lines.

    `u_all_mm` is the standard uncertainty of what it is for all of them alike.
    """
    return (
        Shared(u_all_mm, np.where(chosen, 0, -1)),
        Shared(thresholds.u_row_change_mm, np.where(chosen, table.row, -1)),
        Shared(
            math.sqrt(2.0) * thresholds.u_row_side_occasion_mm,
            np.where(chosen, table.row_and_side, -1),
        ),
    )


def carry_over(
    job: Job,
    specification: Specification,
    before: LoadedMeasuring,
    after: LoadedMeasuring,
    thresholds: Thresholds,
) -> tuple[LoadedMeasuring, CarryOver | None, CarriedLines | None]:
    """The later measuring with what may be carried over; None where nothing is missing from it.

    `CarryOver.why_not` says why untouched lines that were not measured again are not carried.
    """
    first, last = before.measurement, after.measurement
    if not last.lengths_mm and last.tension_n is None:  # no line was pulled
        last = replace(last, tension_n=first.tension_n)
        after = replace(before, measurement=last, by_mm={})
    left_out = first.lengths_mm.keys() - last.lengths_mm.keys()
    touched = touched_keys(job)
    if not left_out or (touched is not None and left_out <= touched):
        return after, None, None
    again = _count(specification, last.lengths_mm)
    if touched is None:
        return after, CarryOver(again, why_not=WhyNot.MEASURED_OTHERWISE), None
    controls = _controls(specification, first, last, touched)
    brakes_u: float | None = 0.0
    # Nothing was measured again that would have to be tied to the lines that hold the wing.
    alone = not last.lengths_mm or not (again or _count(specification, touched))
    if alone:
        tie: tuple[float, float] | WhyNot = (0.0, 0.0)
        if _worse_load(before, after):
            tie = WhyNot.MEASURED_OTHERWISE
        brakes_u = _apart_mm(first, last, thresholds) if last.lengths_mm else 0.0
    else:
        tie = _tie(first, last, controls, specification, touched, thresholds)
    if isinstance(tie, WhyNot):
        return after, CarryOver(again, controls=len(controls), why_not=tie), None
    shift, u = tie
    keys = frozenset(left_out - touched)
    moved = frozenset(last.lengths_mm.keys() & touched)
    lengths = dict(last.lengths_mm)
    adds = dict(after.by_mm)
    for key in keys:
        lengths[key] = first.lengths_mm[key] + shift
        adds[key] = before.by_mm.get(key, 0.0) + shift
    merged = replace(after, measurement=replace(last, lengths_mm=lengths), by_mm=adds)
    found = CarryOver(again, _count(specification, keys), len(controls), shift, u)
    return merged, found, CarriedLines(keys, moved, shift, u, brakes_u, alone)


def _worse_load(before: LoadedMeasuring, after: LoadedMeasuring) -> bool:
    """Whether the earlier lengths would pass for ones that compare with the specification's."""
    known = before.verdict is Verdict.NOT_ASSESSED and after.verdict is not Verdict.NOT_ASSESSED
    return after.verdict is not Verdict.FAIL and (before.verdict is Verdict.FAIL or known)


def _apart_mm(first: Measurement, last: Measurement, thresholds: Thresholds) -> float | None:
    """Standard uncertainty in mm of what two measurings differ by as a whole where nothing ties.

    None where they were not made in the same way.
    """
    if not measured_alike(first, last, thresholds):
        return None
    same_day = first.date is not None and first.date == last.date
    stated = last.session_mm if same_day else None
    return thresholds.u_session_mm if stated is None else stated


def _count(specification: Specification, keys: Iterable[LineKey]) -> int:
    """How many of them hold the wing; brake lines are counted by themselves."""
    names = {group.name for group in specification.groups if not group.kind.is_brake}
    return sum(point.group in names for _, point in keys)


def _controls(
    specification: Specification, first: Measurement, last: Measurement, touched: frozenset[LineKey]
) -> dict[LineKey, float]:
    """After minus before in mm of the row lines that tie both measurings.

    None hangs on a main line that work was done on: that may have moved the neighbours too.
    """
    rows = {row.name for row in specification.rows}
    main = {p: line.name for line in specification.cascade if not line.parent for p in line.points}
    worked_on = {(side, main[point]) for side, point in touched if point in main}
    both = (last.lengths_mm.keys() & first.lengths_mm.keys()) - touched
    return {
        key: last.lengths_mm[key] - first.lengths_mm[key]
        for key in sorted(both)
        if key[1].group in rows
        and (not last.controls or key in last.controls)
        and (key[0], main.get(key[1])) not in worked_on
    }


def _tie(
    first: Measurement,
    last: Measurement,
    controls: Mapping[LineKey, float],
    specification: Specification,
    touched: frozenset[LineKey],
    thresholds: Thresholds,
) -> tuple[float, float] | WhyNot:
    """What the session changed all lines by in mm, with its uncertainty, or why it is not known."""
    if not measured_alike(first, last, thresholds):
        return WhyNot.MEASURED_OTHERWISE
    repeat = repeat_of_both_mm(first, last, thresholds)
    rows = _rows_with_controls(controls, touched)
    few = min(sum(side is of for of, _ in controls) for side in Side) < _PER_SIDE
    if few or len(rows) < _rows_needed(specification, touched):
        same_day = first.date is not None and first.date == last.date
        apart = _apart_mm(first, last, thresholds) if same_day else None
        return WhyNot.NO_CONTROLS if apart is None else (0.0, apart)
    changes = list(controls.values())
    if tie_fails(changes, repeat, thresholds):
        return WhyNot.CONTROLS_DISAGREE
    return fmean(changes), tie_u_mm(len(changes), len(rows), repeat, thresholds)


def _rows_with_controls(controls: Mapping[LineKey, float], touched: frozenset[LineKey]) -> set[str]:
    """Rows that hold controls: those where nothing moved, or all where something did in each."""
    rows = {point.group for _, point in controls}
    still = rows - {point.group for _, point in touched}
    return still or rows


def _rows_needed(specification: Specification, touched: frozenset[LineKey]) -> int:
    """Two, where two rows were left alone."""
    moved = {point.group for _, point in touched}
    still = [g for g in specification.groups if g.kind is GroupKind.ROW and g.name not in moved]
    return min(2, len(still)) or 1


def tie_u_mm(controls: int, rows: int, repeat_mm: float, thresholds: Thresholds) -> float:
    """Standard uncertainty in mm of the mean change of this many controls in this many rows."""
    row = thresholds.u_row_change_mm**2
    row_side = 2.0 * thresholds.u_row_side_occasion_mm**2
    return math.sqrt(
        2.0 * repeat_mm**2 / controls
        + row / min(rows, controls)
        + row_side / min(2 * rows, controls)
    )


def tie_fails(changes_mm: Sequence[float], repeat_mm: float, thresholds: Thresholds) -> bool:
    """Whether controls changed by too much, one of them oddly, or all too unevenly."""
    from scipy import special  # large: loaded only where lines are carried over

    sd = math.sqrt(
        2.0 * repeat_mm**2
        + thresholds.u_row_change_mm**2
        + 2.0 * thresholds.u_row_side_occasion_mm**2
    )
    mean, middle = fmean(changes_mm), median(changes_mm)
    squares = math.fsum((mm - mean) ** 2 for mm in changes_mm) / sd**2
    spare = len(changes_mm) - 1
    return (
        abs(mean) > thresholds.tie_shift_mm
        or any(abs(mm - middle) > _ODD * sd for mm in changes_mm)
        or (spare > 0 and squares > float(special.chdtri(spare, 1.0 - _QUANTILE)))
    )
