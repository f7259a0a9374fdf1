"""Tests of cloth and lines and the visual inspection, as the workshop wrote them down."""

from dataclasses import dataclass
from enum import StrEnum

from trimscribe.model.wing import Side


class Condition(StrEnum):
    """What the eye found at one place."""

    GOOD = "good"
    WORN = "worn"
    DAMAGED = "damaged"
    REPAIRED = "repaired"
    NOT_CHECKED = "not checked"


class PorosityUnit(StrEnum):
    """Seconds for a fixed volume (higher is better) or flow (lower is better)."""

    SECONDS = "s"
    FLOW = "L/m2/min"


@dataclass(frozen=True)
class PorosityReading:
    """One reading in the unit of its `Porosity`."""

    place: str
    value: float


@dataclass(frozen=True)
class Porosity:
    """Air permeability of the cloth; `limit` is the last acceptable value in `unit`.

    `volume_l` and `area_cm2` describe the instrument and turn seconds into flow. `uncertainty` is
    the standard uncertainty of one reading in `unit`. `done_by` names who tested if not the
    workshop.
    """

    unit: PorosityUnit
    readings: tuple[PorosityReading, ...]
    method: str = ""
    limit: float | None = None
    volume_l: float | None = None
    area_cm2: float | None = None
    pressure_pa: float | None = None
    uncertainty: float | None = None
    done_by: str = ""


@dataclass(frozen=True)
class TearReading:
    """How far the cloth tore at one place."""

    place: str
    tear_mm: float


@dataclass(frozen=True)
class TearTest:
    """A needle loaded with `load_n` may tear the cloth by at most `limit_mm`.

    `uncertainty_mm` is the standard uncertainty of one reading.
    """

    readings: tuple[TearReading, ...]
    method: str = ""
    load_n: float | None = None
    limit_mm: float | None = None
    uncertainty_mm: float | None = None
    done_by: str = ""


@dataclass(frozen=True)
class StrengthTest:
    """One line pulled to `load_n`; `broke` says whether it broke at that load.

    `required_n` is what it must hold; None leaves that to the specification's rule.
    `uncertainty_n` is the standard uncertainty of the load.
    """

    line: str
    load_n: float
    broke: bool
    required_n: float | None = None
    side: Side | None = None
    uncertainty_n: float | None = None
    done_by: str = ""
    remark: str = ""


@dataclass(frozen=True)
class InspectionItem:
    """One part looked at."""

    part: str
    condition: Condition
    remark: str = ""
