"""JSON files, whose records an import map finds by a declared way."""

from dataclasses import dataclass

from trimscribe.contracts import ImportedLength
from trimscribe.errors import Fault
from trimscribe.exports.importers.workbook import map_needed
from trimscribe.exports.tables.json_table import json_sheet
from trimscribe.model.tables import Sheet, TableFormat


@dataclass(frozen=True)
class JsonImporter:
    """Makes one table of the records."""

    contract: int = 2
    name: str = "json"
    suffixes: tuple[str, ...] = (".json",)

    def read(self, data: bytes, name: str) -> tuple[tuple[ImportedLength, ...], tuple[Fault, ...]]:
        """JSON does not say what its values mean: one fault, which asks for a map."""
        return (), (map_needed(name),)

    def tables(
        self, data: bytes, name: str, table_format: TableFormat
    ) -> tuple[tuple[Sheet, ...], tuple[Fault, ...]]:
        """Return the one sheet and the faults met; `name` is the file as typed."""
        return json_sheet(data, name, table_format)


importer = JsonImporter()
