"""Places in a sheet as people write them: C14, B4:F20."""

import re

from trimscribe.model.tables import Range

_REFERENCE = re.compile(r"([A-Z]{1,3})([1-9]\d{0,6})", re.ASCII)


def column_of(letters: str) -> int:
    """The number of a column: A is 1, AA is 27."""
    column = 0
    for letter in letters:
        column = column * 26 + ord(letter) - ord("A") + 1
    return column


def place_of(reference: str) -> tuple[int, int] | None:
    """Row and column of a reference such as C14; None when it is none."""
    match = _REFERENCE.fullmatch(reference)
    return (int(match[2]), column_of(match[1])) if match else None


def range_of(reference: str) -> Range | None:
    """A range such as B4:F20, or one cell; None when it is none."""
    first, _, last = reference.partition(":")
    start, stop = place_of(first), place_of(last or first)
    if not start or not stop or stop[0] < start[0] or stop[1] < start[1]:
        return None
    return Range(*start, *stop)
