"""The sizes from which a pilot may notice something, and the uncertainties behind them.

One table. A job overrides single entries under `thresholds`. No public source gives a pilot's
just-noticeable change of trim, so the noticing limits are judgement: each entry says why.
"""

import math
from collections.abc import Mapping
from dataclasses import dataclass, field, fields, replace

__all__ = ["NAMES", "TABLE", "Threshold", "Thresholds"]


def _entry(value: float, unit: str, source: str) -> float:
    return field(default=value, metadata={"unit": unit, "source": source})


@dataclass(frozen=True)
class Threshold:
    """One entry of the table as the report prints it; `source` is one or two sentences."""

    name: str
    value: float
    unit: str
    source: str


@dataclass(frozen=True)
class Thresholds:
    """Every limit and uncertainty of the analysis, by name; all are greater than zero."""

    pitch_deg: float = _entry(
        0.5,
        "deg",
        "About 2 % of trim speed, as much as 4 % more or less weight: everyday variation. "
        "Judgement.",
    )
    band_deg: float = _entry(
        1.0, "deg", "One band carries only 14 to 49 % of the effect of the whole wing. Judgement."
    )
    left_right_deg: float = _entry(0.4, "deg", "About 20 mm of weight shift cancels it. Judgement.")
    left_right_mm: float = _entry(
        10.0, "mm", "Tilts the harness so that the pilot moves about 11 mm sideways. Judgement."
    )
    residual_mm: float = _entry(
        6.0, "mm", "Common practice, no source; its effect in the air was not checked."
    )
    brake_mm: float = _entry(
        20.0, "mm", "Hands notice a change of brake travel from about two centimetres. Judgement."
    )
    brake_free_travel_min_mm: float = _entry(
        50.0,
        "mm",
        "Draft prEN 926-2:2012, 5.3.2.2: at least 5 cm before the trailing edge first moves.",
    )
    u_line_mm: float = _entry(
        2.0,
        "mm",
        "Standard uncertainty of one length when the job states none: measuring, hooking up, "
        "rounding of the specification. Assumed.",
    )
    u_hook_up_mm: float = _entry(
        1.3,
        "mm",
        "Hooking up and rounding of the specification alone, added to a stated measuring "
        "uncertainty: with 1.5 mm it gives 2 mm. Assumed.",
    )
    u_row_mm: float = _entry(
        1.5,
        "mm",
        "Error that a whole row shares: riser length, hanging, the row's specification. Assumed.",
    )
    u_row_side_mm: float = _entry(
        1.0,
        "mm",
        "The part of it on one side when left and right are compared: the specification's part "
        "cancels. Assumed.",
    )
    u_row_change_mm: float = _entry(
        1.0,
        "mm",
        "The part of it left in a change between two measurings on one bench. Assumed.",
    )
    u_brake_mm: float = _entry(
        5.0,
        "mm",
        "Brake lines are soft, and the line set is extrapolated to the trailing edge by 2 to "
        "3 mm. Assumed.",
    )
    speed_percent_per_deg: float = _entry(
        4.2,
        "%/deg",
        "Loss of trim speed per degree nose up, between a dynamics library (4.2) and two flight "
        "tests (about 3.5 and 4.7).",
    )
    speed_percent_per_deg_low: float = _entry(
        3.0, "%/deg", "Lower end, below the 3.5 that flight tests imply near trim speed."
    )
    speed_percent_per_deg_high: float = _entry(
        5.7, "%/deg", "Upper end of 95 % of a simulation over wing shapes, loads and lift slopes."
    )
    speed_default_km_h: float = _entry(
        37.0, "km/h", "Trim speed when the job states none: typical, common practice, no source."
    )
    pitch_valid_deg: float = _entry(
        2.0, "deg", "Beyond it the rigid-wing estimate of speed was not checked."
    )
    min_station_share: float = _entry(
        0.6, "1", "With fewer stations measured an angle would speak for lines nobody measured."
    )
    load_ratio: float = _entry(
        0.1,
        "1",
        "10 % of measuring load changes a line by up to 1.4 mm; more, and thick and thin lines "
        "part ways.",
    )

    def __post_init__(self) -> None:
        """Refuse what is not a positive number; raises ValueError naming the entry."""
        for name in (f.name for f in fields(self)):
            value = getattr(self, name)
            if not (math.isfinite(value) and value > 0):
                raise ValueError(f"threshold {name} is {value}; it must be greater than zero")

    def with_overrides(self, values: Mapping[str, float]) -> "Thresholds":
        """The table with single entries replaced; raises KeyError for an unknown name."""
        for name in values:
            if name not in NAMES:
                raise KeyError(name)
        return replace(self, **values)


NAMES: tuple[str, ...] = tuple(f.name for f in fields(Thresholds))
TABLE: tuple[Threshold, ...] = tuple(
    Threshold(f.name, getattr(Thresholds(), f.name), f.metadata["unit"], f.metadata["source"])
    for f in fields(Thresholds)
)
