"""What every finding is made of: the values of the job and the thresholds that go into it.

`ORIGINS` is complete: a test changes each value and each threshold in turn and looks whether any
finding moves that does not name it. `{when}` stands for before and after.
"""

from collections.abc import Iterator
from dataclasses import dataclass

__all__ = ["ORIGINS", "Origin", "origin_of"]


@dataclass(frozen=True)
class Origin:
    """How one part of the findings comes about.

    `part` is its path, `how` the rule in a sentence. `inputs` are paths among the places of the
    reading, each standing for all that is below it; `thresholds` are names of the table.
    """

    part: str
    how: str
    inputs: tuple[str, ...]
    thresholds: tuple[str, ...] = ()


_LENGTHS = (
    "{when}.left",
    "{when}.right",
    "{when}.file",
    "specification.rows",
    "specification.stabilo_mm",
    "specification.brake",
)
_LOAD = ("{when}.tension_n", "specification.tension_n", "specification.stiffness_n")
_LOAD_T = ("load_ratio", "load_correction_share")
_BUDGET = ("{when}.uncertainty_mm", "specification.rounding_mm")
_BUDGET_T = (
    "u_instrument_mm",
    "u_tension_mm",
    "u_hook_up_mm",
    "rounding_mm",
    "u_row_mm",
    "u_scale_mm_per_m",
)
_OFFSET = ("common_offset",)
_LIMITS = ("tolerances", "specification.tolerances", "workshop.tolerances")
_RULE = ("decision_rule", "workshop.decision_rule")
_BASE = (*_LENGTHS, *_LOAD)
_SURE = (*_BASE, *_BUDGET)
_ANGLE = (*_SURE, "specification.lean_deg")
_ANGLE_T = (*_BUDGET_T, *_LOAD_T, "min_station_share")
_BRAKES = (*_SURE, *_OFFSET)
_JUDGED = (*_BRAKES, *_LIMITS, *_RULE)
_BANDS_T = ("band_weight_centre", "band_weight_middle", "band_weight_tip")
_SPEED_T = (
    "speed_percent_per_deg",
    "speed_percent_per_deg_low",
    "speed_percent_per_deg_high",
    "speed_default_km_h",
    "pitch_valid_deg",
)
_WORK = ("loops", "adjustments")

_STATE = (
    Origin(
        "offset",
        "Mean, median or mean of one row of measured minus specified, over all row lines.",
        (*_SURE, *_OFFSET),
        (*_BUDGET_T, *_LOAD_T),
    ),
    Origin(
        "lines",
        "Measured minus specified, less the common offset (brake lines: less the line set fitted "
        "to the trailing edge), against the tolerance by the decision rule.",
        _JUDGED,
        _ANGLE_T,
    ),
    Origin("rows", "Means, worst and counts of the lines of a row.", _JUDGED, _ANGLE_T),
    Origin("tolerances", "Counts over the lines of a group.", _JUDGED, _ANGLE_T),
    Origin("verdict", "FAIL when any line of a row or the stabilo fails.", _JUDGED, _ANGLE_T),
    Origin(
        "pitch.slope_mm_per_m",
        "Least squares through all deviations over the chord.",
        _ANGLE,
        _ANGLE_T,
    ),
    Origin(
        "pitch",
        "Angle of the least-squares slope: -atan(slope / cos(lean)); its uncertainty from the "
        "budget, what a row shares counted once.",
        _ANGLE,
        (*_ANGLE_T, "pitch_deg"),
    ),
    Origin("pitch.bands", "The same over one band.", _ANGLE, (*_ANGLE_T, "band_deg")),
    Origin("pitch.twist", "Tip minus centre.", _ANGLE, (*_ANGLE_T, "band_deg")),
    Origin(
        "pitch.effective",
        "Bands weighed by what each does to the trim speed.",
        _ANGLE,
        (*_ANGLE_T, *_BANDS_T, "pitch_deg"),
    ),
    Origin(
        "symmetry",
        "Right minus left over pairs that were both measured.",
        _ANGLE,
        (*_ANGLE_T, "left_right_deg", "left_right_mm", "u_row_side_mm"),
    ),
    Origin(
        "residuals",
        "A row's mean minus the straight line through all rows.",
        _ANGLE,
        (*_ANGLE_T, "residual_mm"),
    ),
    Origin(
        "brakes",
        "Mean of the brake lines minus the line set fitted to the trailing edge; free travel as "
        "measured, else specified plus the same of the shortest line.",
        (*_JUDGED, "{when}.free_travel_mm"),
        (*_ANGLE_T, "brake_mm", "u_brake_mm", "brake_free_travel_min_mm"),
    ),
    Origin(
        "brake_verdict",
        "The worst of both brakes and of all brake lines.",
        _JUDGED,
        _ANGLE_T,
    ),
    Origin(
        "brake_difference",
        "Right brake minus left brake.",
        _SURE,
        (*_ANGLE_T, "left_right_mm", "u_row_side_mm"),
    ),
    Origin(
        "speed",
        "Percent of trim speed per degree of the effective angle, its uncertainty taken in.",
        (*_ANGLE, "wing.trim_speed_km_h"),
        (*_ANGLE_T, *_BANDS_T, *_SPEED_T),
    ),
    Origin(
        "risers",
        "Measured minus specified, against the tolerance by the decision rule.",
        ("{when}.risers", "specification.risers", *_LOAD, *_BUDGET, *_LIMITS, *_RULE),
        (*_BUDGET_T, *_LOAD_T),
    ),
    Origin(
        "riser_verdict",
        "FAIL when any riser fails.",
        ("{when}.risers", "specification.risers", *_LOAD, *_BUDGET, *_LIMITS, *_RULE),
        (*_BUDGET_T, *_LOAD_T),
    ),
    Origin(
        "comparable_load",
        "Measuring load against the specification's.",
        _BASE,
        ("load_ratio",),
    ),
    Origin(
        "correction",
        "Length × difference of loads / stiffness, where the stiffness of every line is given.",
        _BASE,
        _LOAD_T,
    ),
    Origin(
        "budget",
        "Each source of error; stated values come first.",
        _SURE,
        (*_BUDGET_T, *_LOAD_T),
    ),
    Origin(
        "line_u_mm",
        "Root of the sum of squares of what differs from line to line.",
        _SURE,
        (*_BUDGET_T, *_LOAD_T),
    ),
)


