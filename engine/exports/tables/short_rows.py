"""Columns that blanks part: where a row has a number less, nothing tells which column it is in.

Only a row whose cells stand below those of the row above tells it, and not where single blanks
part them: `A4 7290` may lack the left or the right.
"""

import re
from collections.abc import Sequence
from itertools import pairwise

from trimscribe.errors import Fault, Mark

_NUMBER = re.compile(r"[-+−]?\d[\d.,'’]*(?:mm|cm|m)?", re.ASCII)

Placed = Sequence[tuple[str, int]]  # texts of a line, each with where it starts


def short_row(rows: Sequence[tuple[int, str, Placed]], file: str) -> Fault | None:
    """The first row of a table that has fewer numbers than the one above, unless it is clear."""
    above: Placed = ()
    for number, line, cells in rows:
        if len(cells) < 2 or not any(_NUMBER.fullmatch(text) for text, _ in cells[1:]):
            above = () if cells else above
        elif not above or _shape(cells) != _shape(above) or len(cells) >= len(above):
            above = cells
        elif _numbers(cells) < _numbers(above) and not _below(cells, above):
            text, start = cells[-1]
            return Fault(
                "columns-not-clear",
                f"Only blanks part the columns, and this row has {len(cells)} of {len(above)}: "
                "which one it lacks is not clear.",
                Mark(file, number, start + 1, len(text), line),
                "Write - where nothing was measured, or export again with semicolons or tabs.",
            )
    return None


def _shape(cells: Placed) -> str:
    """What the first cell looks like: A1 and A12 are alike, a total is not."""
    return re.sub(r"[^\W\d_]+", "a", re.sub(r"\d+", "0", cells[0][0]))


def _numbers(cells: Placed) -> int:
    return sum(bool(_NUMBER.fullmatch(text)) for text, _ in cells)


def _below(cells: Placed, above: Placed) -> bool:
    """Whether each cell starts or ends where that of the row above does, by more than one blank."""
    single = all(start + len(text) + 1 == after for (text, start), (_, after) in pairwise(cells))
    return not single and all(
        one[1] == other[1] or one[1] + len(one[0]) == other[1] + len(other[0])
        for one, other in zip(cells, above, strict=False)
    )
