"""From readings to values: units, deviations, counting from the tip, repeated readings."""

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from statistics import median

from trimscribe.errors import Fault, Severity, suggest
from trimscribe.exports.mapping.plan import ImportMap
from trimscribe.exports.mapping.take import Extracted, LeftOut, LineReading, RecordField
from trimscribe.model.tables import Cell
from trimscribe.model.wing import BRAKE_MAIN
from trimscribe.schemas.import_map import NEEDED
from trimscribe.schemas.wing_fields import LONGEST_MM, SHORTEST_MM

Specified = Mapping[str, Sequence[float | None]]
ValuePath = tuple[str | int, ...]

# Lengths are kept to a ten-thousandth of a millimetre: no tape or laser knows more, and what a
# unit or a spreadsheet's binary fractions add far behind the point is gone.
_FINEST = Decimal("0.0001")
# Inches are converted to a hundredth of a millimetre: a thousandth of an inch is 0.0254 mm.
_FINEST_INCH = Decimal("0.01")


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


@dataclass(frozen=True)
class _Length:
    """One reading with its line settled."""

    path: ValuePath
    value: Decimal
    reading: LineReading


def normalise(taken: Extracted, plan: ImportMap, measuring: str, specified: Specified) -> Imported:
    """All values of an export with their paths.

    `measuring` is where lengths belong that do not say it themselves. `specified` gives lengths by
    group, for deviations and points counted from the tip.
    """
    settler = _Settler(plan, measuring, specified)
    lengths = list(settler.lengths(taken.readings))
    values = [*settler.combined(lengths), *settler.records(taken.records)]
    faults = (*taken.faults, *dict.fromkeys(settler.faults))
    return Imported(tuple(values), taken.left_out, faults)


