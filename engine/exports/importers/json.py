"""JSON files: records as a table, found by a declared way such as `lines.*.readings.*`.

Each word of the way is a key; `*` is every key of a mapping or every place of a list (counted from
1), `before|after` each of these keys. Either becomes a column of its own, `key 1`, `key 2`, … in
the order of the way. What is at the end is a record, whose keys become columns (`length.value` for
one inside another, `readings.1` for the first of a list), or a single value, in the column `value`.
The first row holds the names of the columns.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from trimscribe.contracts import ImportedLength
from trimscribe.errors import Fault, Mark, suggest
from trimscribe.exports.importers.workbook import map_needed
from trimscribe.exports.tables.limits import MOST_CELLS, MOST_COLUMNS, MOST_ROWS, too_many
from trimscribe.marked_yaml import LoadedYaml, ValuePath, load
from trimscribe.model.tables import Cell, Sheet, TableFormat

_JsonRow = dict[str, tuple[Any, Mark]]


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
        loaded = load(data, name)
        if loaded.data is None or loaded.faults:
            return (), loaded.faults
        way = tuple(part for part in table_format.records.split(".") if part)
        faults: list[Fault] = []
        records = []
        for record in _records(loaded, loaded.data, way, (), faults):
            records.append(record)
            if len(records) > MOST_ROWS:
                return (), (*faults, too_many("records", MOST_ROWS, loaded.text.start))
        columns = list(dict.fromkeys(column for record in records for column in record))
        if not records:
            faults = faults or [_nothing(way, loaded)]
            return (), tuple(faults)
        if len(columns) > MOST_COLUMNS:
            return (), (too_many("columns", MOST_COLUMNS, loaded.text.start),)
        if len(columns) * len(records) > MOST_CELLS:
            return (), (too_many("cells", MOST_CELLS, loaded.text.start),)
        return (_sheet(columns, records, loaded),), tuple(faults)


def _sheet(columns: list[str], records: list[_JsonRow], loaded: LoadedYaml) -> Sheet:
    start = loaded.text.start
    cells = {(1, at): Cell(1, at, column, start) for at, column in enumerate(columns, 1)}
    for row, record in enumerate(records, 2):
        for at, column in enumerate(columns, 1):
            value, mark = record.get(column, (None, start))
            if value is not None and value != "":
                cells[row, at] = Cell(row, at, value, mark)
    return Sheet("", cells, start)


def _records(
    loaded: LoadedYaml, value: Any, way: tuple[str, ...], place: ValuePath, faults: list[Fault]
) -> Iterator[_JsonRow]:
    """Every record at the end of the way; a key that is not there is reported once."""
    for at in _ends(loaded, value, way, place, faults):
        keys = [n for n, word in enumerate(way) if word == "*" or "|" in word]
        record: _JsonRow = {}
        for number, depth in enumerate(keys, 1):
            key, path = at[depth], at[: depth + 1]
            mark = loaded.keys.get(path) or loaded.mark(path)
            record[f"key {number}"] = (key if isinstance(key, str) else key + 1, mark)
        yield record | _record(loaded, at)


def _ends(
    loaded: LoadedYaml, value: Any, way: tuple[str, ...], place: ValuePath, faults: list[Fault]
) -> Iterator[ValuePath]:
    if not way:
        yield place
        return
    first, rest = way[0], way[1:]
    named = [one for one in first.split("|") if one]
    if "|" in first and isinstance(value, Mapping) and {*named} <= {*value}:
        for one in named:
            yield from _ends(loaded, value[one], rest, (*place, one), faults)
    elif first == "*" and isinstance(value, Mapping | list):
        for key, below in value.items() if isinstance(value, Mapping) else enumerate(value):
            yield from _ends(loaded, below, rest, (*place, key), faults)
    elif isinstance(value, Mapping) and first in value:
        yield from _ends(loaded, value[first], rest, (*place, first), faults)
    else:
        fault = Fault(
            "records-not-found",
            f"There is no `{first}` here, which the way to the records goes over.",
            loaded.mark(place),
            suggest(first, value if isinstance(value, Mapping) else ()),
        )
        if fault not in faults:
            faults.append(fault)


def _record(loaded: LoadedYaml, place: ValuePath) -> _JsonRow:
    value = loaded.data
    for key in place:
        value = value[key]
    if isinstance(value, Mapping):
        return {
            ".".join(name): (leaf, loaded.mark((*place, *path)))
            for name, path, leaf in _leaves(value)
        }
    leaf = None if isinstance(value, list) else value
    return {"value": (leaf, loaded.mark(place))}


def _leaves(value: Any) -> Iterator[tuple[tuple[str, ...], ValuePath, Any]]:
    """Single values of a record by name and path; those of a list inside are counted from 1."""
    if not isinstance(value, Mapping | list):
        yield (), (), value
        return
    for key, below in value.items() if isinstance(value, Mapping) else enumerate(value):
        if isinstance(value, list) and isinstance(below, Mapping | list):
            continue  # records in records: the way to them is another
        for name, path, leaf in _leaves(below):
            yield (str(key + 1 if isinstance(value, list) else key), *name), (key, *path), leaf


def _nothing(way: tuple[str, ...], loaded: LoadedYaml) -> Fault:
    return Fault(
        "records-not-found",
        f"There are no records at `{'.'.join(way) or 'the top'}`.",
        loaded.text.start,
        "Say in the map where they are, such as `records: lines.*`.",
    )


importer = JsonImporter()
