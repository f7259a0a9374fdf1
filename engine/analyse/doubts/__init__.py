"""The analysis `doubts`: what in the measured lengths looks wrong. Nothing is ever changed.

    order     lists written from the tip, shifted lists, rows or neighbours that were mixed up
    copies    columns that were pasted, values written several times
    levels    rows or sides that are off as a whole, or the whole wing
    lengths   single lengths far from their neighbours, with what may have been meant
    risers    lengths of risers: in each other's place, impossible, or far off
    specification   specified lengths unlike their neighbours, or unlike the wing on both sides
    moves     changes from before to after that no entry explains
    swaps     left and right mixed up from one measuring to the next

The lengths by themselves are looked at first (`value_doubts`), before anything is concluded from
them. What is doubted there is left out of all that others depend on (`Doubt.left_out`), what is not
assessed for that reason says so (`line_set`). What one of them explains is not reported again by
the ones below, nor what both measurings agree on. The limits are tuned on simulated wings;
DEVELOPERS.md says how often they find a slip and how often they are wrong.
"""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np

from trimscribe.analyse.adjustment_effect import effects_of, promised, touched_keys
from trimscribe.analyse.doubts.copies import copies, pasted
from trimscribe.analyse.doubts.lengths import far_lengths
from trimscribe.analyse.doubts.levels import LevelDoubts
from trimscribe.analyse.doubts.moves import moves
from trimscribe.analyse.doubts.order import (
    reversed_lists,
    shifted_lists,
    swapped_neighbours,
    swapped_rows,
)
from trimscribe.analyse.doubts.risers import riser_doubts
from trimscribe.analyse.doubts.specification import both_sides_off, specification_doubts
from trimscribe.analyse.line_table import Bools, Floats, LineTable, line_table
from trimscribe.analyse.uncertainty import reading_u_mm, repeat_u_mm
from trimscribe.contracts import CONTRACT
from trimscribe.model.findings import Doubt, DoubtKind, Findings, Verdict
from trimscribe.model.job import Job, Measurement
from trimscribe.model.latest import keep_latest
from trimscribe.model.thresholds import thresholds_of
from trimscribe.model.wing import Specification

_AGREES = 0.5  # of what is doubted: that much less, and the other measuring says the same


@dataclass(frozen=True)
class Doubts:
    """Fills `doubts`: by measuring, each with the workshop's word where it gave one.

    Where left and right look mixed up no entry of the ledger keeps its verdict.
    """

    contract: int = CONTRACT
    name: str = "doubts"
    needs: tuple[str, ...] = ("ledger",)

    def analyse(self, job: Job, findings: Findings) -> Findings:
        """All doubts; what the job confirms without need is one more."""
        reported = value_doubts(job)
        later = moves(job, findings, reported)
        found = (*reported, *_with_word(job, (*riser_doubts(job), *later)))
        known = {doubt.name for doubt in found}
        needless = tuple(
            Doubt(DoubtKind.NOTHING, name, ("confirmed", name), ())
            for name in job.confirmed
            if name not in known
        )
        ledger = findings.ledger
        if any(d.kind is DoubtKind.SIDES_SWAPPED and d.confirmed is None for d in found):
            # Changes of lines that may stand on the wrong side prove no work, nor its absence.
            ledger = tuple(
                replace(entry, shown=None, verdict=Verdict.NOT_ASSESSED) for entry in ledger
            )
        return replace(findings, ledger=ledger, doubts=found + needless)


def _with_word(job: Job, doubts: Iterable[Doubt]) -> tuple[Doubt, ...]:
    """Each with the workshop's word where it gave one."""
    return tuple(replace(doubt, confirmed=job.confirmed.get(doubt.name)) for doubt in doubts)


@keep_latest
def value_doubts(job: Job) -> tuple[Doubt, ...]:
    """Doubts about specified and measured lengths, each with the workshop's word where it gave one.

    Those of the specification come first, then measuring by measuring. Lengths that were
    calculated, not measured, hold no slip.
    """
    return _with_word(job, _found(job))


