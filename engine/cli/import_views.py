"""What an import reports to people and programs: every cell, the counts, or all as data."""

from collections import Counter
from collections.abc import Mapping, Sequence
from pathlib import Path

from trimscribe.cli.faults import counted, fault_data
from trimscribe.cli.output import FORMAT, clean, print_data, print_error, print_result
from trimscribe.errors import Fault, Mark
from trimscribe.exports.editing.merge import MergeResult
from trimscribe.exports.export import Export
from trimscribe.exports.mapping.result import Imported, TargetValue
from trimscribe.model.plain import Plain

_NAMED = 12  # points without a value that are named


def show_cells(export: Export) -> None:
    """A line for each cell in the order of the file: what it became, or why it was left out."""
    lines = {
        cell: f"{place(cell.mark)} → {value.name} = {amount(value)}"
        for value in export.imported.values
        for cell in value.cells
    }
    lines |= {
        one.cell: f"{place(one.cell.mark)} “{one.cell.text[:40]}” left out: {one.reason}"
        for one in export.imported.left_out
    }
    for cell in sorted(lines, key=lambda c: (c.mark.cell.rpartition("!")[0], c.row, c.column)):
        print_result(clean(lines[cell]))


def place(mark: Mark) -> str:
    """Where a cell is: `Sheet1!C14`, or line and column of a text file."""
    return mark.cell or f"{mark.line}:{mark.column}"


def amount(value: TargetValue) -> str:
    """A value as it is shown: lengths with their unit, several readings with their spread."""
    if isinstance(value.value, str):
        return f"“{value.value}”"
    unit = " mm" if value.path[0] in ("before", "after", "specification", "loops") else ""
    spread = ""
    if len(value.cells) > 1:
        spread = f" ({len(value.cells)} readings, {value.spread_mm:g} mm apart)"
    return f"{value.value}{unit}{spread}"


def show_counts(path: Path, export: Export, faults: Sequence[Fault], *, unchanged: bool) -> None:
    """A closing line such as `jig.xlsx: 96 values, 14 cells left out, no faults`."""
    imported = export.imported
    parts = [
        f"{len(imported.values)} value{'s' * (len(imported.values) != 1)}",
        f"{len(imported.left_out)} cell{'s' * (len(imported.left_out) != 1)} left out",
        counted(faults) or "no faults",
    ]
    if export.missing:
        named = ", ".join(export.missing[:_NAMED])
        more = f" and {len(export.missing) - _NAMED} more" * (len(export.missing) > _NAMED)
        print_error(f"without a value: {named}{more}")
    if unchanged:
        parts.append("nothing to change")
    print_error(f"{path.as_posix()}: {', '.join(parts)}")


def show_data(
    code: int,
    path: Path,
    export: Export | None,
    merged: MergeResult | None,
    written: Path | None,
    proposal: Mapping[str, Plain],
) -> None:
    """The whole import as data, in the shape that `FORMAT` stands for.

    `values` have `path`, `value` (lengths in mm), `cells` and `spread_mm`; `left_out` has `cell`,
    `text` and `reason`; `missing` are points of the line set without a value; `difference` is what
    changes in the file, `written` its path when it was written. Where the map was proposed it is
    in `map`, with `questions` that are open (`id`, `kind`, `asks`, `answers` by what each means,
    `number` where any number answers), the `answers` that were taken (give them with --answer),
    `left_out_first` and `because`; while a question is open there are no values.
    """
    export = export or Export(Imported(), (), ())
    print_data(
        {
            "format": FORMAT,
            "exit_code": int(code),
            "export": path.as_posix(),
            "values": [_value_data(value) for value in export.imported.values],
            "left_out": [
                {"cell": place(one.cell.mark), "text": one.cell.text, "reason": one.reason}
                for one in export.imported.left_out
            ],
            "reasons": dict(Counter(one.reason for one in export.imported.left_out)),
            "missing": list(export.missing),
            "difference": merged.difference or None if merged else None,
            "written": written.as_posix() if written else None,
            "faults": [
                *map(fault_data, export.faults),
                *map(fault_data, merged.faults if merged else ()),
            ],
            **proposal,
        }
    )


def _value_data(value: TargetValue) -> Plain:
    return {
        "path": list(value.path),
        "value": value.value,
        "cells": [place(cell.mark) for cell in value.cells],
        "spread_mm": value.spread_mm,
    }
