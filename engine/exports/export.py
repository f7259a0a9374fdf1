"""An export, its map and a line set: values and faults, before anything is written."""

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from statistics import median

from trimscribe.errors import Fault, InputError, Mark, suggest
from trimscribe.exports.editing.merge import measured, of_line_set
from trimscribe.exports.files import open_file
from trimscribe.exports.guessing.offsets import EVEN_MM, alike, off_by
from trimscribe.exports.guessing.questions import joined
from trimscribe.exports.line_sets import CheckedLineSet
from trimscribe.exports.mapping.extract import import_export, read_lengths
from trimscribe.exports.mapping.load import load_map
from trimscribe.exports.mapping.normalise import Imported, Specified, TargetValue
from trimscribe.exports.mapping.plan import ImportMap
from trimscribe.model.tables import Cell
from trimscribe.model.wing import Side
from trimscribe.registry import Registry
from trimscribe.schemas.faults import FaultList
from trimscribe.validation.lengths import Length, check_slips

# What an importer says of a file that has not the form which says itself what its values are.
_OTHER_FORM = {
    *("map-needed", "unknown-column", "missing-column", "wrong-delimiter", "not-utf-8"),
    *("unclosed-quote", "wrong-encoding"),
}

_MANY = 12  # lengths that are equal to the line set by no chance


@dataclass(frozen=True)
class Export:
    """What an export gives: values, cells left out, faults, and points without a value."""

    imported: Imported
    faults: tuple[Fault, ...]
    missing: tuple[str, ...]


def read_export(
    registry: Registry,
    path: Path,
    map_path: Path | None,
    line_set: CheckedLineSet | None,
    measuring: str,
    data: bytes | None = None,
) -> Export:
    """Read an export by its map, or without one by what the file says itself.

    `measuring` (before or after, or empty) is where lengths belong that do not say it; `data` are
    the bytes where they are not in a file. InputError when the export or the map cannot be read at
    all.
    """
    data = open_file(path) if data is None else data
    if map_path is None:
        return _finished(_plain(registry, data, path, measuring or "before"), line_set, "")
    plan, faults = load_map(open_file(map_path), map_path.as_posix())
    if plan is None:
        raise InputError(faults)
    return import_with(registry, data, path, plan, faults, line_set, measuring)


def import_with(
    registry: Registry,
    data: bytes,
    path: Path,
    plan: ImportMap,
    faults: Sequence[Fault],
    line_set: CheckedLineSet | None,
    measuring: str,
) -> Export:
    """Read an export by a map that was loaded; `faults` are those of the map."""
    imported = import_export(
        registry,
        data,
        path.as_posix(),
        plan,
        Mark(path.as_posix()),
        measuring=measuring,
        specified=line_set.lengths if line_set else {},
    )
    imported = Imported(imported.values, imported.left_out, (*faults, *imported.faults))
    return _finished(imported, line_set, plan.file)


def _finished(imported: Imported, line_set: CheckedLineSet | None, map_name: str) -> Export:
    """What was read, checked against the line set."""
    lengths: Specified = line_set.lengths if line_set else {}
    found = FaultList()
    found.add(*imported.faults)
    found.end_round()
    if lengths:
        nowhere = _check(imported.values, lengths, found)
        values = (value for value in imported.values if value not in nowhere)
        imported = Imported(tuple(values), imported.left_out, imported.faults)
    faults = tuple(found.sorted([map_name] if map_name else []))
    return Export(imported, faults, tuple(_missing(imported.values, lengths)))


def has_plain_form(registry: Registry, data: bytes, path: Path) -> bool:
    """Whether a file says itself what its values are, faulty or not."""
    _, faults = read_lengths(registry, data, path.as_posix(), Mark(path.as_posix()))
    return not any(fault.code in _OTHER_FORM for fault in faults)


def _plain(registry: Registry, data: bytes, path: Path, measuring: str) -> Imported:
    """Lengths of a file that says itself what they are."""
    name = path.as_posix()
    lengths, faults = read_lengths(registry, data, name, Mark(name))
    return Imported(
        tuple(
            TargetValue(
                (measuring, one.side.value, one.group, one.point),
                one.length_mm,
                (Cell(one.mark.line, 0, one.length_mm, one.mark),),
            )
            for one in lengths
            if one.length_mm is not None
        ),
        faults=faults,
    )


