"""An export and its map: from bytes to values, by the importer that knows such files."""

import re
from collections.abc import Callable, Sequence
from dataclasses import replace
from typing import TypeVar

from trimscribe.contracts import ImportedLength, Importer, TableImporter
from trimscribe.errors import Fault, Mark, suggest
from trimscribe.exports.mapping.normalise import Imported, Specified, normalise
from trimscribe.exports.mapping.plan import ImportMap
from trimscribe.exports.mapping.take import take
from trimscribe.model.tables import Sheet, TableFormat
from trimscribe.model.wing import GROUP_NAME, Side
from trimscribe.registry import Registry
from trimscribe.validation.lengths import beyond_all_lines

AnyImporter = TypeVar("AnyImporter", bound=Importer)
AnyPart = TypeVar("AnyPart")
_Read = tuple[tuple[ImportedLength, ...], tuple[Fault, ...]]


def importers_for(
    importers: Sequence[AnyImporter], name: str, mark: Mark, kind: str = ""
) -> list[AnyImporter] | Fault:
    """The importer of that `kind`, else all that read files with this ending, in their order.

    Those that somebody installed come before the built-in ones.
    """
    found = [
        importer
        for importer in sorted(importers, key=_is_built_in)
        if (importer.name == kind if kind else name.lower().endswith(_endings(importer)))
    ]
    if found:
        return found
    if kind:
        message = f"There is no importer “{kind}” that a map can use."
        return Fault("no-importer", message, mark, suggest(kind, [one.name for one in importers]))
    suffixes = ", ".join(dict.fromkeys(s for importer in importers for s in _endings(importer)))
    return Fault(
        "no-importer",
        f"No importer reads a file such as “{name}”.",
        mark,
        f"Files that can be read end in {suffixes}.",
    )


def _endings(importer: Importer) -> tuple[str, ...]:
    """Of the files that it reads, however somebody writes them."""
    return tuple(suffix.lower() for suffix in importer.suffixes)


def _is_built_in(importer: Importer) -> bool:
    return type(importer).__module__.partition(".")[0] == "trimscribe"


def read_lengths(
    registry: Registry, data: bytes, name: str, mark: Mark
) -> tuple[Sequence[ImportedLength], tuple[Fault, ...]]:
    """The lengths of an export that says itself what they are; `mark` is where it is named.

    Whoever has read it: each is one that a line can have, and of a point there is no second.
    """
    found = importers_for(list(registry.all("importers")), name, mark)
    return _first_answer(found, lambda one: _sound(one.read(data, name)), name, mark)


def _sound(answer: _Read | None) -> _Read | None:
    """What an importer has read, with faults in place of lengths that cannot be."""
    if answer is None:
        return None
    lengths, faults = answer
    kept: dict[tuple[Side, str, int], ImportedLength] = {}
    for one in lengths:
        line = (one.side, one.group, one.point)
        if fault := _no_point(one, kept.get(line)) or beyond_all_lines(one):
            faults = (*faults, fault)
        else:
            kept[line] = one
    return (*kept.values(),), faults


def _no_point(one: ImportedLength, other: ImportedLength | None) -> Fault | None:
    """What is wrong with the row and point of a length, `other` being one of the same."""
    if not re.fullmatch(GROUP_NAME, one.group):
        message = f"“{one.group}” cannot be the name of a row."
        return Fault("bad-row-name", message, one.mark, "Row and point are two things.")
    if one.point < 1:
        message = f"{one.point} is not a point; they count from 1, from the centre to the tip."
        return Fault("point-not-a-number", message, one.mark)
    if other:
        message = f"{one.group}{one.point} {one.side} was already given at {other.mark}."
        return Fault("duplicate-point", message, one.mark, "Keep one of the two.")
    return None


def _first_answer(
    found: Sequence[AnyImporter] | Fault,
    ask: Callable[[AnyImporter], tuple[Sequence[AnyPart], tuple[Fault, ...]] | None],
    name: str,
    mark: Mark,
) -> tuple[Sequence[AnyPart], tuple[Fault, ...]]:
    """What the first importer says that does not decline the file by None."""
    if isinstance(found, Fault):
        return (), (found,)
    for importer in found:
        answer = ask(importer)
        if answer is not None:
            return answer[0], answer[1] if _is_built_in(importer) else _named(importer, answer[1])
    tried = ", ".join(f"“{one.name}”" for one in found)
    return (), (Fault("no-importer", f"“{name}” is not a file that {tried} can read.", mark),)


def _named(importer: Importer, faults: tuple[Fault, ...]) -> tuple[Fault, ...]:
    """The faults, the first with the importer that took the file, which nobody asked for it."""
    whose = f"It was read by the importer “{importer.name}”, which another package adds."
    return (*(replace(f, hint=f"{f.hint} {whose}".strip()) for f in faults[:1]), *faults[1:])


def sheets_of(
    registry: Registry, data: bytes, name: str, table_format: TableFormat, mark: Mark
) -> tuple[Sequence[Sheet], tuple[Fault, ...]]:
    """The cells of an export; `mark` is where the file is named."""
    every = list(registry.all("importers"))
    able = [one for one in every if isinstance(one, TableImporter)]
    found = importers_for(able, name, mark, table_format.kind)
    readers = importers_for(every, name, mark)
    if isinstance(found, Fault) and not isinstance(readers, Fault) and not table_format.kind:
        message = f"The importer “{readers[0].name}” reads “{name}” by itself, without a map."
        return (), (Fault("no-importer", message, mark, "Name the export alone, as `file`."),)
    sheets, faults = _first_answer(
        found, lambda one: one.tables(data, name, table_format), name, mark
    )
    return [sheet for sheet in sheets if sheet.cells], faults


def import_export(
    registry: Registry,
    data: bytes,
    name: str,
    plan: ImportMap,
    mark: Mark,
    *,
    measuring: str = "",
    specified: Specified | None = None,
) -> Imported:
    """All values of one export and every fault; `name` is the file as typed.

    `measuring` is where lengths belong that do not say it, else the map's own word holds, else they
    are from before.
    """
    sheets, faults = sheets_of(registry, data, name, plan.table_format, mark)
    if not sheets:
        empty = Fault("empty-file", "There is nothing in this file.", Mark(name))
        return Imported(faults=faults or (empty,))
    measuring = measuring or plan.measuring or "before"
    imported = normalise(take(sheets, plan), plan, measuring, specified or {})
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