def _found(job: Job) -> list[Doubt]:
    specification = job.specification
    if specification is None:
        return []
    reported: list[Doubt] = [*specification_doubts(specification)]
    wrong = [doubt for doubt in reported if doubt.name not in job.confirmed]
    layout = line_table(specification, {})
    both = [
        (m, _without(layout.with_lengths(m.lengths_mm, when=when), wrong))
        for when, m in (("before", job.before), ("after", job.after))
        if m is not None and m.lengths_mm and not m.calculated
    ]
    twice = _Twice.of(job, both[0][1], both[1][1]) if len(both) > 1 else None
    earlier: LineTable | None = None
    for measurement, sheet in both:
        found, sound = _together(job, specification, measurement, sheet, twice)
        reported += found
        around = twice.completed(sound, earlier) if twice and earlier else sound
        known = [*(doubt.name for doubt in reported), *specification.confirmed]
        reported += _singly(job, measurement, sound, around, twice, known)
        earlier = sound
    return reported


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
    twice: "_Twice | None",
) -> tuple[list[Doubt], LineTable]:
    """What is wrong with whole lists of one measuring, and the sheet without them."""
    thresholds = thresholds_of(job)
    earlier = twice.before if twice and sheet is twice.after else None
    backwards, sheet = reversed_lists(sheet, thresholds.doubt_length_mm)
    moved_on, sheet = shifted_lists(sheet, thresholds.doubt_length_mm)
    swapped, sheet = swapped_rows(sheet)
    pasted = [*copies(sheet, earlier, reading_u_mm(measurement, thresholds))]
    off, sheet = LevelDoubts(specification, thresholds).doubts(sheet, pasted)
    return [*backwards, *moved_on, *swapped, *pasted, *off], sheet


def _singly(
    job: Job,
    measurement: Measurement,
    sheet: LineTable,
    around: LineTable,
    twice: "_Twice | None",
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


@dataclass(frozen=True, eq=False)
class _Twice:
    """What two measurings of a wing have to say of each other's lengths.

    A slip is made in one of them. Where both agree on a length, but for the work in between, it is
    the line that differs; and where only some lines were measured again, the others are as they
    were. `moved` is what each length changed by, in mm, less the work: not a number where one of
    them, or what the work promised, is not known. `untouched` are the lines that no work may have
    moved.
    """

    before: LineTable
    after: LineTable
    moved: Floats
    untouched: Bools

    @classmethod
    def of(cls, job: Job, before: LineTable, after: LineTable) -> "_Twice":
        """Both measurings of a job."""
        work, unknown = promised(effects_of(job))
        touched = touched_keys(job)
        promise = np.zeros_like(before.length)
        untouched = np.full(before.length.shape, touched is not None)
        for key in work.keys() | unknown:
            promise[before.place(*key)] = np.nan if key in unknown else work[key]
        for key in touched or ():
            untouched[before.place(*key)] = False
        moved = after.length - before.length - promise
        known = moved[~np.isnan(moved)]
        shift = float(np.median(known)) if known.size else 0.0
        return cls(before, after, moved - shift, untouched)

    def completed(self, sheet: LineTable, earlier: LineTable) -> LineTable:
        """The later sheet with what is known from the earlier one of lines nobody touched."""
        wanted = self.untouched & np.isnan(self.after.length)
        return sheet.completed(earlier.length, wanted)

    def other(self, sheet: LineTable) -> LineTable:
        """The other measuring, the later one with what was not measured again."""
        if sheet.when == self.after.when:
            return self.before
        return self.completed(self.after, self.before)

    def agree(self, doubt: Doubt) -> bool:
        """Whether the other measuring, too, found the length that is doubted."""
        if doubt.kind not in (DoubtKind.LENGTH, DoubtKind.NEIGHBOURS_SWAPPED):
            return False
        meant = doubt.expected if doubt.kind is DoubtKind.LENGTH else doubt.suggested
        if doubt.found is None or meant is None:
            return False
        where = self.after.place(*doubt.lines[0])
        if pasted(self.after.length[where[:2]], self.before.length[where[:2]]):
            return False
        return bool(abs(self.moved[where]) <= _AGREES * abs(doubt.found - meant))


analysis = Doubts()
