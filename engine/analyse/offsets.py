"""The offset that all lines share: it has no trim effect and is taken out before judging."""

import math
from dataclasses import dataclass, replace

import numpy as np

from trimscribe.analyse.carry_over import CarriedLines
from trimscribe.analyse.completion import Estimate, Estimator
from trimscribe.analyse.line_table import Bools, Floats, LineTable
from trimscribe.analyse.products import applied, inner
from trimscribe.analyse.uncertainty import Shared
from trimscribe.model.findings import CommonOffset, SharedLevel, WhyNot
from trimscribe.model.job import OffsetMethod
from trimscribe.model.thresholds import Thresholds
from trimscribe.model.wing import Side

# The median of many normal values scatters by so much more than their mean, as a variance.
_MEDIAN = math.pi / 2.0
_ROW_SHARE = 0.6  # of a row's points on each side, where the row alone gives the offset
_HALF = 0.5
_HARDLY_MORE = 1.1  # as uncertain as with every line measured, or hardly more
_USUAL_LIMIT_MM = 10.0  # where a group has none: common practice, no source
_LEAST_MM = 5.0  # a row of one side may be off this far, or a third of the level
_SHARE = 1.0 / 3.0
_LINE_MM = 6.0
_MOST = 0.8  # of all lines
_EXPANDED = 2.0  # standard uncertainties that two means may differ by for no reason


@dataclass(frozen=True, eq=False)
class OffsetEstimate:
    """The common offset with how well it is known.

    `weights` over the table's lines are those of the mean that it comes from. `least_u_mm` is its
    uncertainty had every line been measured.
    """

    offset: CommonOffset
    weights: Floats
    least_u_mm: float
    share: float
    estimator: Estimator

    def known_for(self, limit_mm: float | None) -> bool:
        """Whether lines may be judged against each other with that limit."""
        limit = _USUAL_LIMIT_MM if limit_mm is None else limit_mm
        return self.offset.u_mm <= max(self.share * limit, _HARDLY_MORE * self.least_u_mm)

    def line_u_mm(self) -> Floats:
        """Standard uncertainty in mm of each line's deviation less the offset.

        The offset shares the line's own errors, and those of its row and its tape.
        """
        errors = self.estimator.errors
        own = errors.variances() - 2.0 * errors.covariances_with(self.weights)
        return np.sqrt(np.maximum(own + self.offset.u_mm**2, 0.0))

    def other_u_mm(
        self, line_mm: float, row_mm: float, length_m: float, carried: CarriedLines | None = None
    ) -> float:
        """The same of a line outside the table, such as a stabilo line, that long in metres.

        One that was `carried` over shares the tie's error with the table's lines that were.
        """
        table, scale = self.estimator.table, self.estimator.errors.scale_mm_per_m
        shared = scale * inner(self.weights, table.length_m)
        rest = self.offset.u_mm**2 - shared**2
        if carried is not None:
            share = float(self.weights[carried.among(table)].sum())
            rest += carried.u_mm**2 * ((1.0 - share) ** 2 - share**2)
        own = line_mm**2 + row_mm**2 + (scale * length_m - shared) ** 2
        return math.sqrt(own + max(rest, 0.0))


def common_offset(
    estimator: Estimator, method: OffsetMethod, row: str, thresholds: Thresholds
) -> OffsetEstimate | WhyNot:
    """The common offset in mm over the rows of both sides, or why it is not known.

    Stabilo and brake lines take no part in it. `row` names the row whose mean is taken by
    `OffsetMethod.ROW`. Lines that were not measured are bridged, and what that costs is in `u_mm`.
    """
    table = estimator.table
    measured = table.measured
    if not measured.any():
        return WhyNot.NOT_MEASURED
    target = _target(table, method, row)
    if target is None:
        return WhyNot.NOT_MEASURED
    extra = 0.0
    if method is OffsetMethod.NONE:
        # Nothing takes out what one measuring errs by as a whole.
        found: Estimate | WhyNot = Estimate(0.0, 0.0, target)
        extra = thresholds.u_session_shift_mm**2
    elif method is OffsetMethod.ROW:
        found = _of_row(estimator, target, table.in_row(row))
    else:
        found = _of_all(estimator, target)
    if isinstance(found, WhyNot):
        return found
    value, deviations = found.value, table.deviation_mm[measured]
    if method is OffsetMethod.MEDIAN:
        value = float(np.median(_completed(estimator)))
        line = float(np.mean(estimator.errors.sources[0].u))
        extra = (_MEDIAN - 1.0) * line**2 / int(measured.sum())
    u = math.sqrt(found.u**2 + extra)
    offset = CommonOffset(
        value, method, row, float(deviations.mean()), float(np.median(deviations)), u
    )
    return OffsetEstimate(
        offset,
        found.weights,
        math.sqrt(estimator.errors.u(target) ** 2 + extra),
        thresholds.offset_known_share,
        estimator,
    )


