"""How a workshop writes dates, numbers and speeds: the choices that it has."""

from collections.abc import Mapping
from dataclasses import dataclass

# As the choice reads, and as CLDR writes it. Slashes are left out: nobody can tell 3/4 from 4/3.
DATE_FORMATS: Mapping[str, str] = {
    "D Month YYYY": "d MMMM y",
    "Month D, YYYY": "MMMM d, y",
    "DD.MM.YYYY": "dd.MM.y",
    "YYYY-MM-DD": "y-MM-dd",
}
# As the choice reads: the sign that groups thousands, and the one before decimals.
NUMBER_FORMATS: Mapping[str, tuple[str, str]] = {
    "1,234.5": (",", "."),
    "1.234,5": (".", ","),
    "1 234,5": ("\u202f", ","),
    "1'234.5": ("’", "."),
}
# km/h in one of each: the mile is 1.609344 km (international yard and pound, 1959), the nautical
# mile 1.852 km (SI brochure, 9th edition).
SPEED_UNITS: Mapping[str, float] = {"km/h": 1.0, "mph": 1.609344, "kn": 1.852}


@dataclass(frozen=True)
class Writing:
    """What a workshop chose, as keys of the three tables above; empty is what the language does."""

    date_format: str = ""
    number_format: str = ""
    speed_unit: str = ""

    @property
    def dates(self) -> str:
        """The pattern of dates as CLDR writes it, or empty."""
        return DATE_FORMATS.get(self.date_format, "")

    @property
    def symbols(self) -> tuple[str, str] | None:
        """The separators of thousands and decimals, or None."""
        return NUMBER_FORMATS.get(self.number_format)

    @property
    def speeds(self) -> str:
        """The unit of speeds."""
        return self.speed_unit or "km/h"

    def speed(self, km_h: float) -> float:
        """A speed in km/h as one in this unit."""
        return km_h / SPEED_UNITS[self.speeds]


AS_THE_LANGUAGE = Writing()
