"""Spreadsheets, XLSX and ODS and XLS, by an import map."""

from dataclasses import dataclass

from trimscribe.contracts import ImportedLength
from trimscribe.errors import Fault, Mark
from trimscribe.model.tables import Sheet, TableFormat


@dataclass(frozen=True)
class WorkbookImporter:
    """Reads the values of all sheets; formulas as they were last worked out, macros never."""

    contract: int = 2
    name: str = "workbook"
    suffixes: tuple[str, ...] = (".xlsx", ".ods", ".xls")

    def read(self, data: bytes, name: str) -> tuple[tuple[ImportedLength, ...], tuple[Fault, ...]]:
        """A spreadsheet does not say what its cells mean: one fault, which asks for a map."""
        return (), (map_needed(name),)

    def tables(
        self, data: bytes, name: str, table_format: TableFormat
    ) -> tuple[tuple[Sheet, ...], tuple[Fault, ...]]:
        """Return the sheets in file order and the faults met; `name` is the file as typed."""
        # The libraries load here: every report asks what reads which ending, few read a workbook.
        if name.lower().endswith(".xls"):
            from trimscribe.exports.tables.old_workbook import old_workbook_sheets

            return old_workbook_sheets(data, name)
        from trimscribe.exports.tables.workbook import workbook_sheets

        return workbook_sheets(data, name)


def map_needed(name: str) -> Fault:
    """The fault of a file that says nothing without a map."""
    return Fault(
        "map-needed",
        f"“{name}” does not say what its values mean.",
        Mark(name),
        "Name an import map beside it (`map`); `trimscribe import --propose` writes one.",
    )


importer = WorkbookImporter()
