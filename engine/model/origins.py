"""What every finding is made of: the values of the job and the thresholds that go into it.

`ORIGINS` is complete: a test changes each value and each threshold in turn and looks whether any
finding moves that does not name it. `{when}` stands for before and after.
"""

from collections.abc import Iterable, Iterator
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
_REPEAT = ("{when}.uncertainty_mm", "{when}.repeat_mm")
_REPEAT_T = ("u_instrument_mm", "u_tension_mm", "u_hook_up_mm")
_BUDGET = (*_REPEAT, "specification.rounding_mm")
_BUDGET_T = (*_REPEAT_T, "rounding_mm", "u_row_mm", "u_scale_mm_per_m")
# What bridges lines that were not measured: points of one main line belong together.
_GAPS = ("specification.cascade",)
_GAPS_T = (
    "structure_row_mm",
    "structure_row_trend_mm",
    "structure_side_mm",
    "structure_row_side_mm",
    "structure_main_mm",
    "structure_main_side_mm",
    "structure_line_mm",
)
_OFFSET = ("common_offset",)
_LIMITS = ("tolerances", "specification.tolerances", "workshop.tolerances")
_RULE = ("decision_rule", "workshop.decision_rule")
# Risers that were measured once count for both measurings.
_RISERS = (
    "before.risers",
    "after.risers",
    "specification.risers",
    "specification.includes_risers",
    "replacements",
)
_RISERS_T = ("u_riser_mm", "riser_unmeasured_mm")
_HOW = ("{when}.method", "{when}.instrument", "{when}.date")
_BASE = (*_LENGTHS, *_LOAD)
_SURE = (*_BASE, *_BUDGET, *_GAPS)
_SURE_T = (*_BUDGET_T, *_LOAD_T, *_GAPS_T)
_ANGLE = (*_SURE, "specification.lean_deg", *_RISERS)
_ANGLE_T = (*_SURE_T, *_RISERS_T)
_BRAKES = (*_SURE, *_OFFSET)
_BRAKES_T = (*_SURE_T, "offset_known_share")
_JUDGED = (*_BRAKES, *_LIMITS, *_RULE)
_BANDS_T = ("band_weight_centre", "band_weight_middle", "band_weight_tip")
_SIDES_T = ("left_right_deg", "left_right_mm")
_TURN_T = ("turn_deg_s", "turn_deg_s_per_deg", "turn_deg_s_per_mm", "turn_ratio")
_SPEED_T = (
    "speed_percent_per_deg",
    "speed_percent_per_deg_low",
    "speed_percent_per_deg_high",
    "speed_default_km_h",
    "pitch_valid_deg",
    "pitch_deg",
)
_WORK = ("loops", "adjustments")
_OCCASION_T = ("u_row_change_mm", "u_row_side_occasion_mm")
# Lines of the later measuring that nobody moved may be those of the earlier one.
_CARRIED = (
    "before.left",
    "before.right",
    "before.file",
    "before.tension_n",
    *(path.format(when=when) for path in (*_REPEAT, *_HOW) for when in ("before", "after")),
    "after.control_lines",
    "after.session_mm",
    "adjustments",
    "replacements",
    "specification.cascade",
)
_CARRIED_T = (*_OCCASION_T, *_REPEAT_T, "u_session_mm", "tie_shift_mm", "load_ratio")

