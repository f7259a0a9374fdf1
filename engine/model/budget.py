"""What makes a measured length uncertain, entry by entry."""

from dataclasses import dataclass
from enum import StrEnum


class Scope(StrEnum):
    """Which lines an error is common to. What is common cancels in differences."""

    LINE = "each line by itself"
    ROW = "a row in common"
    ALL = "all lines in common"


@dataclass(frozen=True)
class ErrorSource:
    """One entry of the budget: standard uncertainty `u` in `unit` (mm, or mm/m of line length).

    `stated` is False for a value that the program assumes because the job gives none.
    """

    name: str
    u: float
    unit: str
    scope: Scope
    stated: bool = False


@dataclass(frozen=True)
class LoadCorrection:
    """Lengths brought from the load they were measured at to the specification's.

    `largest_mm` is the correction largest in size, + = longer; `u_mm` the standard uncertainty of
    the corrections against each other.
    """

    from_n: float
    to_n: float
    largest_mm: float
    u_mm: float
