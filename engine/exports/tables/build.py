"""From the values of a sheet and its survey to cells with marks."""

import datetime as dt
from collections import defaultdict
from collections.abc import Mapping

from trimscribe.errors import Mark
from trimscribe.exports.tables.survey import SheetSurvey
from trimscribe.model.tables import Cell, CellKind, CellValue, Sheet, column_letters, shown

_BETWEEN = " │ "  # cells of the row that a fault shows
_LONGEST = 30  # characters of one of them
_NO_VALUE = {CellKind.ERROR: "#error", CellKind.FORMULA: "=…"}  # the library gives none for them


def build_sheet(
    file: str, survey: SheetSurvey, values: Mapping[tuple[int, int], CellValue]
) -> Sheet:
    """A sheet; what lies hidden under a merged cell is left out."""
    merged = tuple(survey.merged)
    unseen = {place: _NO_VALUE[kind] for place, kind in survey.kinds.items() if kind in _NO_VALUE}
    rows: dict[int, dict[int, CellValue]] = defaultdict(dict)
    for (row, column), value in sorted((unseen | dict(values)).items()):
        if not any(r.holds(row, column) and (row, column) != (r.top, r.left) for r in merged):
            rows[row][column] = value
    cells = {}
    for row, line in rows.items():
        for column, (value, mark) in _marked(file, survey.name, row, line).items():
            kind = survey.kinds.get((row, column), CellKind.PLAIN)
            if isinstance(value, dt.date | dt.time | dt.timedelta):
                kind = CellKind.DATE
            cells[row, column] = Cell(row, column, value, mark, kind)
    return Sheet(survey.name, cells, Mark(file, cell=survey.name), merged)


def _marked(
    file: str, sheet: str, row: int, line: Mapping[int, CellValue]
) -> dict[int, tuple[CellValue, Mark]]:
    """Each cell of a row with its mark, which shows the row as one line of text."""
    texts = {column: " ".join(shown(value).split())[:_LONGEST] for column, value in line.items()}
    source, start, marked = _BETWEEN.join(texts.values()), 1, {}
    for column, value in line.items():
        width = len(texts[column])
        place = f"{sheet}!{column_letters(column)}{row}"
        marked[column] = (value, Mark(file, row, start, max(1, width), source, place))
        start += width + len(_BETWEEN)
    return marked
