"""What in the data looks wrong. Nothing is ever changed because of it."""

from dataclasses import dataclass
from enum import StrEnum

from trimscribe.model.wing import LineKey

RISERS = "risers"  # what lengths were likely measured with, or without


class DoubtKind(StrEnum):
    """What looks wrong; the value is the code of the warning."""

    LENGTH = "length-doubtful"
    NEIGHBOURS_SWAPPED = "neighbours-swapped"
    ROWS_SWAPPED = "rows-swapped"
    REVERSED = "order-reversed"
    SHIFTED = "row-shifted"
    SIDES_SWAPPED = "sides-swapped"
    SIDES_EQUAL = "sides-equal"
    ROWS_EQUAL = "rows-equal"
    TIMES_EQUAL = "times-equal"
    REPEATED = "length-repeated"
    OFF_TOGETHER = "lines-off-together"
    OFFSET = "offset-doubtful"
    MOVED = "moved-without-entry"
    MOVED_UNLIKE = "moved-unlike-entry"
    SPECIFIED_LENGTH = "specified-length-doubtful"
    SPECIFIED_ROW = "specified-row-doubtful"
    SPECIFIED_UNLIKE = "specified-unlike-wing"
    RISER = "riser-doubtful"
    NOTHING = "confirmed-nothing"


SPECIFIED = (DoubtKind.SPECIFIED_LENGTH, DoubtKind.SPECIFIED_ROW, DoubtKind.SPECIFIED_UNLIKE)
# Of two measurings, or of two sides that are alike, either may be right.
EITHER = (DoubtKind.SIDES_SWAPPED, DoubtKind.SIDES_EQUAL, DoubtKind.TIMES_EQUAL)
# The work may be wrong, or its entry; the lines were read right.
WORK = (DoubtKind.MOVED, DoubtKind.MOVED_UNLIKE)
# What `other` says of a riser of which either of two measurings may be wrong.
CHANGED = ("changed", "sides")


@dataclass(frozen=True)
class Doubt:
    """One thing to check. `name` is how the job's `confirmed` calls it, such as before.left.A3.

    `at` is the path of the suspect value among the places of the reading; points count from 1.
    `lines` are those that it is about; of a side or wing as a whole, those of its rows.
    `found` and `expected` are lengths or changes in mm; `suggested` is the length that the workshop
    may have meant. `other` names what it was mixed up with; "risers" where lengths were likely
    measured with them, or without; an adjusted line that moved though the lines above it did not.
    Of a riser it is "swapped", "longer" with the bar pushed, "changed" against the other measuring,
    "sides" where left and right have each other's lengths then, or empty for one that is far off.
    `count` says how many values look so. `confirmed` holds the workshop's word that the value is
    right; None when nobody said so.
    """

    kind: DoubtKind
    name: str
    at: tuple[str | int, ...]
    lines: tuple[LineKey, ...]
    found: float | None = None
    expected: float | None = None
    suggested: float | None = None
    other: str = ""
    count: int = 0
    confirmed: str | None = None

    @property
    def left_out(self) -> tuple[LineKey, ...]:
        """The lines that count in nothing but their own entry in the table.

        One wrong length moves the mean of all lines, the angle and the brakes behind it: so the
        rest is judged as if it had not been measured, with the uncertainty that this costs. None
        is where somebody confirmed it, nor where either may be right, which is said beside what
        follows from both.
        """
        stays = self.confirmed is not None or self.kind in (*EITHER, *WORK)
        return () if stays else self.lines
