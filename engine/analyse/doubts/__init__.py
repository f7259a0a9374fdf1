"""The analysis `doubts`: what in the measured lengths looks wrong. Nothing is ever changed.

    reverse   lists that were written from the tip to the centre
    order     rows or neighbours that were mixed up
    copies    columns that were pasted, values written several times
    levels    rows or sides that are off as a whole, or the whole wing
    lengths   single lengths far from their neighbours, with what may have been meant
    specification   specified lengths unlike their neighbours, or unlike the wing on both sides
    moves     changes from before to after that no entry explains; sides mixed up in between

What one of them explains is not reported again by the ones below. The limits are tuned on simulated
wings; DEVELOPERS.md says how often they find a slip and how often they are wrong.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from trimscribe.analyse.doubts.copies import copies
from trimscribe.analyse.doubts.lengths import far_lengths
from trimscribe.analyse.doubts.levels import LevelDoubts
from trimscribe.analyse.doubts.moves import moves
from trimscribe.analyse.doubts.order import swapped_neighbours, swapped_rows
from trimscribe.analyse.doubts.reverse import reversed_lists
from trimscribe.analyse.doubts.sheet import LengthSheet, sheet_of
from trimscribe.analyse.doubts.specification import (
    both_sides_off,
    fits_later,
    specification_doubts,
)
from trimscribe.analyse.measurings import thresholds_of
from trimscribe.analyse.uncertainty import reading_u_mm
from trimscribe.contracts import CONTRACT
from trimscribe.model.findings import Doubt, DoubtKind, Findings
from trimscribe.model.job import Job, Measurement
from trimscribe.model.wing import Specification

__all__ = ["Doubts", "analysis"]


@dataclass(frozen=True)
class Doubts:
    """Fills `doubts`: by measuring, each with the workshop's word where it gave one."""

    contract: int = CONTRACT
    name: str = "doubts"
    needs: tuple[str, ...] = ("ledger",)

    def analyse(self, job: Job, findings: Findings) -> Findings:
        """All doubts; what the job confirms without need is one more."""
        found = tuple(
            replace(doubt, confirmed=job.confirmed.get(doubt.name)) for doubt in _all(job, findings)
        )
        known = {doubt.name for doubt in found}
        needless = tuple(
            Doubt(DoubtKind.NOTHING, name, ("confirmed", name))
            for name in job.confirmed
            if name not in known
        )
        return replace(findings, doubts=found + needless)


def _all(job: Job, findings: Findings) -> Iterator[Doubt]:
    specification = job.specification
    if specification is None:
        return
    sheets: list[LengthSheet] = []
    reported: list[Doubt] = [*specification_doubts(specification)]
    for when, measurement in (("before", job.before), ("after", job.after)):
        if measurement is not None and measurement.lengths_mm:
            sheet = sheet_of(specification, measurement, when)
            earlier = sheets[0] if sheets else None
            reported += _one(job, specification, measurement, sheet, earlier, reported)
            sheets.append(sheet)
    if len(sheets) > 1:
        reported = [doubt for doubt in reported if not fits_later(doubt, sheets[-1])]
    yield from reported
    yield from moves(job, findings, reported)


def _one(
    job: Job,
    specification: Specification,
    measurement: Measurement,
    sheet: LengthSheet,
    earlier: LengthSheet | None,
    reported: Sequence[Doubt],
) -> Iterator[Doubt]:
    """The doubts of one measuring by itself, and of one copied from an earlier one."""
    thresholds = thresholds_of(job)
    doubts, sheet = reversed_lists(sheet, thresholds.doubt_length_mm)
    yield from doubts
    doubts, sheet = swapped_rows(sheet)
    yield from doubts
    pasted = tuple(copies(sheet, earlier, reading_u_mm(measurement, thresholds)))
    yield from pasted
    doubts, sheet = LevelDoubts(specification, thresholds).doubts(sheet, pasted)
    yield from doubts
    doubts, sheet = swapped_neighbours(sheet, thresholds.doubt_length_mm)
    yield from doubts
    known = [*(doubt.name for doubt in reported), *specification.confirmed]
    unlike, sheet = both_sides_off(sheet, known)
    yield from unlike
    yield from far_lengths(sheet, thresholds)


analysis = Doubts()
