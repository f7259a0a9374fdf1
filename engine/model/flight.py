"""What the workshop decided: may the wing fly? It is the workshop's word, never the program's."""

from dataclasses import dataclass
from enum import StrEnum


class Flight(StrEnum):
    """Whether the workshop released the wing."""

    RELEASED = "released"
    WITH_CONDITIONS = "released with conditions"
    NOT_RELEASED = "not released"
    NOT_DECIDED = "not decided"


@dataclass(frozen=True)
class FlightDecision:
    """The decision in the workshop's words; `by` is empty where the one who signed took it."""

    flight: Flight = Flight.NOT_DECIDED
    conditions: str = ""
    reason: str = ""
    by: str = ""


NOT_DECIDED = FlightDecision()
