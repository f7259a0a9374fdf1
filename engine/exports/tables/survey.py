"""What a workbook's XML says before the library that reads its values may open it.

The library allocates a whole rectangle up to the farthest cell, and leaves out what an error was,
what a percentage and which formula was never worked out. So every part is walked once with expat:
far cells, repeated rows and document types (the way to entities) are refused, and what the library
does not tell is noted.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from xml.parsers import expat

from trimscribe.exports.tables.limits import MOST_CELLS, MOST_COLUMNS, MOST_ROWS, MOST_SHEETS
from trimscribe.model.tables import CellKind, Range

Attributes = Mapping[str, str]


class RefusedError(Exception):
    """The workbook may not be opened: a fault code, what is too many if so, and the cap."""

    def __init__(self, code: str, what: str = "", most: int = 0) -> None:
        """Take the code of the fault."""
        super().__init__(code)
        self.code, self.what, self.most = code, what, most


@dataclass
class SheetSurvey:
    """One sheet: kinds of cells that are not plain by row and column, and merged ranges."""

    name: str
    kinds: dict[tuple[int, int], CellKind] = field(default_factory=dict)
    merged: list[Range] = field(default_factory=list)


class Surveyor:
    """Counts what all sheets hold against the caps."""

    def __init__(self) -> None:
        """Begin with nothing."""
        self.cells = 0
        self.sheets: list[SheetSurvey] = []

    def sheet(self, name: str) -> SheetSurvey:
        """A further sheet."""
        if len(self.sheets) >= MOST_SHEETS:
            raise RefusedError("table-too-large", "sheets", MOST_SHEETS)
        self.sheets.append(SheetSurvey(name))
        return self.sheets[-1]

    def count(self, bottom: int, right: int, cells: int = 1) -> None:
        """Cells with a content, of which the last is at this row and column."""
        self.cells += cells
        for found, most, what in (
            (bottom, MOST_ROWS, "rows"),
            (right, MOST_COLUMNS, "columns"),
            (self.cells, MOST_CELLS, "cells"),
        ):
            if found > most:
                raise RefusedError("table-too-large", what, most)


def walk(
    data: bytes,
    start: Callable[[str, Attributes], None],
    end: Callable[[str], None] | None = None,
    text: Callable[[str], None] | None = None,
) -> None:
    """Go through one XML part; names come without their prefixes, attributes also with them.

    Raises RefusedError where a document type is declared or the XML is broken.
    """
    parser = expat.ParserCreate()

    def refuse(*_: object) -> None:
        raise RefusedError("workbook-not-plain")

    parser.StartDoctypeDeclHandler = refuse
    parser.EntityDeclHandler = refuse
    parser.StartElementHandler = lambda name, attributes: start(
        _local(name), attributes | {_local(key): value for key, value in attributes.items()}
    )
    if end:
        parser.EndElementHandler = lambda name: end(_local(name))
    if text:
        parser.CharacterDataHandler = text
    try:
        parser.Parse(data, True)
    except (expat.ExpatError, LookupError) as error:  # not XML, or in an unknown encoding
        raise RefusedError("workbook-broken") from error


def _local(name: str) -> str:
    return name.rpartition(":")[2]