def _both(inputs: tuple[str, ...]) -> tuple[str, ...]:
    """Of both measurings."""
    named = [path.format(when=when) for path in inputs for when in ("before", "after")]
    return tuple(dict.fromkeys(named))


_CHANGE_T = (*_ANGLE_T, "u_row_change_mm")
_CHANGE = (
    Origin(
        "change.offset_mm",
        "Common offset after minus before.",
        _both((*_BASE, *_OFFSET)),
        _LOAD_T,
    ),
    Origin(
        "change.pitch",
        "Angle after minus before, over lines measured both times.",
        _both(_ANGLE),
        (*_CHANGE_T, "pitch_deg"),
    ),
    Origin(
        "change.effective",
        "The same, with bands weighed by what each does to the trim speed.",
        _both(_ANGLE),
        (*_CHANGE_T, *_BANDS_T, "pitch_deg"),
    ),
    Origin("change.bands", "The same over one band.", _both(_ANGLE), (*_CHANGE_T, "band_deg")),
    Origin("change.twist", "Tip minus centre.", _both(_ANGLE), (*_CHANGE_T, "band_deg")),
    Origin(
        "change.symmetry_angle",
        "Right minus left, after minus before.",
        _both(_ANGLE),
        (*_CHANGE_T, "left_right_deg"),
    ),
    Origin("change.rows_mm", "Mean of after minus before over a row.", _both(_BASE), _LOAD_T),
    Origin("change.lines_mm", "Length after minus before.", _both(_BASE), _LOAD_T),
    Origin(
        "change.brakes",
        "Travel against the line set, after minus before.",
        _both(_SURE),
        (*_ANGLE_T, "brake_mm", "u_brake_mm"),
    ),
    Origin(
        "change.speed",
        "Percent of trim speed per degree of the effective change, its uncertainty taken in.",
        _both((*_ANGLE, "wing.trim_speed_km_h")),
        (*_CHANGE_T, *_BANDS_T, *_SPEED_T),
    ),
)
_REST = (
    Origin(
        "ledger",
        "Take-up before minus after, against the median change of the lines above it.",
        (*_both((*_BASE, "{when}.uncertainty_mm")), *_WORK, "specification.cascade"),
        ("u_instrument_mm", "doubt_group_mm", *_LOAD_T),
    ),
    Origin(
        "porosity",
        "Each reading against the limit by the decision rule; the mean is taken in flow.",
        ("cloth.porosity", *_RULE),
    ),
    Origin("tear", "Each tear against the limit by the decision rule.", ("cloth.tear", *_RULE)),
    Origin("cloth_verdict", "The worse of both tests.", ("cloth", *_RULE)),
    Origin(
        "strength",
        "The load reached against the load required, as stated or by the specification's rule.",
        (
            "strength",
            "specification.strength_rules",
            "specification.rows",
            "specification.cascade",
            "wing.weight_max_kg",
            *_RULE,
        ),
    ),
    Origin(
        "strength_verdict",
        "The worst of all pulls.",
        ("strength", "specification.strength_rules", "specification.rows",
         "specification.cascade", "wing.weight_max_kg", *_RULE),
    ),
    Origin("inspection_verdict", "Damaged fails, worn passes conditionally.", ("inspection",)),
    Origin("defects", "What is worn or damaged.", ("inspection",)),
    Origin(
        "decision",
        "The rule, and the highest risk among results that passed.",
        (*_both(_JUDGED), "after.risers", "before.risers", "specification.risers", "cloth",
         "strength", "specification.strength_rules", "wing.weight_max_kg"),
        _ANGLE_T,
    ),
    Origin(
        "doubts",
        "Lengths against their neighbours, rows against rows, all against what a line set may be "
        "off, and changes against entries.",
        (*_both((*_BASE, *_BUDGET)), *_WORK, "specification.cascade", "specification.risers",
         "specification.includes_risers", "replacements", "confirmed"),
        ("doubt_length_mm", "doubt_few_mm", "doubt_row_mm", "doubt_offset_mm", "doubt_moved_mm",
         "doubt_group_mm", "u_instrument_mm", *_LOAD_T),
    ),
)  # fmt: skip


def _of_states() -> Iterator[Origin]:
    for when in ("before", "after"):
        for origin in _STATE:
            inputs = tuple(path.format(when=when) for path in origin.inputs)
            yield Origin(f"{when}.{origin.part}", origin.how, inputs, origin.thresholds)


ORIGINS: tuple[Origin, ...] = (*_of_states(), *_CHANGE, *_REST)
_BY_PART = {origin.part: origin for origin in ORIGINS}


def origin_of(path: str) -> Origin | None:
    """The origin of a finding such as `before.pitch.wing.value`; None for what has none."""
    parts = path.split(".")
    names = (".".join(parts[:n]) for n in range(len(parts), 0, -1))
    return next((_BY_PART[name] for name in names if name in _BY_PART), None)
