"""Both measurings as they are judged, each with how it errs.

They are brought to the specification's load, gaps of the later one are filled with what nobody
moved, and lines in doubt are left out.
"""

from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np

from trimscribe.analyse.carry_over import CarriedLines, carry_over
from trimscribe.analyse.completion import Estimator, Structure
from trimscribe.analyse.doubts import value_doubts
from trimscribe.analyse.line_table import LineTable, line_table
from trimscribe.analyse.load import LoadedMeasuring, at_specified_load
from trimscribe.analyse.pitch import PitchEstimator
from trimscribe.analyse.riser_effect import RiserEffect, riser_effect
from trimscribe.analyse.uncertainty import (
    ErrorModel,
    Shared,
    UncertaintyComponents,
    budget_of,
    spread_of,
)
from trimscribe.model.findings import CarryOver, ErrorSource, Verdict, WhyNot
from trimscribe.model.job import Job, Measurement
from trimscribe.model.latest import keep_latest
from trimscribe.model.thresholds import Thresholds, thresholds_of
from trimscribe.model.wing import LineKey, Specification


@dataclass(frozen=True, eq=False)
class Measured:
    """One measuring, ready to be judged.

    `lines` estimates lines against their specified lengths, `pitch` the wing, where risers count;
    neither knows the lines of `doubted` (a specified or measured length) and `misread` (a measured
    one, which a change between two measurings does not know either). `whole` is the same with
    them; None where nothing is in doubt.
    """

    loaded: LoadedMeasuring
    spread: UncertaintyComponents
    budget: tuple[ErrorSource, ...]
    risers: RiserEffect
    lines: Estimator
    pitch: PitchEstimator
    thresholds: Thresholds
    carry_over: CarryOver | None = None
    carried: CarriedLines | None = None
    doubted: frozenset[LineKey] = frozenset()
    misread: frozenset[LineKey] = frozenset()
    whole: "Measured | None" = None

    @property
    def measurement(self) -> Measurement:
        """The lengths at the specification's load, with those carried over."""
        return self.loaded.measurement

    @property
    def sound_mm(self) -> Mapping[LineKey, float]:
        """The same lengths in mm without lines in doubt."""
        return self.measurement.without(self.doubted).lengths_mm

    @property
    def table(self) -> LineTable:
        """The rows' deviations, without the risers."""
        return self.lines.table

    @property
    def blocked(self) -> WhyNot:
        """Why nothing may be concluded from the lengths, such as a wrong load."""
        return self.table.blocked


@dataclass(frozen=True, eq=False)
class Measurings:
    """Both measurings of a job; None where there is none."""

    before: Measured | None
    after: Measured | None


@keep_latest
def measurings_of(job: Job) -> Measurings:
    """Bring both to the specification's load; carry over what nobody moved, leave out doubts.

    There is none without a specification.
    """
    specification = job.specification
    if specification is None:
        return Measurings(None, None)
    doubts = value_doubts(job)
    specified, misread_before, misread_after = (
        frozenset(key for doubt in doubts if doubt.at[0] == when for key in doubt.left_out)
        for when in ("specification", "before", "after")
    )
    thresholds = thresholds_of(job)
    before, after = (
        None if m is None else at_specified_load(specification, m, thresholds)
        for m in (job.before, job.after)
    )
    found: CarryOver | None = None
    carried: CarriedLines | None = None
    if before is not None and after is not None:
        after, found, carried = carry_over(job, specification, before, after, thresholds)
    first = (
        None
        if before is None
        else _measured(
            job, specification, job.before, before,
            doubted=misread_before | specified, misread=misread_before,
        )
    )  # fmt: skip
    if after is None:
        return Measurings(first, None)
    table = first.table if first else None
    over = carried.keys if carried else frozenset()
    misread = misread_after | (misread_before & over)
    last = _measured(
        job, specification, job.after, after, found, carried, table,
        doubted=misread | specified, misread=misread,
    )  # fmt: skip
    return Measurings(first, last)


def _measured(
    job: Job,
    specification: Specification,
    written: Measurement | None,
    loaded: LoadedMeasuring,
    found: CarryOver | None = None,
    carried: CarriedLines | None = None,
    earlier: LineTable | None = None,
    *,
    doubted: frozenset[LineKey] = frozenset(),
    misread: frozenset[LineKey] = frozenset(),
) -> Measured:
    """One measuring with its error models; `written` is it as the job has it.

    `earlier` is a table of the same lines, which need not be set up again. Lines that are
    `doubted`, among them those `misread`, are as if nobody had measured them.
    """
    thresholds = thresholds_of(job)
    doubted &= loaded.measurement.lengths_mm.keys()
    whole = (
        _measured(job, specification, written, loaded, found, carried, earlier) if doubted else None
    )
    blocked = WhyNot.LOAD_DIFFERS if loaded.verdict is Verdict.FAIL else WhyNot.ASSESSED
    lengths = loaded.measurement.without(doubted).lengths_mm
    table = (
        earlier.with_lengths(lengths, blocked)
        if earlier
        else line_table(specification, lengths, blocked)
    )
    budget = budget_of(loaded.measurement, specification, thresholds, loaded.correction)
    spread = spread_of(budget)
    risers = riser_effect(job, specification, written or loaded.measurement, table, thresholds)
    lines, whole_wing, sides = _errors(table, spread, risers, carried, thresholds)
    structure = Structure.of(thresholds)
    # Lines measured again are those that were worked on: where the rest could not be carried over,
    # they do not stand for it, and nothing may be concluded from them for the whole wing.
    rest = earlier is not None and bool((earlier.measured & ~table.measured).any())
    untied = found.why_not if found and rest else WhyNot.ASSESSED
    wing = table
    if risers.adds_mm.any() or untied:
        deviation_mm = table.deviation_mm + risers.adds_mm
        wing = replace(table, instead_mm=deviation_mm, blocked=blocked or untied)
    return Measured(
        loaded=loaded,
        spread=spread,
        budget=budget,
        risers=risers,
        lines=Estimator(table, lines, structure),
        pitch=PitchEstimator(Estimator(wing, whole_wing, structure), sides, specification.lean_deg),
        thresholds=thresholds,
        carry_over=found,
        carried=carried,
        doubted=doubted,
        misread=misread,
        whole=whole,
    )


def _errors(
    table: LineTable,
    spread: UncertaintyComponents,
    risers: RiserEffect,
    carried: CarriedLines | None,
    thresholds: Thresholds,
) -> tuple[ErrorModel, ErrorModel, ErrorModel]:
    """How the deviations of one measuring err.

    First lines against their limits, as hooked up at the risers' ends; then the wing's angle, where
    risers count; then right minus left, where a row's error cancels but for the part of one side.
    """
    every = np.arange(len(table.row))
    tie = carried.errors(table, thresholds) if carried else ()
    lines = ErrorModel(
        (Shared(spread.line_mm, every), Shared(spread.row_mm, table.row), *tie),
        spread.scale_mm_per_m,
        table.length_m,
    )
    wing = replace(lines, sources=(*lines.sources, *risers.errors(table)))
    sides = replace(
        lines,
        sources=(
            Shared(spread.repeat_mm, every),
            Shared(thresholds.u_row_side_mm, table.row_and_side),
            *risers.errors_between_sides(table),
            *tie,
        ),
    )
    return lines, wing, sides
