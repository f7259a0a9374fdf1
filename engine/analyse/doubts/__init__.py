"""The analysis `doubts`: what in the measured lengths looks wrong. Nothing is ever changed.

    reverse   lists that were written from the tip to the centre
    order     rows or neighbours that were mixed up
    copies    columns that were pasted, values written several times
    levels    rows or sides that are off as a whole, or the whole wing
    lengths   single lengths far from their neighbours, with what may have been meant
    specification   specified lengths unlike their neighbours, or unlike the wing on both sides
    twice     what both measurings agree on, which is not a slip of one of them
    moves     changes from before to after that no entry explains; sides mixed up in between

What one of them explains is not reported again by the ones below. The limits are tuned on simulated
wings; DEVELOPERS.md says how often they find a slip and how often they are wrong.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np

from trimscribe.analyse.doubts.copies import copies
from trimscribe.analyse.doubts.lengths import far_lengths
from trimscribe.analyse.doubts.levels import LevelDoubts
from trimscribe.analyse.doubts.moves import moves
from trimscribe.analyse.doubts.order import swapped_neighbours, swapped_rows
from trimscribe.analyse.doubts.reverse import reversed_lists
from trimscribe.analyse.doubts.specification import both_sides_off, specification_doubts
from trimscribe.analyse.doubts.twice import Twice
from trimscribe.analyse.line_table import LineTable, line_table
from trimscribe.analyse.measurings import thresholds_of
from trimscribe.analyse.uncertainty import reading_u_mm, repeat_u_mm
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
    both = [
        (m, line_table(specification, m.lengths_mm, when=when))
        for when, m in (("before", job.before), ("after", job.after))
        if m is not None and m.lengths_mm
    ]
    twice = Twice.of(job, both[0][1], both[1][1]) if len(both) > 1 else None
    reported: list[Doubt] = [*specification_doubts(specification)]
    earlier: LineTable | None = None
    for measurement, sheet in both:
        found, sound = _together(job, specification, measurement, sheet, twice)
        reported += found
        around = twice.completed(sound, earlier) if twice and earlier else sound
        known = [*(doubt.name for doubt in reported), *specification.confirmed]
        reported += _singly(job, measurement, sound, around, twice, known)
        earlier = sound
    yield from reported
    yield from moves(job, findings, reported)


def _together(
    job: Job,
    specification: Specification,
    measurement: Measurement,
    sheet: LineTable,
    twice: Twice | None,
) -> tuple[list[Doubt], LineTable]:
    """What is wrong with whole lists of one measuring, and the sheet without them."""
    thresholds = thresholds_of(job)
    earlier = twice.before if twice and sheet is twice.after else None
    backwards, sheet = reversed_lists(sheet, thresholds.doubt_length_mm)
    swapped, sheet = swapped_rows(sheet)
    pasted = [*copies(sheet, earlier, reading_u_mm(measurement, thresholds))]
    off, sheet = LevelDoubts(specification, thresholds).doubts(sheet, pasted)
    return [*backwards, *swapped, *pasted, *off], sheet


def _singly(
    job: Job,
    measurement: Measurement,
    sheet: LineTable,
    around: LineTable,
    twice: Twice | None,
    known: Sequence[str],
) -> Iterator[Doubt]:
    """Single lengths that are wrong, but for doubts that are `known`.

    `around` is the sheet with lines that were measured before and not again.
    """
    thresholds = thresholds_of(job)

    def agreed(doubt: Doubt) -> bool:
        # What was confirmed from the first measuring is not confirmed without need.
        return twice is not None and doubt.name not in job.confirmed and twice.agree(doubt)

    found, rest = swapped_neighbours(sheet, thresholds.doubt_length_mm, around)
    doubts = [doubt for doubt in found if not agreed(doubt)]
    if doubts:
        yield from doubts
        around, sheet = around.without(np.isnan(rest.length) & ~np.isnan(sheet.length)), rest
    other = twice.other(sheet) if twice else None
    unlike, rest = both_sides_off(around, known, other)
    yield from unlike
    sheet = sheet.without(np.isnan(rest.length))
    repeat = repeat_u_mm(measurement, thresholds)
    far = far_lengths(sheet, thresholds, repeat, rest)
    yield from (doubt for doubt in far if not agreed(doubt))


analysis = Doubts()
