"""An export and its map: from bytes to values, by the importer that knows such files."""

from collections.abc import Sequence
from typing import TYPE_CHECKING, TypeVar

from trimscribe.contracts import ImportedLength, Importer, TableImporter
from trimscribe.errors import Fault, Mark
from trimscribe.exports.mapping.normalise import Specified, normalise
from trimscribe.exports.mapping.plan import ImportMap
from trimscribe.exports.mapping.result import Imported
from trimscribe.exports.mapping.take import take
from trimscribe.hints import suggest
from trimscribe.model.tables import Sheet, TableFormat
from trimscribe.model.wing import Side

if TYPE_CHECKING:
    from trimscribe.registry import Registry

__all__ = ["find_importer", "import_export", "lengths_of", "sheets_of"]


AnyImporter = TypeVar("AnyImporter", bound=Importer)


def find_importer(
    importers: Sequence[AnyImporter], name: str, mark: Mark, kind: str = ""
) -> AnyImporter | Fault:
    """The importer of that `kind`, else the first that reads files with this ending.

    One that somebody installed comes before the built-in ones.
    """
    for importer in sorted(importers, key=_is_built_in):
        if importer.name == kind if kind else name.lower().endswith(tuple(importer.suffixes)):
            return importer
    if kind:
        message = f"There is no importer “{kind}” that a map can use."
        return Fault("no-importer", message, mark, suggest(kind, [one.name for one in importers]))
    suffixes = ", ".join(suffix for importer in importers for suffix in importer.suffixes)
    return Fault(
        "no-importer",
        f"No importer reads a file such as “{name}”.",
        mark,
        f"Files that can be read end in {suffixes}.",
    )


def _is_built_in(importer: Importer) -> bool:
    return type(importer).__module__.partition(".")[0] == "trimscribe"


def sheets_of(
    registry: "Registry", data: bytes, name: str, table_format: TableFormat, mark: Mark
) -> tuple[Sequence[Sheet], tuple[Fault, ...]]:
    """The cells of an export; `mark` is where the file is named."""
    able = [one for one in registry.all("importers") if isinstance(one, TableImporter)]
    importer = find_importer(able, name, mark, table_format.kind)
    if isinstance(importer, Fault):
        return (), (importer,)
    sheets, faults = importer.tables(data, name, table_format)
    return [sheet for sheet in sheets if sheet.cells], faults


def import_export(
    registry: "Registry",
    data: bytes,
    name: str,
    plan: ImportMap,
    mark: Mark,
    *,
    measuring: str = "",
    specified: Specified | None = None,
) -> Imported:
    """All values of one export and every fault; `name` is the file as typed.

    `measuring` is where lengths belong that do not say it, else the map's own word holds.
    """
    sheets, faults = sheets_of(registry, data, name, plan.table_format, mark)
    if not sheets:
        empty = Fault("empty-file", "There is nothing in this file.", Mark(name))
        return Imported(faults=faults or (empty,))
    imported = normalise(take(sheets, plan), plan, measuring or plan.measuring, specified)
    return Imported(imported.values, imported.left_out, (*faults, *imported.faults))


def lengths_of(
    imported: Imported, measuring: str, name: str
) -> tuple[tuple[ImportedLength, ...], tuple[Fault, ...]]:
    """The lengths of one measuring, and the faults; that there are none is one."""
    lengths = tuple(
        ImportedLength(
            side=Side(str(value.path[1])),
            group=str(value.path[2]),
            point=int(value.path[3]),
            length_mm=float(value.value),
            mark=value.cells[0].mark,
        )
        for value in imported.values
        if value.path[0] == measuring
    )
    if lengths or imported.faults:
        return lengths, imported.faults
    return (), (
        Fault(
            "no-values",
            f"With this map the file gives no lengths for `{measuring}`.",
            Mark(name),
            "`trimscribe import --dry-run` shows what becomes of every cell.",
        ),
    )
