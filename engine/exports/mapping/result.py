"""What became of the cells of an export."""

from dataclasses import dataclass
from decimal import Decimal

from trimscribe.errors import Fault
from trimscribe.exports.mapping.forms import Parts
from trimscribe.model.tables import Cell

ValuePath = tuple[str | int, ...]


@dataclass(frozen=True)
class LineReading:
    """A number of one line as the export has it, in mm: a length or a deviation."""

    gives: str
    parts: Parts
    value: Decimal
    cell: Cell


@dataclass(frozen=True)
class RecordField:
    """One field of a record; those of one record come from the same row of the same table."""

    gives: str
    row: tuple[int, int]
    field: str
    value: str | float
    cell: Cell | None


@dataclass(frozen=True)
class LeftOut:
    """A cell that became no value, and why: a heading, a label, a note, nothing measured …"""

    cell: Cell
    reason: str


Outcome = LineReading | RecordField | LeftOut | Fault


@dataclass(frozen=True)
class Extracted:
    """What the tables of a map took out of the sheets."""

    readings: tuple[LineReading, ...] = ()
    records: tuple[RecordField, ...] = ()
    left_out: tuple[LeftOut, ...] = ()
    faults: tuple[Fault, ...] = ()


@dataclass(frozen=True)
class TargetValue:
    """One value and where it goes, such as `("before", "left", "A", 12)`; points count from 1.

    `cells` are the readings behind it, `spread_mm` how far they lie apart.
    """

    path: ValuePath
    value: str | float
    cells: tuple[Cell, ...]
    spread_mm: float = 0.0

    @property
    def name(self) -> str:
        """The path as people read it."""
        return ".".join(map(str, self.path))


@dataclass(frozen=True)
class Imported:
    """All values of an export, what was left out and what is wrong."""

    values: tuple[TargetValue, ...] = ()
    left_out: tuple[LeftOut, ...] = ()
    faults: tuple[Fault, ...] = ()
