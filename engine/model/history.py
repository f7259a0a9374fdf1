"""Services of one wing over the years: what each measured, and what that says together.

Signs: + mm is longer, + degrees is nose up, later minus earlier. Hours are those of the wing.
"""

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import StrEnum
from typing import Any

from trimscribe.model.job import PorosityUnit
from trimscribe.model.plain import from_plain


class HistoryGap(StrEnum):
    """Why two services, or all of them, were not compared."""

    COMPARED = ""
    NOT_MEASURED = "not measured"
    NOT_KNOWN = "a report of an earlier version does not say how, or which lines, were measured"
    OTHER_METHOD = "measured by another method"
    OTHER_LOAD = "measured at another load, or the load is not stated"
    OTHER_SPECIFICATION = "compared with another specification"
    OTHER_LINES = "other lines were measured"
    NO_HOURS = "flying hours not stated"
    NO_FLYING = "no flying in between"
    FEWER_HOURS = "fewer flying hours stated than before"
    TOO_FEW = "too few services"


@dataclass(frozen=True)
class How:
    """How a line set was measured: by which `method`, and with the lines under `tension_n`.

    `u_mm` is the standard uncertainty of one reading.
    """

    method: str
    tension_n: float | None
    u_mm: float


@dataclass(frozen=True)
class LineSetLevels:
    """A line set as measured once.

    `rows_mm` and `all_mm` are the mean deviation over each row and over all row lines, + = longer.
    `pitch_deg` is the angle of the wing, + = nose up, with its standard uncertainty `pitch_u_deg`.
    `lines` counts the row lines that were measured, `missing` names the others, such as "left A3".
    `how` and `missing` are None where a report of an earlier version does not tell.
    """

    rows_mm: Mapping[str, float]
    all_mm: float
    lines: int
    how: How | None
    missing: tuple[str, ...] | None
    pitch_deg: float | None = None
    pitch_u_deg: float = 0.0


@dataclass(frozen=True)
class ClothState:
    """Air permeability: `mean` and `limit` in `unit`.

    `rising` is True where a higher value is worse. `basis` names method and instrument: only equal
    ones are compared.
    """

    mean: float
    limit: float | None
    unit: str
    rising: bool
    basis: str

    @property
    def printed_unit(self) -> str:
        """The unit as a report prints it."""
        return "s" if self.unit == PorosityUnit.SECONDS.value else "L/m²/min"


@dataclass(frozen=True)
class Tests:
    """Pulled lines: the one that came closest to what is required.

    `share` is the load that it held or broke at, as a share of that; `broke` says which.
    """

    share: float
    broke: bool


@dataclass(frozen=True)
class ServiceSummary:
    """One service as later ones look back on it; `sha256` of its report is empty in its own.

    `service` is its number, `done` its day (ISO 8601), `hours` what the wing had flown then,
    `specification` what the line set is called. `free_travel_mm` is the measured one by side.
    """

    service: str
    done: str
    hours: float | None
    specification: str
    before: LineSetLevels | None = None
    after: LineSetLevels | None = None
    free_travel_mm: Mapping[str, float] = field(default_factory=dict)
    cloth: ClothState | None = None
    strength: Tests | None = None
    sha256: str = ""

    @property
    def now(self) -> LineSetLevels | None:
        """The wing as it left the workshop."""
        return self.after or self.before

    @property
    def year(self) -> float:
        """The day as a number of years, for charts."""
        day = dt.date.fromisoformat(self.done)
        return day.year + (day.timetuple().tm_yday - 1) / 365.25

    @classmethod
    def from_plain(cls, data: Mapping[str, Any], sha256: str = "") -> "ServiceSummary":
        """Build it from the JSON of a report; ValueError when it is not a summary."""
        try:
            plain = {"sha256": "", **data, **({"sha256": sha256} if sha256 else {})}
            # Earlier versions told how once for a service, and meant the last of its measurings.
            once = {key: plain[key] for key in ("method", "tension_n", "u_mm") if key in plain}
            for name, last in (("before", plain["after"] is None), ("after", True)):
                if plain[name] is not None:
                    how = once if last and "method" in once else None
                    plain[name] = {"how": how, "missing": None, **plain[name]}
            dt.date.fromisoformat(plain["done"])
        except (KeyError, TypeError, ValueError) as error:
            raise ValueError("this is not a summary of a service") from error
        return from_plain(plain, cls)


@dataclass(frozen=True)
class Drift:
    """A change per 100 hours of flying, with the range that holds with about 95 %.

    `intervals` are the stretches between services that went in, `hours` the flying in them. The
    range goes from `low` to `high`. `per_100_h` is None when there were none; `why_not` says why.
    """

    per_100_h: float | None
    low: float = 0.0
    high: float = 0.0
    intervals: int = 0
    hours: float = 0.0
    why_not: HistoryGap = HistoryGap.COMPARED


class ProjectionKind(StrEnum):
    """What can be said of when a limit may be reached."""

    NO_LIMIT = "no limit"
    NO_HOURS = "flying hours not stated"
    TOO_LITTLE_DATA = "too little data"
    REACHED = "reached"
    NOT_IN_SIGHT = "not in sight"
    RANGE = "range"


@dataclass(frozen=True)
class Projection:
    """When a limit may be reached, in hours of the wing, by so many `services`.

    `low_h` is the earliest with about 95 %; `high_h` the latest, None when it lies beyond
    `horizon_h`: as far ahead again as the services reach back.
    """

    kind: ProjectionKind
    services: int
    low_h: float | None = None
    high_h: float | None = None
    horizon_h: float | None = None


@dataclass(frozen=True)
class History:
    """All services of the wing, oldest first, this one last.

    `gaps` tells for each service after the first why its line lengths are not compared with those
    of the one before it.
    """

    services: tuple[ServiceSummary, ...]
    gaps: tuple[HistoryGap, ...]
    shrinkage: Drift
    rows: Mapping[str, Drift]
    pitch: Drift
    cloth: Projection
