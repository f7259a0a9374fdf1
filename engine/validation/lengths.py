"""Measured lengths of one measuring, from the job itself and from the file it names."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from trimscribe.contracts import ImportedLength
from trimscribe.errors import Mark
from trimscribe.model.wing import Point, Side
from trimscribe.schemas.wing_fields import LONGEST_MM, SHORTEST_MM
from trimscribe.validation.values import FaultList, ValidValues

Key = tuple[Side, Point]


@dataclass(frozen=True)
class Length:
    """One length in mm (None = not measured, or faulty), where it is and how it is called."""

    value: float | None
    mark: Mark
    name: str


def gather(
    measuring: ValidValues, imported: Iterable[ImportedLength], faults: FaultList
) -> Mapping[Key, Length]:
    """All lengths by side and point; one given twice is a fault, a gap in the job is filled."""
    lengths = {
        (Side(side), Point(group, index + 1)): Length(
            value,
            measuring.mark(side, group, index),
            measuring.shown(side, group, index),
        )
        for side in Side
        for group, values in measuring.part(side).items()
        for index, value in enumerate(values or ())
    }
    when, written = measuring.shown(), frozenset(lengths)
    for length in imported:
        if length.length_mm is not None and not SHORTEST_MM <= length.length_mm <= LONGEST_MM:
            faults.error(
                "out-of-range",
                f"{length.length_mm:g} mm is not a length of a line.",
                length.mark,
                f"Allowed is from {SHORTEST_MM:g} up to {LONGEST_MM:g} mm.",
            )
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
