"""An import map as data, checked."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from decimal import Decimal

from trimscribe.errors import Mark
from trimscribe.exports.mapping.forms import Form, Parts
from trimscribe.model.tables import Range, TableFormat


@dataclass(frozen=True)
class ColumnRef:
    """Which column: by heading or by number, one of the two."""

    heading: str = ""
    column: int = 0


@dataclass(frozen=True)
class Numbers:
    """How numbers are written and what they mean.

    `factor` turns the unit into mm; `sign` is -1 where a longer line has a negative deviation;
    `add_mm` is by row, with "" for all others.
    """

    decimal: str = "."
    thousands: str = ""
    unit: str = "mm"
    factor: Decimal = Decimal(1)
    deviation: bool = False
    sign: int = 1
    add_mm: Mapping[str, Decimal] = field(default_factory=dict)
    empty: frozenset[str] = frozenset()


@dataclass(frozen=True)
class LabelColumn:
    """A column that says which line a row is about; the first form that fits holds."""

    place: ColumnRef
    forms: tuple[Form, ...]
    fill: bool
    mark: Mark


@dataclass(frozen=True)
class ValueColumn:
    """A column with lengths; with `forms`, all whose headings fit one of them."""

    place: ColumnRef
    forms: tuple[Form, ...]
    parts: Parts
    mark: Mark


@dataclass(frozen=True)
class FieldColumn:
    """A column of records, or with `always` a value that all of them have."""

    place: ColumnRef
    field: str
    always: str
    mark: Mark


@dataclass(frozen=True)
class TablePlan:
    """One table: where it is and what its columns are."""

    gives: str
    sheet: str
    below: str
    until: str
    cells: Range | None
    header: tuple[int, ...]
    skip: tuple[str, ...]
    parts: Parts
    labels: tuple[LabelColumn, ...]
    values: tuple[ValueColumn, ...]
    columns: tuple[FieldColumn, ...]
    mark: Mark

    @property
    def headings(self) -> tuple[str, ...]:
        """All headings that must be there."""
        places = [
            *(label.place for label in self.labels),
            *(value.place for value in self.values),
            *(column.place for column in self.columns),
        ]
        return tuple(place.heading for place in places if place.heading)


@dataclass(frozen=True)
class ImportMap:
    """A whole map. `words` are those of sides, rows, times and loops, small letters to names."""

    file: str
    table_format: TableFormat
    numbers: Numbers
    words: Mapping[str, Mapping[str, str]]
    measuring: str
    from_tip: bool
    readings: str
    widest_mm: float | None
    tables: tuple[TablePlan, ...]
