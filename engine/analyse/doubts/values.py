"""What looks wrong in the lengths by themselves, before anything is concluded from them."""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace

import numpy as np

from trimscribe.analyse.doubts.copies import copies
from trimscribe.analyse.doubts.lengths import far_lengths
from trimscribe.analyse.doubts.levels import LevelDoubts
from trimscribe.analyse.doubts.order import swapped_neighbours, swapped_rows
from trimscribe.analyse.doubts.reverse import reversed_lists
from trimscribe.analyse.doubts.specification import both_sides_off, specification_doubts
from trimscribe.analyse.doubts.twice import Twice
from trimscribe.analyse.limits import thresholds_of
from trimscribe.analyse.line_table import LineTable, line_table
from trimscribe.analyse.uncertainty import reading_u_mm, repeat_u_mm
from trimscribe.model.findings import Doubt, DoubtKind
from trimscribe.model.job import Job, Measurement
from trimscribe.model.latest import keep_latest
from trimscribe.model.wing import Specification


@keep_latest
def value_doubts(job: Job) -> tuple[Doubt, ...]:
    """Doubts about specified and measured lengths, each with the workshop's word where it gave one.

    Those of the specification come first, then measuring by measuring. Lengths that were
    calculated, not measured, hold no slip.
    """
    return tuple(replace(doubt, confirmed=job.confirmed.get(doubt.name)) for doubt in _found(job))


def _found(job: Job) -> Iterator[Doubt]:
    specification = job.specification
    if specification is None:
        return
    reported: list[Doubt] = [*specification_doubts(specification)]
    wrong = [doubt for doubt in reported if doubt.name not in job.confirmed]
    layout = line_table(specification, {})
    both = [
        (m, _without(layout.with_lengths(m.lengths_mm, when=when), wrong))
        for when, m in (("before", job.before), ("after", job.after))
        if m is not None and m.lengths_mm and not m.calculated
    ]
    twice = Twice.of(job, both[0][1], both[1][1]) if len(both) > 1 else None
    earlier: LineTable | None = None
    for measurement, sheet in both:
        found, sound = _together(job, specification, measurement, sheet, twice)
        reported += found
        around = twice.completed(sound, earlier) if twice and earlier else sound
        known = [*(doubt.name for doubt in reported), *specification.confirmed]
        reported += _singly(job, measurement, sound, around, twice, known)
        earlier = sound
    yield from reported


def _without(sheet: LineTable, specified: Iterable[Doubt]) -> LineTable:
    """The sheet without points whose specified length alone shows that it is wrong.

    What is measured there says nothing of the measuring.
    """
    alone = [doubt for doubt in specified if doubt.kind is DoubtKind.SPECIFIED_LENGTH]
    return sheet.without(sheet.at_lines(key for doubt in alone for key in doubt.lines))


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
