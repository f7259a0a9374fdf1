"""Risers against their specified lengths, and what they add to the lines that hang on them.

Specified line lengths that do not include the risers leave them to stand for themselves: a riser
that is 5 mm long lets its row hang 5 mm lower. So their deviations count for the angle, for
differences between the sides and for the line set at the trailing edge, never for the verdict on
a line. Risers that nobody measured may be off by as much as makers allow.
"""

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

import numpy as np

from trimscribe.analyse.doubts.risers import doubted_risers, riser_exchanged
from trimscribe.analyse.judging import fold, within
from trimscribe.analyse.line_table import Floats, LineTable
from trimscribe.analyse.uncertainty import Shared
from trimscribe.model.decision import DecisionRule
from trimscribe.model.findings import RiserBasis, RiserFinding
from trimscribe.model.job import Job, Measurement
from trimscribe.model.thresholds import Thresholds
from trimscribe.model.wing import RiserLengths, Side, Specification

_UNKNOWN = RiserLengths()


@dataclass(frozen=True, eq=False)
class RiserEffect:
    """By line of a table: what its riser adds in mm, and how uncertain that is.

    `alike_u_mm` is what the risers of a row may be off together because nobody measured them,
    `each_u_mm` what a measured riser may be off by itself; both are 0 where they do not apply.
    """

    basis: RiserBasis
    adds_mm: Floats
    alike_u_mm: Floats
    each_u_mm: Floats

    def errors(self, table: LineTable) -> tuple[Shared, ...]:
        """What risers contribute to errors over the wing: those unknown are taken as alike."""
        return (Shared(self.alike_u_mm, table.row), Shared(self.each_u_mm, table.row_and_side))

    def errors_between_sides(self, table: LineTable) -> tuple[Shared, ...]:
        """The same for right minus left, where unknown risers of a row need not be alike."""
        u = np.hypot(self.alike_u_mm, self.each_u_mm)
        return (Shared(u, table.row_and_side),)


def riser_effect(
    job: Job,
    specification: Specification,
    measurement: Measurement,
    table: LineTable,
    thresholds: Thresholds,
) -> RiserEffect:
    """Risers as measured with the lines, or in the job's other measuring unless they were changed.

    A riser goes by the name of its row.
    """
    if specification.includes_risers:
        return _effect(table, RiserBasis.INCLUDED, {}, 0.0, 0.0)
    found = _known(job, specification, measurement)
    if not riser_exchanged(job):
        for other in (job.before, job.after):
            if other is not None and other is not measurement:
                found = _known(job, specification, other) | found
    wanted = [(side, row) for side in Side for row in table.row_names]
    known = sum(key in found for key in wanted)
    basis = (
        RiserBasis.MEASURED
        if known == len(wanted)
        else RiserBasis.PARTLY_MEASURED
        if known
        else RiserBasis.NOT_MEASURED
    )
    unknown = thresholds.riser_unmeasured_mm / math.sqrt(3.0)
    return _effect(table, basis, found, unknown, thresholds.u_riser_mm)


def riser_change(
    job: Job, table: LineTable, before: RiserEffect, after: RiserEffect
) -> RiserEffect:
    """After minus before. Risers that nobody touched did not change, whatever they are."""
    if before.basis is RiserBasis.INCLUDED or not riser_exchanged(job):
        nothing = np.zeros(len(table.row))
        return RiserEffect(after.basis, nothing, nothing, nothing)
    return RiserEffect(
        min(before.basis, after.basis, key=[*RiserBasis].index),
        after.adds_mm - before.adds_mm,
        np.hypot(before.alike_u_mm, after.alike_u_mm),
        np.hypot(before.each_u_mm, after.each_u_mm),
    )


def _known(
    job: Job, specification: Specification, measurement: Measurement
) -> dict[tuple[Side, str], float]:
    """Deviations in mm at trim; a riser that looks wrong, unconfirmed, is as if not measured."""
    doubted = doubted_risers(job, measurement)
    return {
        (side, name): lengths.trim_mm - specified.trim_mm
        for (side, name), lengths in measurement.risers.items()
        if (side, name) not in doubted
        and lengths.trim_mm is not None
        and (specified := specification.risers.get(name)) is not None
        and specified.trim_mm is not None
    }


def _effect(
    table: LineTable,
    basis: RiserBasis,
    found: Mapping[tuple[Side, str], float],
    unknown_u_mm: float,
    known_u_mm: float,
) -> RiserEffect:
    if not found:  # all alike, and most of the time
        every = np.ones(len(table.row))
        return RiserEffect(basis, 0.0 * every, unknown_u_mm * every, 0.0 * every)
    keys = [(side, point.group) for side, point in table.line_keys]

    def each(values: Iterable[float]) -> Floats:
        return np.array([*values], dtype=np.float64)

    return RiserEffect(
        basis,
        adds_mm=each(found.get(key, 0.0) for key in keys),
        alike_u_mm=each(0.0 if key in found else unknown_u_mm for key in keys),
        each_u_mm=each(known_u_mm if key in found else 0.0 for key in keys),
    )


def riser_findings(
    specification: Specification,
    measurement: Measurement,
    limit_mm: float | None,
    u_mm: float,
    rule: DecisionRule,
) -> tuple[RiserFinding, ...]:
    """Every specified or measured riser on both sides; none when no riser was measured."""
    if not measurement.risers:
        return ()
    # dict keys keep the specification's order, then that of the measuring
    names = dict.fromkeys([*specification.risers, *sorted(n for _, n in measurement.risers)])
    return tuple(
        _finding(
            side,
            name,
            specification.risers.get(name, _UNKNOWN),
            measurement.risers.get((side, name), _UNKNOWN),
            limit_mm,
            u_mm,
            rule,
        )
        for side in Side
        for name in names
    )


def _finding(
    side: Side,
    name: str,
    specified: RiserLengths,
    measured: RiserLengths,
    limit_mm: float | None,
    u_mm: float,
    rule: DecisionRule,
) -> RiserFinding:
    pairs = (
        (measured.trim_mm, specified.trim_mm),
        (measured.accelerated_mm, specified.accelerated_mm),
    )
    trim, accelerated = (_deviation(*pair) for pair in pairs)
    return RiserFinding(
        side=side,
        name=name,
        trim_mm=trim,
        accelerated_mm=accelerated,
        tolerance_mm=limit_mm,
        verdict=fold(within(mm, limit_mm, u_mm, rule) for mm in (trim, accelerated)),
        u_mm=u_mm,
        missing=sum(found is None and wanted is not None for found, wanted in pairs),
    )


def _deviation(measured_mm: float | None, specified_mm: float | None) -> float | None:
    if measured_mm is None or specified_mm is None:
        return None
    return measured_mm - specified_mm