_STATE = (
    Origin(
        "offset",
        "Mean, median or mean of one row of measured minus specified, over all row lines; those "
        "not measured are bridged.",
        _BRAKES,
        _BRAKES_T,
    ),
    Origin(
        "offset_why",
        "Why lines are not judged against each other: what all share is not known well enough.",
        (*_BRAKES, *_LIMITS),
        _BRAKES_T,
    ),
    Origin(
        "level",
        "The median deviation, and whether each row of each side and most lines lie near it. "
        "Worth a sentence between two thresholds.",
        _BASE,
        (*_LOAD_T, "shared_from_mm", "shared_to_mm"),
    ),
    Origin(
        "carry_over",
        "Lines that nobody moved, from the earlier measuring, tied by untouched lines that were "
        "measured both times.",
        _BASE,
        _LOAD_T,
    ),
    Origin(
        "risers_in",
        "Whether risers are included in the specified lengths, were measured, or are not known.",
        _RISERS,
    ),
    Origin(
        "lines",
        "Measured minus specified, less the common offset (brake lines: less it only where the "
        "maker counts them with it), against the tolerance by the decision rule.",
        _JUDGED,
        _BRAKES_T,
    ),
    Origin("rows", "Means, worst and counts of the lines of a row.", _JUDGED, _BRAKES_T),
    Origin(
        "tolerances",
        "Counts over the lines of a group, and over pairs of both sides.",
        _JUDGED,
        (*_BRAKES_T, "u_row_side_mm"),
    ),
    Origin(
        "verdict",
        "FAIL when any line of a row or the stabilo fails, or a limit between the sides.",
        _JUDGED,
        (*_BRAKES_T, "u_row_side_mm"),
    ),
    Origin(
        "pitch.slope_mm_per_m",
        "Least squares through all deviations over the chord, with what risers add; lines not "
        "measured are bridged.",
        _ANGLE,
        _ANGLE_T,
    ),
    Origin(
        "pitch",
        "Angle of the least-squares slope: -atan(slope / cos(lean)); its uncertainty from the "
        "budget, what a row shares counted once, and from what was not measured.",
        _ANGLE,
        (*_ANGLE_T, "pitch_deg"),
    ),
    Origin("pitch.by_risers_deg", "What measured risers add to it.", _ANGLE, _ANGLE_T),
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
        "Right minus left: the angle of each half, and means; both in one unit make the turn.",
        _ANGLE,
        (*_ANGLE_T, *_SIDES_T, *_TURN_T, "u_row_side_mm"),
    ),
    Origin(
        "residuals",
        "A row's mean minus the straight line through all rows.",
        _ANGLE,
        (*_ANGLE_T, "residual_mm"),
    ),
    Origin(
        "brakes",
        "Lengths against the maker's table; travel against the line set fitted to the trailing "
        "edge; free travel as measured, else specified plus the same of the shortest line.",
        (*_JUDGED, *_RISERS, "{when}.free_travel_mm"),
        (
            *_ANGLE_T,
            "min_station_share",
            "brake_mm",
            "u_brake_mm",
            "brake_free_travel_min_mm",
        ),
    ),
    Origin(
        "brake_verdict",
        "The worst of both brakes, of which each is the worst of its mean and its lines.",
        _JUDGED,
        (*_SURE_T, "min_station_share"),
    ),
    Origin(
        "brake_difference",
        "Right brake minus left brake.",
        _SURE,
        (*_SURE_T, "min_station_share", "left_right_mm", "u_row_side_mm"),
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
        "The largest of a judged line: its reading, what its row and its tape share, and how well "
        "the common offset is known.",
        (*_BRAKES, *_LIMITS),
        _BRAKES_T,
    ),
)
# What no doubt about a line changes.
_STANDS = (
    "risers",
    "riser_verdict",
    "risers_in",
    "comparable_load",
    "correction",
    "budget",
    "carry_over",
)
# Parts that lines carried over from the earlier measuring do not enter.
_BY_ITSELF = ("risers", "riser_verdict", "risers_in", "comparable_load", "correction", "budget")


def _both(inputs: tuple[str, ...]) -> tuple[str, ...]:
    """Of both measurings."""
    named = [path.format(when=when) for path in inputs for when in ("before", "after")]
    return tuple(dict.fromkeys(named))


