"""Imported values into the text of a job or a line set, and what that changes."""

import difflib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from trimscribe.errors import Fault, Severity
from trimscribe.exports.editing.edit import edit, merged
from trimscribe.exports.editing.yaml_text import scalar
from trimscribe.exports.mapping.normalise import Specified, TargetValue
from trimscribe.marked_yaml import LoadedYaml, ValuePath, load
from trimscribe.model.wing import BRAKE, BRAKE_MAIN, STABILO
from trimscribe.schemas.faults import shown
from trimscribe.schemas.job import JobFileSchema, MeasurementSchema
from trimscribe.schemas.specification import SpecificationFileSchema

_WHEN = ("before", "after")
_IDENTITY = {"adjustments": ("line", "side"), "readings": ("place",)}


@dataclass(frozen=True)
class MergeResult:
    """The new text, its difference from the old, and what is in the way of writing it."""

    text: str
    difference: str
    faults: tuple[Fault, ...]


def measured(value: TargetValue) -> bool:
    """Whether a value is a measured length."""
    return value.path[0] in _WHEN


def of_line_set(value: TargetValue) -> bool:
    """Whether a value belongs into a line set, and not into a job."""
    return value.path[0] == "specification"


def merge(
    loaded: LoadedYaml, values: Sequence[TargetValue], specified: Specified, *, force: bool = False
) -> MergeResult:
    """Lay values into a file that was loaded; it is a line set if the values are of one.

    A value that differs from one in the file is a fault, or with `force` a warning; so is one whose
    place cannot be edited without touching anything else.
    """
    if loaded.faults or not isinstance(loaded.data, Mapping):
        return MergeResult(loaded.text.whole, "", loaded.faults or (_unsafe(loaded),))
    if loaded.text.file.lower().endswith(".json"):
        return MergeResult(loaded.text.whole, "", (_unsafe(loaded),))
    faults = list(_named_files(loaded, values))
    if any(map(of_line_set, values)):
        wanted = line_set_tree(values)
    else:
        wanted = _job(loaded.data, values, specified)
    edited = edit(loaded, wanted, _order(specified), _identity, force=force)
    faults += [
        Fault(
            "value-differs",
            f"`{shown(one.path)}` is {scalar(one.old)} in the file and {scalar(one.new)} in "
            "the export.",
            loaded.mark(one.path),
            "" if force else "Check which is right; --force replaces what is in the file.",
            Severity.WARNING if force else Severity.ERROR,
        )
        for one in edited.differences
    ]
    if not _reads_back(edited.text, loaded, wanted, force):
        faults.append(_unsafe(loaded))
    return MergeResult(edited.text, _difference(loaded, edited.text), tuple(faults))


def _named_files(loaded: LoadedYaml, values: Sequence[TargetValue]) -> list[Fault]:
    """A measuring that names a file has its lengths there, and none in the job."""
    return [
        Fault(
            "measuring-names-a-file",
            f"`{when}` names a file for its lengths already.",
            loaded.mark((when, "file")),
            "Name this export and its map there, or delete the line to have lengths in the job.",
        )
        for when in _WHEN
        if (when, "file") in loaded.marks and any(value.path[0] == when for value in values)
    ]


def _job(
    data: Mapping[str, Any], values: Sequence[TargetValue], specified: Specified
) -> dict[str, Any]:
    """The tree that a job shall have; a point without a value is None."""
    wanted: dict[str, Any] = {}
    for value in values:
        first = value.path[0]
        if first in _WHEN:
            when, side, group, point = map(str, value.path)
            lines = wanted.setdefault(when, {}).setdefault(side, {})
            lengths = lines.setdefault(group, [None] * len(specified.get(group, ())))
            lengths += [None] * (int(point) - len(lengths))
            lengths[int(point) - 1] = value.value
        elif first == "loops":
            _, maillon, loop = map(str, value.path)
            wanted.setdefault("loops", {}).setdefault(maillon, {})[loop] = value.value
        else:
            _record(wanted, value)
    for when in _WHEN:
        for side, lines in wanted.get(when, {}).items():
            wanted[when][side] = {name: lines[name] for name in _sorted(lines, specified)}
            alone = lines.get(BRAKE_MAIN)
            there = ((data.get(when) or {}).get(side) or {}).get(BRAKE_MAIN)
            if alone and len(alone) == 1 and there is None:
                wanted[when][side][BRAKE_MAIN] = alone[0]
    porosity = (wanted.get("cloth") or {}).get("porosity")
    if porosity and "unit" not in ((data.get("cloth") or {}).get("porosity") or {}):
        wanted["cloth"]["porosity"] = {"unit": None, **porosity}  # the export does not say it
    return wanted


def _record(wanted: dict[str, Any], value: TargetValue) -> None:
    *start, number, name = value.path
    place = wanted
    for part in start[:-1]:
        place = place.setdefault(str(part), {})
    records = place.setdefault(str(start[-1]), [])
    records += [{} for _ in range(int(number) - len(records))]
    records[int(number) - 1][str(name)] = value.value


def line_set_tree(values: Sequence[TargetValue]) -> dict[str, Any]:
    """The tree that a line set shall have."""
    lengths: dict[str, list[Any]] = {}
    for value in values:
        if of_line_set(value):
            _, group, point = value.path
            row = lengths.setdefault(str(group), [])
            row += [None] * (int(point) - len(row))
            row[int(point) - 1] = value.value
    wanted: dict[str, Any] = {}
    for group, row in lengths.items():
        if group == STABILO:
            wanted["stabilo_mm"] = row
        elif group == BRAKE:
            wanted.setdefault("brake", {})["fan_mm"] = row
        elif group == BRAKE_MAIN:
            wanted.setdefault("brake", {})["main_mm"] = row[0]
        else:
            wanted.setdefault("rows", {})[group] = {"lengths_mm": row}
    return wanted


def _sorted(names: Mapping[str, Any], specified: Specified) -> list[str]:
    order = [*specified, *names]
    return sorted(names, key=order.index)


def _order(specified: Specified) -> Any:
    def order(path: ValuePath) -> Sequence[str]:
        """Keys of a mapping in the order that schema or line set gives them."""
        if not path:
            return list({**SpecificationFileSchema().fields, **JobFileSchema().fields})
        if path in (("before",), ("after",)):
            return list(MeasurementSchema().fields)
        if len(path) == 2 and path[0] in _WHEN:
            return list(specified)
        return ()

    return order


def _identity(path: ValuePath) -> Sequence[str]:
    return _IDENTITY.get(str(path[-1]), ())


def _difference(loaded: LoadedYaml, text: str) -> str:
    name = loaded.text.file
    lines = difflib.unified_diff(
        loaded.text.whole.splitlines(), text.splitlines(), name, name, lineterm="", n=1
    )
    return "\n".join(lines)


def _reads_back(text: str, loaded: LoadedYaml, wanted: Mapping[str, Any], force: bool) -> bool:
    """Whether the new text holds the old values and the wanted ones, and nothing else."""
    found = load(text.encode(), loaded.text.file)
    return not found.faults and found.data == merged(loaded.data, wanted, _identity, force=force)


def _unsafe(loaded: LoadedYaml) -> Fault:
    return Fault(
        "layout-not-safe",
        "This file is laid out in a way that cannot be edited without touching other things.",
        loaded.text.start,
        "Write the values in by hand, or name the export and its map under `file` and `map`.",
    )
