"""Lengths of one measuring, from the job itself and from the file it names.

Those are refused that are off by a power of ten, or so far off that no line set can be.
"""

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from trimscribe.contracts import ImportedLength
from trimscribe.errors import Fault, Mark
from trimscribe.model.wing import LineKey, Point, Side
from trimscribe.schemas.faults import FaultList, ValidValues
from trimscribe.schemas.wing_fields import LONGEST_MM, SHORTEST_MM

_FARTHEST_SHARE = 0.2  # a line a fifth off its length is a slip of the pen, not shrinkage
_NEAR = 0.08  # decades, about a fifth
_ENOUGH = 3  # lengths that are off alike, to speak of a whole row
_LOOKS_LIKE = {
    -3: "metres",
    -2: "decimetres, or two digits are missing",
    -1: "centimetres, or a digit is missing",
    1: "tenths of a millimetre, or a digit is too many",
    2: "hundredths of a millimetre, or two digits are too many",
    3: "micrometres",
}


@dataclass(frozen=True)
class Length:
    """One length in mm (None = not measured, or faulty), where it is and how it is called."""

    value: float | None
    mark: Mark
    name: str


def beyond_all_lines(length: ImportedLength) -> Fault | None:
    """What is wrong with a length that no line has, such as -5, 1e9 or no number at all."""
    mm = length.length_mm
    if mm is None or SHORTEST_MM <= mm <= LONGEST_MM:
        return None
    message = f"{mm:.12g} mm is not a length of a line."
    hint = f"Allowed: from {SHORTEST_MM:g} up to {LONGEST_MM:g} mm."
    return Fault("out-of-range", message, length.mark, hint)


def gather(
    measuring: ValidValues, imported: Iterable[ImportedLength], faults: FaultList
) -> Mapping[LineKey, Length]:
    """All lengths by side and point; one given twice is a fault, a gap in the job is filled."""
    lengths = {
        (Side(side), Point(group, index + 1)): Length(
            value, measuring.mark(side, group, index), measuring.shown(side, group, index)
        )
        for side in Side
        for group, values in measuring.part(side).items()
        for index, value in enumerate(values or ())
    }
    when, written = measuring.shown(), frozenset(lengths)
    for length in imported:
        if fault := beyond_all_lines(length):
            faults.add(fault)
            continue
        key = (length.side, Point(length.group, length.point))
        name = f"{when}.{length.side}.{key[1]}"
        given = key in lengths and lengths[key].value is not None
        if given and length.length_mm is not None:
            faults.error(
                "length-given-twice",
                f"`{name}` is also in the job." if key in written else f"`{name}` is there twice.",
                length.mark,
                "Keep one of the two.",
            )
        elif not given:
            lengths[key] = Length(length.length_mm, length.mark, name)
    return lengths


def power_of_ten(measured_mm: float, specified_mm: float) -> int:
    """By how many powers of ten a length is off, 0 when it is by none (or by something else)."""
    decades = math.log10(measured_mm) - math.log10(specified_mm)
    nearest = round(decades)
    return nearest if abs(decades - nearest) <= _NEAR and nearest in _LOOKS_LIKE else 0


def check_slips(
    rows: Mapping[tuple[Side, str], Mapping[int, Length]],
    groups: Mapping[str, Sequence[float | None]],
    faults: FaultList,
) -> None:
    """One fault for a whole measuring, a whole row or a single length that is off alike."""
    slips: dict[tuple[Side, str], dict[int, int]] = {}
    for (side, group), row in rows.items():
        pairs = {
            n: (length.value, groups[group][n - 1])
            for n, length in row.items()
            if length.value and group in groups and n <= len(groups[group])
        }
        slips[side, group] = {n: power_of_ten(v, s) if s else 0 for n, (v, s) in pairs.items()}
        for n, (value, wanted) in pairs.items():
            if wanted and not slips[side, group][n]:
                _check_reach(row[n], value, wanted, faults)
    every = {power for powers in slips.values() for power in powers.values()}
    if len(every) == 1 and (power := every.pop()):
        first = next(length for row in rows.values() for length in row.values() if length.value)
        _slip(first, "All lengths of this measuring are", power, faults)
        return
    for (side, group), powers in slips.items():
        row, alike = rows[side, group], set(powers.values())
        if len(alike) == 1 and len(powers) >= _ENOUGH and (power := alike.pop()):
            first = row[next(iter(powers))]
            _slip(first, f"All lengths of {group} on the {side} side are", power, faults)
            continue
        for n, power in powers.items():
            if power:
                _slip(row[n], f"`{row[n].name}` is {row[n].value:g} mm,", power, faults)


def _slip(length: Length, what: str, power: int, faults: FaultList) -> None:
    factor, way = 10 ** abs(power), "short" if power < 0 else "long"
    faults.error(
        "unit-slip",
        f"{what} about {factor} times too {way} for the specification.",
        length.mark,
        f"It looks like {_LOOKS_LIKE[power]}; lengths are in mm.",
    )


def _check_reach(length: Length, value: float, wanted: float, faults: FaultList) -> None:
    if abs(value - wanted) > _FARTHEST_SHARE * wanted:
        faults.error(
            "length-implausible",
            f"`{length.name}` is {value:g} mm; the specification has {wanted:g} mm.",
            length.mark,
            "No line is off by more than a fifth: check the digits and the point.",
        )
