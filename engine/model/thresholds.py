"""The sizes from which a pilot may notice something, and the uncertainties behind them.

One table. A shop or a job overrides single entries under `thresholds`. No public source gives a
pilot's just-noticeable change of trim, so the noticing limits are judgement: each entry says why.
"""

import math
from collections.abc import Mapping
from dataclasses import dataclass, field, fields, replace

from trimscribe.model.job import Job


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
    turn_deg_s: float = _entry(
        1.0,
        "deg/s",
        "What both differences between the sides make together: 0.4 deg make 0.9, 10 mm make 0.5. "
        "Judgement.",
    )
    turn_deg_s_per_deg: float = _entry(
        2.28,
        "deg/s/deg",
        "Turn towards the half that is more nose up: a dynamics library, good to the order of "
        "magnitude only.",
    )
    turn_deg_s_per_mm: float = _entry(
        0.0478,
        "deg/s/mm",
        "Turn towards the side whose lines are all short, by the pilot's shift: the same library "
        "and the geometry of a harness 46 cm wide.",
    )
    turn_ratio: float = _entry(
        2.0,
        "1",
        "By how much the ratio of these two may be wrong, up or down, where they point to opposite "
        "sides. Judgement.",
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
    band_weight_centre: float = _entry(
        0.49,
        "1",
        "What one degree in the centre does to the trim speed, as a share of the whole wing: a "
        "dynamics library.",
    )
    band_weight_middle: float = _entry(0.37, "1", "The same of the middle of each half.")
    band_weight_tip: float = _entry(0.14, "1", "The same of the tips.")
    u_instrument_mm: float = _entry(
        1.5,
        "mm",
        "Reading one length when the job states no uncertainty: 1 to 1.5 mm is usual. Assumed.",
    )
    u_tension_mm: float = _entry(
        0.6,
        "mm",
        "Setting the load to within 10 % of 50 N moves a line by 0.6 to 1.4 mm at most; as a "
        "rectangular distribution. Assumed.",
    )
    u_hook_up_mm: float = _entry(
        1.14,
        "mm",
        "Hooking up and straightening one line: with the usual reading, tension and rounding it "
        "makes 2 mm together. Assumed.",
    )
    rounding_mm: float = _entry(
        1.0,
        "mm",
        "Step of the specified lengths when the specification states none; rectangular, so "
        "1 mm makes 0.29 mm.",
    )
    u_scale_mm_per_m: float = _entry(
        0.12,
        "mm/m",
        "What a tape or meter reads long or short throughout. A tape of class II may be off by "
        "0.2 mm per metre begun, besides 0.3 mm (2014/32/EU, MI-008, chapter I, table 1); "
        "rectangular.",
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
        1.0, "mm", "The part of it left in a change between two measurings on one bench. Assumed."
    )
    u_row_side_occasion_mm: float = _entry(
        0.7,
        "mm",
        "What the row of one side errs by each time the wing is measured on one bench. Judgement.",
    )
    u_brake_mm: float = _entry(
        5.0,
        "mm",
        "Brake lines are soft; where the line set is at the trailing edge comes on top. Assumed.",
    )
    u_riser_mm: float = _entry(
        1.0, "mm", "Measuring one riser against its specified length. Judgement."
    )
    riser_unmeasured_mm: float = _entry(
        5.0,
        "mm",
        "What risers that nobody measured may be off by, rectangular: a usual limit in makers' "
        "manuals.",
    )
    u_session_mm: float = _entry(
        3.0,
        "mm",
        "What two measurings of one day, bench and load may differ by as a whole where no control "
        "lines tie them, and lines are carried over. Judgement.",
    )
    u_session_shift_mm: float = _entry(
        1.5,
        "mm",
        "The same where the change of adjusted lines is compared with the plan and fewer than five "
        "untouched lines were measured twice; and what all lines of one measuring err by "
        "together, where nothing that they share is taken out, as of brake lines. Judgement.",
    )
    tie_shift_mm: float = _entry(
        6.0,
        "mm",
        "Control lines that differ by more than this between two measurings do not tie them: "
        "something else changed. Judgement.",
    )
    structure_row_mm: float = _entry(
        4.0,
        "mm",
        "How far a row of a used wing lies off the plane through all rows (standard deviation); "
        "bridges lines that were not measured. Judgement.",
    )
    structure_row_trend_mm: float = _entry(
        4.0, "mm", "The same of a row's trend from the centre to the tip. Judgement."
    )
    structure_side_mm: float = _entry(
        1.5, "mm", "The same of one side: half the difference between left and right. Judgement."
    )
    structure_row_side_mm: float = _entry(2.0, "mm", "The same of one row's side. Judgement.")
    structure_main_mm: float = _entry(
        2.0, "mm", "The same of a main line, alike on both sides. Judgement."
    )
    structure_main_side_mm: float = _entry(
        2.0, "mm", "The same of a main line on one side. Judgement."
    )
    structure_line_mm: float = _entry(1.5, "mm", "The same of a single line. Judgement.")
    offset_known_share: float = _entry(
        0.2,
        "1",
        "Lines are judged against each other only where the uncertainty of what all share is at "
        "most this part of their limit (2 mm of 10). Judgement.",
    )
    shared_from_mm: float = _entry(
        15.0, "mm", "From here on a shrinkage that all lines share is worth a sentence. Judgement."
    )
    shared_to_mm: float = _entry(
        50.0,
        "mm",
        "Up to here it is called ordinary: one maker's manual lets a line set be off by 50 mm as a "
        "whole.",
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
        0.6,
        "1",
        "With fewer of a brake's lines measured the main brake line is judged in their place.",
    )
    load_ratio: float = _entry(
        0.1,
        "1",
        "10 % of measuring load changes a line by up to 1.4 mm; more, and thick and thin lines "
        "part ways.",
    )
    load_correction_share: float = _entry(
        0.5,
        "1",
        "Uncertainty of a correction for load as a share of it: soft and sheathed lines stretch "
        "more than their stiffness says. Assumed.",
    )
    doubt_length_mm: float = _entry(
        15.0,
        "mm",
        "A length is doubtful this far from its neighbours: of simulated slips of 20 mm nine in "
        "ten are found, less than 1 % of sound jobs is flagged.",
    )
    doubt_few_mm: float = _entry(
        50.0,
        "mm",
        "The same in groups of fewer than four lines, which have too few neighbours. Judgement.",
    )
    doubt_row_mm: float = _entry(
        60.0,
        "mm",
        "A row or side is doubtful when most of its lines are this far from all others: rear rows "
        "of old wings are off by some tens of mm. Judgement.",
    )
    doubt_offset_mm: float = _entry(
        65.0,
        "mm",
        "A line set is doubtful when its lines are off by more than this in the median, most of "
        "them by two thirds of that: some tens of mm are usual, one maker's manual lets a set be "
        "off by 50 mm with 10 mm for each line, and two measurings differ by some mm. Judgement.",
    )
    doubt_moved_mm: float = _entry(
        8.0,
        "mm",
        "One line moved this much more than the work explains; more where readings are less "
        "certain (4.2 times their difference's uncertainty).",
    )
    doubt_group_mm: float = _entry(
        3.5,
        "mm",
        "The lines above one main line moved this much together, more or less than their "
        "entry; more where readings are less certain.",
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
        return replace(self, **values) if values else self


_BUILT_IN = Thresholds()
NAMES: tuple[str, ...] = tuple(f.name for f in fields(Thresholds))
TABLE: tuple[Threshold, ...] = tuple(
    Threshold(f.name, getattr(_BUILT_IN, f.name), f.metadata["unit"], f.metadata["source"])
    for f in fields(Thresholds)
)


def thresholds_of(job: Job) -> Thresholds:
    """The table with the job's own entries; KeyError for a name that validation let through."""
    return _BUILT_IN.with_overrides(job.thresholds)