def _check(
    values: Sequence[TargetValue], lengths: Specified, faults: FaultList
) -> list[TargetValue]:
    """Rows and points that the line set has, and lengths that can be true.

    Returns the values of lines that it does not have.
    """
    nowhere = []
    rows: dict[str, dict[tuple[Side, str], dict[int, Length]]] = defaultdict(
        lambda: defaultdict(dict)
    )
    for value in filter(measured, values):
        when, side, group, point = value.path
        mark, group, point = value.cells[0].mark, str(group), int(point)
        if group not in lengths:
            message = f"The specification has no row “{group}”."
            faults.error("unknown-row", message, mark, suggest(group, lengths))
            nowhere.append(value)
        elif point > len(lengths[group]):
            faults.error(
                "point-not-in-specification",
                f"{group}{point} does not exist; {group} has {len(lengths[group])} points in the "
                "specification.",
                mark,
            )
            nowhere.append(value)
        else:
            length = Length(float(value.value), mark, value.name)
            rows[str(when)][Side(str(side)), group][point] = length
    for found in rows.values():
        check_slips(found, lengths, faults)
        _check_measured(found, lengths, faults)
        _warn_far_off(found, lengths, faults)
    return nowhere


def _check_measured(
    rows: Mapping[tuple[Side, str], Mapping[int, Length]], lengths: Specified, faults: FaultList
) -> None:
    """Lengths that are equal to the line set, one and all, were never measured."""
    found = [
        (length, lengths[group][point - 1])
        for (_, group), row in rows.items()
        for point, length in row.items()
    ]
    if len(found) >= _MANY and all(length.value == wanted for length, wanted in found):
        faults.error(
            "lengths-are-specified",
            f"All {len(found)} lengths are equal to the line set: specified, not measured.",
            found[0][0].mark,
            "Look which column of the export holds what was measured.",
        )


def _warn_far_off(
    rows: Mapping[tuple[Side, str], Mapping[int, Length]], lengths: Specified, faults: FaultList
) -> None:
    """Lengths of one measuring that no wear explains, as rows and one by one.

    Whatever was answered or a map takes off: what is written is what is compared.
    """
    off = {
        line: {
            point: length.value - wanted
            for point, length in row.items()
            if length.value is not None and (wanted := lengths[line[1]][point - 1])
        }
        for line, row in rows.items()
    }
    middles = {line: median(found.values()) for line, found in off.items() if found}
    for alike_ones in alike(middles):
        shift = median(middles[line] for line in alike_ones)
        if abs(shift) > EVEN_MM:
            first = rows[alike_ones[0]]
            rest = [line for line in middles if line not in alike_ones]
            others = f"; those of {_called(rest, middles)} are not" if rest else ""
            faults.warning(
                "far-off-line-set",
                f"The lengths of {_called(alike_ones, middles)} are {off_by(shift)} than the line "
                f"set's{others}.",
                first[min(first)].mark,
                "A riser or a part of the jig may be in the numbers, or missing in them; `add_mm` "
                "of a map corrects that.",
            )
    for line, found in off.items():
        for point, mm in found.items():
            alone = mm - middles[line]
            if abs(alone) > EVEN_MM:
                length = rows[line][point]
                faults.warning(
                    "far-off-line-set",
                    f"`{length.name}` is {length.value:g} mm, {off_by(alone)} than the rest of its "
                    "row makes likely.",
                    length.mark,
                    "Check the digits, or measure this line again.",
                )


def _called(lines: Sequence[tuple[Side, str]], every: Iterable[tuple[Side, str]]) -> str:
    """Rows for people; with the side where that of the other side is not among them."""
    others = set(every) - set(lines)
    apart = {group for _, group in lines} & {group for _, group in others}
    names = (f"{group} {side}" if group in apart else group for side, group in lines)
    return joined(list(dict.fromkeys(names)))


def _missing(values: Sequence[TargetValue], lengths: Specified) -> Iterator[str]:
    """Points of the line set that a measuring has no length for."""
    there = {value.path for value in values if not of_line_set(value)}
    for when in dict.fromkeys(value.path[0] for value in values if measured(value)):
        for side in Side:
            for group, row in lengths.items():
                for point in range(1, len(row) + 1):
                    if (when, side.value, group, point) not in there:
                        yield f"{when}.{side.value}.{group}.{point}"