_DOUBTED = (*_both((*_LENGTHS, *_REPEAT)), *_WORK, "specification.cascade", "confirmed")
_DOUBTED_T = (
    *_REPEAT_T,
    "doubt_length_mm",
    "doubt_few_mm",
    "doubt_row_mm",
    "doubt_offset_mm",
)
_MOVED = (*_both(_BASE), *_CARRIED)
_MOVED_T = (*_LOAD_T, *_CARRIED_T)
_TURNED = (*_both(_ANGLE), *_CARRIED)
_CHANGE_T = (*_ANGLE_T, *_CARRIED_T)
_CHANGE = (
    Origin(
        "change.offset_mm",
        "Common offset after minus before.",
        (*_both((*_BRAKES, *_LIMITS)), *_CARRIED),
        (*_BRAKES_T, *_CARRIED_T),
    ),
    Origin(
        "change.pitch",
        "Angle after minus before, over lines measured both times.",
        _TURNED,
        (*_CHANGE_T, "pitch_deg"),
    ),
    Origin(
        "change.effective",
        "The same, with bands weighed by what each does to the trim speed.",
        _TURNED,
        (*_CHANGE_T, *_BANDS_T, "pitch_deg"),
    ),
    Origin("change.bands", "The same over one band.", _TURNED, (*_CHANGE_T, "band_deg")),
    Origin("change.twist", "Tip minus centre.", _TURNED, (*_CHANGE_T, "band_deg")),
    Origin(
        "change.symmetry_angle",
        "Angle of the right half minus that of the left, after minus before.",
        _TURNED,
        (*_CHANGE_T, "left_right_deg"),
    ),
    Origin(
        "change.all_lines",
        "Mean of all lines on the right minus that on the left, after minus before.",
        _TURNED,
        (*_CHANGE_T, "left_right_mm"),
    ),
    Origin(
        "change.turn",
        "Both of these in one unit.",
        _TURNED,
        (*_CHANGE_T, *_SIDES_T, *_TURN_T),
    ),
    Origin("change.rows_mm", "Mean of after minus before over a row.", _MOVED, _MOVED_T),
    Origin("change.lines_mm", "Length after minus before.", _MOVED, _MOVED_T),
    Origin(
        "change.brakes",
        "Travel against the line set, after minus before.",
        _TURNED,
        (*_CHANGE_T, "min_station_share", "brake_mm", "u_brake_mm"),
    ),
    Origin(
        "change.brake_lines_mm",
        "Mean of a brake's lines, after minus before, less the mean of those that hold the wing.",
        _MOVED,
        (*_MOVED_T, "min_station_share"),
    ),
    Origin(
        "change.speed",
        "Percent of trim speed per degree of the effective change, its uncertainty taken in.",
        (*_TURNED, "wing.trim_speed_km_h"),
        (*_CHANGE_T, *_BANDS_T, *_SPEED_T),
    ),
)
_LEDGER = (*_both((*_BASE, *_REPEAT, *_HOW)), *_WORK, *_CARRIED)
_LEDGER_T = (
    *_CARRIED_T,
    *_LOAD_T,
    "doubt_group_mm",
    "u_session_shift_mm",
)
# What rests on lengths; a change rests on measured ones alone, yet those are doubted by the rest.
_RESTING = (
    Origin(
        "ledger",
        "Take-up before minus after, against what the lines above it moved together, less what "
        "untouched lines changed by.",
        _LEDGER,
        _LEDGER_T,
    ),
    Origin(
        "work",
        "The mean of all adjusted lines against their plan, less what untouched lines changed by.",
        _LEDGER,
        _LEDGER_T,
    ),
    Origin(
        "decision",
        "The rule, and the highest risk among results that passed.",
        (*_both(_JUDGED), *_CARRIED, "after.risers", "before.risers", "specification.risers",
         "cloth", "strength", "specification.strength_rules", "wing.weight_max_kg"),
        (*_BRAKES_T, *_CARRIED_T, "min_station_share", "u_row_side_mm"),
    ),
)  # fmt: skip
_REST = (
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
        "doubts",
        "Lengths against their neighbours, rows against rows, all against what a line set may be "
        "off, and changes against entries.",
        (*_both((*_BASE, *_BUDGET)), *_LEDGER, "specification.risers",
         "specification.includes_risers", "confirmed"),
        (*_LEDGER_T, "doubt_length_mm", "doubt_few_mm", "doubt_row_mm", "doubt_offset_mm",
         "doubt_moved_mm"),
    ),
)  # fmt: skip


def _of_states() -> Iterator[Origin]:
    for when in ("before", "after"):
        for origin in _STATE:
            inputs = tuple(path.format(when=when) for path in origin.inputs)
            thresholds = origin.thresholds
            if when == "after" and origin.part not in _BY_ITSELF:
                inputs = tuple(dict.fromkeys((*inputs, *_CARRIED)))
                thresholds = tuple(dict.fromkeys((*thresholds, *_CARRIED_T)))
            yield Origin(f"{when}.{origin.part}", origin.how, inputs, thresholds)


def _without_doubts(origins: Iterable[Origin]) -> Iterator[Origin]:
    """Lines in doubt are left out of what rests on lengths, so all that tells them counts too."""
    for origin in origins:
        if origin.part.split(".", 1)[-1] in _STANDS:
            yield origin
            continue
        inputs = tuple(dict.fromkeys((*origin.inputs, *_DOUBTED)))
        thresholds = tuple(dict.fromkeys((*origin.thresholds, *_DOUBTED_T)))
        yield Origin(origin.part, origin.how, inputs, thresholds)


ORIGINS: tuple[Origin, ...] = (*_without_doubts((*_of_states(), *_CHANGE, *_RESTING)), *_REST)
_BY_PART = {origin.part: origin for origin in ORIGINS}


def origin_of(path: str) -> Origin | None:
    """The origin of a finding such as `before.pitch.wing.value`; None for what has none."""
    parts = path.split(".")
    if parts[0] == "extra" and len(parts) > 1:
        return Origin(path, f"By the analysis `{parts[1]}`, which another package adds.", (), ())
    names = (".".join(parts[:n]) for n in range(len(parts), 0, -1))
    return next((_BY_PART[name] for name in names if name in _BY_PART), None)
