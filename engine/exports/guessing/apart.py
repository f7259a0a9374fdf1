"""Columns beside the lengths that part the rows: of several wings, or specified beside measured."""

from collections.abc import Iterator

from trimscribe.errors import Fault
from trimscribe.exports.guessing.beside import about_of
from trimscribe.exports.guessing.texts import Context, said_by
from trimscribe.exports.guessing.understand import Understood
from trimscribe.exports.guessing.vocabulary import Vocabulary
from trimscribe.model.tables import Cell

_WING = ("serial number", "wing", "model")
_KINDS = {"specified", "planned", "measured"}


def rows_apart(found: Understood, words: Vocabulary) -> Fault | None:
    """Why the rows of a table are not those of one measured wing, where a column says so."""
    for number in {source.table: None for source in found.sources}:
        table = found.tables[number]
        labels = {label.column for label in table.labels}
        for column in table.block.columns:
            cells = [cell for cell in table.block.cells(column) if cell.row in table.rows]
            if about_of(table.block.headings.get(column, "")) in _WING and column not in labels:
                if other := next((c for c in cells if c.text != cells[0].text), None):
                    return other.fault(
                        "other-wing",
                        f"The lines are of several wings: “{cells[0].text}” and “{other.text}”.",
                        "Leave the rows of one wing in the file.",
                    )
            elif unmeasured := next(_unmeasured(cells, Context(words)), None):
                return unmeasured.fault(
                    "nothing-to-propose",
                    f"This row is “{unmeasured.text}”, others were measured.",
                    "Leave the rows with measured lengths in the file.",
                )
    return None


def _unmeasured(cells: list[Cell], context: Context) -> Iterator[Cell]:
    """The cells that say specified or planned, of a column whose others say measured."""
    said = [said_by(cell.text, context) for cell in cells]
    if "measured" in {one.role for one in said} and all(
        one.role in _KINDS and not one.unknown for one in said
    ):
        yield from (c for c, one in zip(cells, said, strict=True) if one.role != "measured")