def _target(table: LineTable, method: OffsetMethod, row: str) -> Floats | None:
    """The weights over the whole table of what is taken out."""
    if method is OffsetMethod.NONE:
        return np.zeros(len(table.row))
    chosen = np.ones(len(table.row), dtype=np.bool_)
    if method is OffsetMethod.ROW:
        if row not in table.row_names:
            return None
        chosen = table.in_row(row)
    return np.asarray(chosen / chosen.sum())


def _of_row(estimator: Estimator, target: Floats, chosen: Bools) -> Estimate | WhyNot:
    """The plain mean of one row, where enough of it was measured on each side."""
    table = estimator.table
    used = table.measured & chosen
    for side in Side:
        here = table.on(side)
        if (used & here).sum() < _ROW_SHARE * (chosen & here).sum():
            return WhyNot.TOO_FEW_LINES
    return estimator.weighted(np.asarray(used / used.sum()), target, estimator.errors)


def _of_all(estimator: Estimator, target: Floats) -> Estimate | WhyNot:
    found = estimator.estimate(target)
    if found is WhyNot.NO_CHORD and _enough_of_each(estimator.table):
        used = estimator.table.measured
        return estimator.weighted(np.asarray(used / used.sum()), target, estimator.errors)
    return WhyNot.TOO_FEW_LINES if isinstance(found, WhyNot) else found


def _enough_of_each(table: LineTable) -> bool:
    """Every row on both sides, half of its points or more, one of every main line."""
    measured = table.measured
    lists = table.row_and_side
    share = np.bincount(lists, weights=measured) / np.bincount(lists)
    mains = np.bincount(table.main_and_side, weights=measured)
    return bool((share >= _HALF).all() and (mains > 0).all())


def _completed(estimator: Estimator) -> Floats:
    """All deviations, those not measured as predicted."""
    table, bridge = estimator.table, None if estimator.complete else estimator.bridge
    if bridge is None or isinstance(bridge, WhyNot):
        return table.deviation_mm[table.measured]
    values = table.deviation_mm.copy()
    values[~table.measured] = applied(bridge.predictions, table.deviation_mm[table.measured])
    return np.asarray(values)


def shared_level(estimator: Estimator, u_row_side_mm: float) -> SharedLevel | None:
    """The median deviation of the rows, and whether all share it; None without any length.

    A line set that is evenly shorter has no trim effect, and saying so calms. It may be said only
    where it is so: a middle value of many lines also comes of one row that is far off. Nobody
    knows what a row that was not measured shares. `u_row_side_mm` (mm, k = 1) is what a row of one
    side errs by besides.
    """
    table, errors = estimator.table, estimator.errors
    known = table.measured
    if not known.any():
        return None
    level = float(np.median(table.deviation_mm[known]))
    near = max(_LEAST_MM, abs(level) * _SHARE)
    lists = table.row_and_side
    counts = np.bincount(lists[known])
    sums = np.bincount(lists[known], weights=table.deviation_mm[known])
    apart = {
        index: float(sums[index] / counts[index]) - level
        for index in np.flatnonzero(counts).tolist()
    }
    rows = len(table.row_names)
    # Of two alike the front one, so that a mirrored wing is described mirrored.
    furthest = max(apart, key=lambda i: (round(abs(apart[i]), 6), -(i % rows), apart[i] > 0))
    close = np.abs(table.deviation_mm[known] - level) <= max(near, _LINE_MM)
    everywhere = len(apart) == 2 * rows
    if everywhere and abs(apart[furthest]) <= near and float(close.mean()) >= _MOST:
        return SharedLevel(level, shared=True)
    if abs(apart[furthest]) <= near:
        return SharedLevel(level, shared=False)
    means = {index: np.asarray((lists == index) & known) / counts[index] for index in apart}
    whole = np.asarray(known / known.sum())
    of_sides = replace(errors, sources=(*errors.sources, Shared(u_row_side_mm, lists)))
    opposite = (furthest + rows) % (2 * rows)
    other = apart.get(opposite)
    both = other is not None and (
        abs(other - apart[furthest]) <= _EXPANDED * of_sides.u(means[furthest] - means[opposite])
        or (abs(other) > near and other * apart[furthest] > 0)
    )
    named = [furthest, opposite] if both else [furthest]
    off = sum(apart[index] for index in named) / len(named)
    size = math.copysign(1.0, off) * (sum(means[index] for index in named) / len(named) - whole)
    clear = all(
        abs(off) - abs(mm)
        > _EXPANDED * of_sides.u(size - math.copysign(1.0, mm) * (means[index] - whole))
        for index, mm in apart.items()
        if index not in named
    )
    if not clear:
        return SharedLevel(level, shared=False, apart_mm=off)
    side = Side.RIGHT if furthest >= rows else Side.LEFT
    return SharedLevel(
        level,
        shared=False,
        row=table.row_names[furthest % rows],
        side=None if both else side,
        apart_mm=off,
    )
