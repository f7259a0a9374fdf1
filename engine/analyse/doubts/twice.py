"""What two measurings of a wing have to say of each other's lengths.

A slip is made in one of them. Where both agree on a length, but for the work in between, it is the
line that differs; and where only some lines were measured again, the others are as they were.
"""

from dataclasses import dataclass

import numpy as np

from trimscribe.analyse.adjustment_effect import effects_of, promised, touched_keys
from trimscribe.analyse.line_table import Bools, LineTable
from trimscribe.analyse.uncertainty import Floats
from trimscribe.model.findings import Doubt, DoubtKind
from trimscribe.model.job import Job

_AGREES = 0.5  # of what is doubted: that much less, and the other measuring says the same
_FEW = 5  # equal lengths that may be chance


@dataclass(frozen=True, eq=False)
class Twice:
    """Two sheets of one wing; `moved` is what each length changed by, in mm, less the work.

    It is not a number where one of them, or what the work promised, is not known. `untouched` are
    the lines that no work may have moved.
    """

    before: LineTable
    after: LineTable
    moved: Floats
    untouched: Bools

    @classmethod
    def of(cls, job: Job, before: LineTable, after: LineTable) -> "Twice":
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
        if self._pasted(where[:2]):
            return False
        return bool(abs(self.moved[where]) <= _AGREES * abs(doubt.found - meant))

    def _pasted(self, column: tuple[int, int]) -> bool:
        """Whether all lengths of a side and group are the same in both: that says nothing."""
        before, after = self.before.length[column], self.after.length[column]
        known = ~np.isnan(before + after)
        return bool(known.sum() > _FEW and (before == after)[known].all())