class _Settler:
    """Settles one export; gathers faults on the way."""

    def __init__(self, plan: ImportMap, measuring: str, specified: Specified) -> None:
        self.plan, self.measuring, self.specified = plan, measuring, specified
        self.faults: list[Fault] = []
        self.known = {name.casefold(): name for name in specified}

    def _report(self, cell: Cell, *words: str) -> None:
        self.faults.append(cell.fault(*words))

    def lengths(self, readings: Sequence[LineReading]) -> Iterator[_Length]:
        """Each reading in mm with its line, numbered from the centre."""
        counts = self._counts(readings)
        for reading in readings:
            group, point = self._group(reading), self._point(reading)
            if self.plan.from_tip:
                point = counts[reading.gives, group] + 1 - point
            wanted = self._specified(group, point)
            if self.plan.from_tip and point < 1:
                self._not_there(reading, group)
            elif self.plan.numbers.deviation and wanted is None:
                self._no_specification(reading, group)
            elif not SHORTEST_MM <= (mm := self._mm(reading, group, wanted)) <= LONGEST_MM:
                message = f"A length of {mm.normalize():f} mm cannot be measured."
                self._report(reading.cell, "out-of-range", message)
            else:
                yield _Length(self._path(reading, group, point), mm, reading)

    def _path(self, reading: LineReading, group: str, point: int) -> ValuePath:
        if reading.gives == "specification":
            return ("specification", group, point)
        side = reading.parts.side
        return (reading.parts.when or self.measuring, side.value if side else "", group, point)

    def _group(self, reading: LineReading) -> str:
        """The row as the specification writes it, where only capitals differ."""
        row = reading.parts.row
        return row if row in self.specified else self.known.get(row.casefold(), row)

    def _point(self, reading: LineReading) -> int:
        return reading.parts.point or (1 if reading.parts.row == BRAKE_MAIN else 0)

    def _counts(self, readings: Sequence[LineReading]) -> Mapping[tuple[str, str], int]:
        """Points of each group: those of the specification, else the highest number read."""
        counts: dict[tuple[str, str], int] = defaultdict(int)
        for reading in readings:
            key = (reading.gives, self._group(reading))
            counts[key] = max(counts[key], self._point(reading))
        for gives, group in counts:
            if gives == "lengths" and group in self.specified:
                counts[gives, group] = len(self.specified[group])
        return counts

    def _specified(self, group: str, point: int) -> Decimal | None:
        lengths = self.specified.get(group, ())
        length = lengths[point - 1] if 1 <= point <= len(lengths) else None
        return None if length is None else Decimal(repr(length))

    def _mm(self, reading: LineReading, group: str, wanted: Decimal | None) -> Decimal:
        numbers = self.plan.numbers
        mm = reading.value * numbers.factor
        if numbers.deviation:
            mm = (wanted or Decimal(0)) + numbers.sign * mm
        added = numbers.add_mm.get(group, numbers.add_mm.get("", Decimal(0)))
        return (mm + added).quantize(_FINEST_INCH if numbers.unit == "in" else _FINEST)

    def _not_there(self, reading: LineReading, group: str) -> None:
        known = self.specified.get(group, ())
        self._report(
            reading.cell,
            "point-not-in-specification",
            f"Point {reading.parts.point} counted from the tip does not exist; {group} has "
            f"{len(known)} points in the specification.",
        )

    def _no_specification(self, reading: LineReading, group: str) -> None:
        if not self.specified:
            self.faults.append(
                Fault(
                    "deviation-without-specification",
                    "The map reads deviations, and there is no specification to add them to.",
                    reading.cell.mark,
                    "Name the wing's line set: `specification` in the job, or --wing.",
                )
            )
            self.specified = {"": ()}  # reported once
        elif group not in self.specified and "" not in self.specified:
            self._report(
                reading.cell,
                "unknown-row",
                f"The specification has no row “{group}”.",
                suggest(group, self.specified),
            )
        elif group in self.specified:
            self._report(
                reading.cell,
                "point-not-in-specification",
                f"{group}{self._point(reading)} is not in the specification, to which its "
                "deviation would be added.",
            )

    def combined(self, lengths: Iterable[_Length]) -> Iterator[TargetValue]:
        """One value for each line, from all its readings."""
        by_path: dict[ValuePath, list[_Length]] = defaultdict(list)
        for length in lengths:
            by_path[length.path].append(length)
        for path, found in by_path.items():
            cells = tuple(length.reading.cell for length in found)
            values = [length.value for length in found]
            name = ".".join(map(str, path))
            if len(found) > 1 and self.plan.readings == "one":
                for cell in cells[1:]:
                    self._report(
                        cell,
                        "duplicate-point",
                        f"`{name}` was already given at {_place(found[0])}.",
                        "Keep one of the two, or say in the map what holds when a point is "
                        "read several times (`readings`).",
                    )
                continue
            spread = max(values) - min(values)
            if self.plan.widest_mm is not None and float(spread) > self.plan.widest_mm:
                self.faults.append(
                    Fault(
                        "readings-far-apart",
                        f"The {len(values)} readings of `{name}` lie {float(spread):g} mm apart; "
                        f"the map takes up to {self.plan.widest_mm:g} mm.",
                        cells[0].mark,
                        "Measure this line again.",
                        Severity.WARNING,
                    )
                )
            yield TargetValue(path, self._one(values), cells, float(spread))

    def _one(self, values: Sequence[Decimal]) -> float:
        if self.plan.readings == "mean" and len(values) > 1:
            mean = sum(values, Decimal(0)) / len(values)
            return float(mean.quantize(_FINEST))
        if self.plan.readings == "median":
            return float(median(values))
        return float(values[-1])

    def records(self, records: Sequence[RecordField]) -> Iterator[TargetValue]:
        """Records as values by path, counted from 1 within their kind."""
        whole: dict[tuple[str, tuple[int, int]], dict[str, RecordField]] = defaultdict(dict)
        for record in records:
            whole[record.gives, record.row][record.field] = record
        counts: dict[str, int] = defaultdict(int)
        for (gives, _), found in whole.items():
            if not self._complete(gives, found):
                continue
            counts[gives] += 1
            if gives == "loops":
                path = ("loops", str(found["maillon"].value), str(found["loop"].value))
                yield TargetValue(path, found["take_up_mm"].value, _cells(found))
                continue
            start = (gives,) if gives == "adjustments" else ("cloth", gives, "readings")
            for name, record in found.items():
                yield TargetValue(
                    (*start, counts[gives], name), record.value, _cells({name: record})
                )

    def _complete(self, gives: str, found: Mapping[str, RecordField]) -> bool:
        """Whether a record has all without which it says nothing."""
        missing = [name for name in NEEDED[gives] if name not in found]
        if missing and (cells := _cells(found)):
            self._report(
                cells[0],
                "record-incomplete",
                f"This row lacks {' and '.join(missing)}.",
                "Fill it in, or leave such rows out in the map (`skip`, `until`).",
            )
        return not missing


def _cells(found: Mapping[str, RecordField]) -> tuple[Cell, ...]:
    return tuple(record.cell for record in found.values() if record.cell)


def _place(length: _Length) -> str:
    mark = length.reading.cell.mark
    return mark.cell or f"line {mark.line}"
