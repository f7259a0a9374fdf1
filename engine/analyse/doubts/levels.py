"""Lines that are off together: one row or side against all others, or all against specified."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

from trimscribe.analyse.line_table import SIDES, Bools, Floats, LineTable
from trimscribe.model.doubts import RISERS, Doubt, DoubtKind
from trimscribe.model.thresholds import Thresholds
from trimscribe.model.wing import Specification

_ENOUGH = 3  # lines that can be off together
_MOST = 0.75  # of them must be that far off, from as many of the others
_SHARED = 2 / 3  # of what all are off by in the median: by less a line is off by itself
_ALONG = 0.5  # of what all rows are off by, from which another line is off with them
_USUAL_RISER_MM = (300.0, 600.0)  # where the specification states no length of a riser
_NEAR_RISER_MM = 50.0  # what a line set may be off besides, where it does


class _Block(NamedTuple):
    """Lines that a slip can shift together, and how people call them."""

    name: str
    at: tuple[str | int, ...]
    cells: Bools


@dataclass(frozen=True)
class LevelDoubts:
    """Finds what is off together, by the rows: brakes and stabilo may be set by themselves."""

    specification: Specification
    thresholds: Thresholds

    def doubts(self, sheet: LineTable, pasted: Iterable[Doubt]) -> tuple[list[Doubt], LineTable]:
        """What is off together, and the sheet without the sides, rows or lists among it.

        Rows that are `pasted` are off for that reason. The widest comes first; of two that are far
        from each other it is the one further from specified.
        """
        doubts: list[Doubt] = []
        judged = sheet.without(_pasted(sheet, pasted))
        while found := self._widest(judged):
            block, gap = found
            doubts.append(
                Doubt(
                    DoubtKind.OFF_TOGETHER, block.name, block.at,
                    sheet.keys(block.cells & sheet.is_row[:, None]), found=gap, expected=0.0,
                    other=self._cause(gap), count=int(_known(judged)[block.cells].sum()),
                )
            )  # fmt: skip
            judged, sheet = judged.without(block.cells), sheet.without(block.cells)
        return [*doubts, *self._common(judged)], sheet

    def _widest(self, sheet: LineTable) -> tuple[_Block, float] | None:
        known = _known(sheet)
        if not (np.abs(_relative(sheet)) > self.thresholds.doubt_row_mm / 2.0).any():
            return None
        found: dict[tuple[int, float], tuple[_Block, float]] = {}
        for block in _blocks(sheet):
            own, rest = (sheet.deviation[cells & known] for cells in (block.cells, ~block.cells))
            if min(own.size, rest.size) < _ENOUGH:
                continue
            gap = float(np.median(own) - np.median(rest))
            if _apart(own, rest) > self.thresholds.doubt_row_mm:
                found.setdefault((own.size, abs(float(np.median(own)))), (block, gap))
        return found[max(found)] if found else None

    def _common(self, sheet: LineTable) -> Iterator[Doubt]:
        """All lines longer or shorter than specified, by more than a line set usually is."""
        deviation = sheet.deviation[_known(sheet)]
        if deviation.size < _ENOUGH:
            return
        offset = float(np.median(deviation))
        shared = deviation * np.sign(offset) > _SHARED * abs(offset)
        if abs(offset) > self.thresholds.doubt_offset_mm and shared.mean() >= _MOST:
            # Whatever moved them has moved brakes and stabilo that are off by about as much, too.
            along = sheet.deviation * np.sign(offset) > _ALONG * abs(offset)
            yield Doubt(
                DoubtKind.OFFSET, f"{sheet.when}.offset", (sheet.when,),
                sheet.keys(sheet.is_row[:, None] | along), found=offset, expected=0.0,
                other=self._cause(offset), count=deviation.size,
            )  # fmt: skip

    def _cause(self, gap_mm: float) -> str:
        """`RISERS` where a riser is about as long as that, with the sign of leaving it in or out.

        Lines longer than specified without risers were measured with them, and the other way round.
        """
        if (gap_mm > 0.0) == self.specification.includes_risers:
            return ""
        stated = [r.trim_mm for r in self.specification.risers.values() if r.trim_mm is not None]
        low, high = (
            (min(stated) - _NEAR_RISER_MM, max(stated) + _NEAR_RISER_MM)
            if stated
            else _USUAL_RISER_MM
        )
        return RISERS if low <= abs(gap_mm) <= high else ""


def _pasted(sheet: LineTable, doubts: Iterable[Doubt]) -> Bools:
    """Both rows of each pair of which one is a copy."""
    pasted = [doubt for doubt in doubts if doubt.kind is DoubtKind.ROWS_EQUAL]
    return sheet.at_lines(key for doubt in pasted for key in doubt.lines)


def _apart(own: Floats, rest: Floats) -> float:
    """How far in mm most of one lie beyond most of the other; below 0 where they mingle."""
    (low, high), (least, most) = (np.quantile(x, (1.0 - _MOST, _MOST)) for x in (own, rest))
    return float(max(low - most, least - high))


def _known(sheet: LineTable) -> Bools:
    return np.asarray(~np.isnan(sheet.deviation) & sheet.is_row[:, None])


def _relative(sheet: LineTable) -> Floats:
    known = sheet.deviation[_known(sheet)]
    return np.asarray(known - np.median(known)) if known.size else known


def _blocks(sheet: LineTable) -> Iterator[_Block]:
    """Both sides, each row, each row on one side."""
    rows = np.flatnonzero(sheet.is_row).tolist()
    for side in range(len(SIDES)):
        yield _Block(*sheet.side(side), sheet.marked(side))
    for row in rows:
        both = sheet.marked(slice(None), row)
        yield _Block(f"{sheet.when}.{sheet.groups[row]}", sheet.first(0, row), both)
        for side in range(len(SIDES)):
            one = sheet.marked(side, row)
            yield _Block(sheet.row_name(side, row), sheet.first(side, row), one)
