"""What every finding is made of: the values of the job and the thresholds that go into it.

`ORIGINS` is complete: a test changes each value and each threshold in turn and looks whether any
finding moves that does not name it. `{when}` stands for before and after.
"""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace


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


@dataclass(frozen=True)
class _Basis:
    """What a finding rests on, so that what rests on several others can add them up."""

    inputs: tuple[str, ...] = ()
    thresholds: tuple[str, ...] = ()

    def __add__(self, other: "_Basis") -> "_Basis":
        """Each input and threshold once."""
        inputs = dict.fromkeys((*self.inputs, *other.inputs))
        return _Basis(tuple(inputs), tuple(dict.fromkeys((*self.thresholds, *other.thresholds))))

    @property
    def stated(self) -> "_Basis":
        """Its inputs alone."""
        return _Basis(self.inputs)

    def of_both(self) -> "_Basis":
        """Of both measurings."""
        return replace(self, inputs=_filled(self.inputs, "before", "after"))


def _filled(inputs: tuple[str, ...], *times: str) -> tuple[str, ...]:
    return tuple(dict.fromkeys(path.format(when=when) for path in inputs for when in times))


def _values(*inputs: str) -> _Basis:
    return _Basis(inputs)


def _table(*thresholds: str) -> _Basis:
    return _Basis((), thresholds)


_LENGTHS = _values(
    *("{when}.left", "{when}.right", "{when}.file"),
    *("specification.rows", "specification.stabilo_mm", "specification.brake"),
)
_LOAD = _Basis(
    ("{when}.tension_n", "specification.tension_n", "specification.stiffness_n"),
    ("load_ratio", "load_correction_share"),
)
_REPEAT = _Basis(
    ("{when}.uncertainty_mm", "{when}.repeat_mm"),
    ("u_instrument_mm", "u_tension_mm", "u_hook_up_mm"),
)
_BUDGET = _REPEAT + _Basis(
    ("specification.rounding_mm",), ("rounding_mm", "u_row_mm", "u_scale_mm_per_m")
)
# What bridges lines that were not measured: points of one main line belong together.
_GAPS = _Basis(
    ("specification.cascade",),
    (
        *("structure_row_mm", "structure_row_trend_mm", "structure_side_mm"),
        *("structure_row_side_mm", "structure_main_mm", "structure_main_side_mm"),
        "structure_line_mm",
    ),
)
_LIMITS = _values("tolerances", "specification.tolerances", "workshop.tolerances")
_RULE = _values("decision_rule", "workshop.decision_rule")
# Risers that were measured once count for both measurings.
_RISERS = _Basis(
    (
        *("before.risers", "after.risers", "specification.risers"),
        *("specification.includes_risers", "replacements"),
    ),
    ("u_riser_mm", "riser_unmeasured_mm"),
)
_HOW = _values("{when}.method", "{when}.instrument", "{when}.date")
_BASE = _LENGTHS + _LOAD
_SURE = _BASE + _BUDGET + _GAPS
_ANGLE = _SURE + _values("specification.lean_deg") + _RISERS
_BRAKES = _SURE + _Basis(("common_offset",), ("offset_known_share",))
_JUDGED = _BRAKES + _LIMITS + _RULE
_SESSION = _table("u_session_shift_mm")  # of brakes, from which nothing that all share is taken out
_STATIONS = _table("min_station_share")
_BRAKE = _STATIONS + _table("brake_mm", "u_brake_mm")
_ROW_SIDE = _table("u_row_side_mm")
_PITCH = _table("pitch_deg")
_BAND = _table("band_deg")
_BANDS = _table("band_weight_centre", "band_weight_middle", "band_weight_tip")
_SIDES = _table("left_right_deg", "left_right_mm")
_TURN = _table("turn_deg_s", "turn_deg_s_per_deg", "turn_deg_s_per_mm", "turn_ratio")
_SPEED = _Basis(
    ("wing.trim_speed_km_h",),
    (
        *("speed_percent_per_deg", "speed_percent_per_deg_low", "speed_percent_per_deg_high"),
        *("speed_default_km_h", "pitch_valid_deg", "pitch_deg"),
    ),
)
# Lines of the later measuring that nobody moved may be those of the earlier one.
_CARRIED = (
    _values("before.left", "before.right", "before.file", "before.tension_n")
    + _table("u_row_change_mm", "u_row_side_occasion_mm")
    + (_REPEAT + _HOW).of_both()
    + _Basis(
        ("after.control_lines", "after.session_mm", "adjustments", "replacements"),
        ("u_session_mm", "tie_shift_mm", "load_ratio"),
    )
    + _values("specification.cascade")
)
# Free travel that was read the other time, with what the brake gained in between.
_READ = (
    _ANGLE.of_both()
    + _CARRIED
    + _Basis(("before.free_travel_mm", "after.free_travel_mm"), ("brake_free_travel_min_mm",))
)
# Lines in doubt are left out of what rests on lengths, so all that tells them counts too.
_DOUBTED = (
    (_LENGTHS + _REPEAT).of_both()
    + _values("loops", "adjustments", "specification.cascade", "confirmed")
    + _table("doubt_length_mm", "doubt_few_mm", "doubt_row_mm", "doubt_offset_mm")
)
_RISER = (
    _values("{when}.risers", "specification.risers")
    + _LOAD
    + _LIMITS
    + _RULE
    + _table("u_riser_mm")
)

# Of each state: its part, how it comes about, what it rests on.
_STATE: tuple[tuple[str, str, _Basis], ...] = (
    (
        "offset",
        "Mean, median or mean of one row of measured minus specified, over all row lines; those "
        "not measured are bridged.",
        _BRAKES,
    ),
    (
        "offset_why",
        "Why lines are not judged against each other: what all share is not known well enough.",
        _BRAKES + _LIMITS,
    ),
    (
        "level",
        "The median deviation, and whether each row of each side and most lines lie near it; the "
        "row that lies furthest off, where it does so by more than chance. Worth a sentence "
        "between two thresholds.",
        _BASE + _BUDGET + _ROW_SIDE + _table("shared_from_mm", "shared_to_mm"),
    ),
    (
        "carry_over",
        "Lines that nobody moved, from the earlier measuring, tied by untouched lines that were "
        "measured both times.",
        _BASE,
    ),
    (
        "risers_in",
        "Whether risers are included in the specified lengths, were measured, or are not known.",
        _RISERS.stated,
    ),
    (
        "lines",
        "Measured minus specified, less the common offset (brake lines: less it only where the "
        "maker counts them with it), against the tolerance by the decision rule.",
        _JUDGED + _SESSION,
    ),
    ("rows", "Means, worst and counts of the lines of a row.", _JUDGED),
    (
        "tolerances",
        "Counts over the lines of a group, and over pairs of both sides.",
        _JUDGED + _ROW_SIDE + _SESSION,
    ),
    (
        "verdict",
        "FAIL when any line of a row or the stabilo fails, or a limit between the sides.",
        _JUDGED + _ROW_SIDE,
    ),
    (
        "pitch.slope_mm_per_m",
        "Least squares through all deviations over the chord, with what risers add; lines not "
        "measured are bridged.",
        _ANGLE,
    ),
    (
        "pitch",
        "Angle of the least-squares slope: -atan(slope / cos(lean)); its uncertainty from the "
        "budget, what a row shares counted once, and from what was not measured.",
        _ANGLE + _PITCH,
    ),
    ("pitch.by_risers_deg", "What measured risers add to it.", _ANGLE),
    ("pitch.bands", "The same over one band.", _ANGLE + _BAND),
    ("pitch.twist", "Tip minus centre.", _ANGLE + _BAND),
    (
        "pitch.effective",
        "Bands weighed by what each does to the trim speed.",
        _ANGLE + _BANDS + _PITCH,
    ),
    (
        "symmetry",
        "Right minus left: the angle of each half, and means; both in one unit make the turn.",
        _ANGLE + _SIDES + _TURN + _ROW_SIDE,
    ),
    (
        "residuals",
        "A row's mean minus the straight line through all rows.",
        _ANGLE + _table("residual_mm"),
    ),
    (
        "brakes",
        "Lengths against the maker's table; travel against the line set fitted to the trailing "
        "edge; free travel as measured, else as the other time with what the brake gained in "
        "between, else specified plus the same of the shortest line.",
        _JUDGED.stated + _SURE + _RISERS + _SESSION + _BRAKE + _READ,
    ),
    (
        "brake_verdict",
        "The worst of both brakes, of which each is the worst of its mean and its lines.",
        _JUDGED.stated + _SURE + _STATIONS + _SESSION,
    ),
    (
        "brake_difference",
        "Right brake minus left brake.",
        _SURE + _STATIONS + _table("left_right_mm") + _ROW_SIDE,
    ),
    (
        "travel_difference",
        "Right minus left free travel, where both were measured, or count as measured the other "
        "time.",
        _BRAKE + _READ,
    ),
    (
        "speed",
        "Percent of trim speed per degree of the effective angle, its uncertainty taken in.",
        _ANGLE + _BANDS + _SPEED,
    ),
    ("risers", "Measured minus specified, against the tolerance by the decision rule.", _RISER),
    ("riser_verdict", "FAIL when any riser fails.", _RISER),
    (
        "comparable_load",
        "Measuring load against the specification's.",
        _BASE.stated + _table("load_ratio"),
    ),
    (
        "correction",
        "Length × difference of loads / stiffness, where the stiffness of every line is given.",
        _BASE,
    ),
    ("budget", "Each source of error; stated values come first.", _SURE.stated + _BUDGET + _LOAD),
    (
        "line_u_mm",
        "The largest of a judged line: its reading, what its row and its tape share, and how well "
        "the common offset is known.",
        _BRAKES + _LIMITS,
    ),
)
# Parts that lines carried over from the earlier measuring do not enter.
_BY_ITSELF = ("risers", "riser_verdict", "risers_in", "comparable_load", "correction", "budget")
# What no doubt about a line changes.
_STANDS = (*_BY_ITSELF, "carry_over")

_MOVED = _BASE.of_both() + _CARRIED + _DOUBTED
_TURNED = _ANGLE.of_both() + _CARRIED + _DOUBTED
_LEDGER = (
    _DOUBTED
    + (_BASE + _REPEAT + _HOW).of_both()
    + _Basis(("loops", "adjustments"), ("doubt_group_mm", "u_session_shift_mm"))
    + _CARRIED
)
_STRENGTH = _RULE + _values(
    *("strength", "specification.strength_rules", "specification.rows"),
    *("specification.cascade", "wing.weight_max_kg"),
)
_OTHERS: tuple[tuple[str, str, _Basis], ...] = (
    (
        "change.offset_mm",
        "Common offset after minus before.",
        (_BRAKES + _LIMITS).of_both() + _CARRIED + _DOUBTED,
    ),
    ("change.pitch", "Angle after minus before, over lines measured both times.", _TURNED + _PITCH),
    (
        "change.effective",
        "The same, with bands weighed by what each does to the trim speed.",
        _TURNED + _BANDS + _PITCH,
    ),
    ("change.bands", "The same over one band.", _TURNED + _BAND),
    ("change.twist", "Tip minus centre.", _TURNED + _BAND),
    (
        "change.symmetry_angle",
        "Angle of the right half minus that of the left, after minus before.",
        _TURNED + _table("left_right_deg"),
    ),
    (
        "change.all_lines",
        "Mean of all lines on the right minus that on the left, after minus before.",
        _TURNED + _table("left_right_mm"),
    ),
    ("change.turn", "Both of these in one unit.", _TURNED + _SIDES + _TURN),
    ("change.rows_mm", "Mean of after minus before over a row.", _MOVED),
    ("change.lines_mm", "Length after minus before.", _MOVED),
    (
        "change.chance_mm",
        "How two readings of a line and of its row on one side scatter, for the largest of all.",
        _MOVED + _REPEAT.of_both() + _table("u_row_side_occasion_mm"),
    ),
    (
        "change.brakes",
        "Travel against the line set, after minus before; where lengths do not say, free travel as "
        "measured both times.",
        _TURNED + _BRAKE + _READ,
    ),
    (
        "change.brake_lines_mm",
        "Mean of a brake's lines, after minus before, less the mean of those that hold the wing.",
        _MOVED + _STATIONS,
    ),
    (
        "change.speed",
        "Percent of trim speed per degree of the effective change, its uncertainty taken in.",
        _TURNED + _BANDS + _SPEED,
    ),
    (
        "ledger",
        "Take-up before minus after, against what the lines above it moved together, less what "
        "untouched lines changed by.",
        _LEDGER,
    ),
    (
        "work",
        "The mean of all adjusted lines against their plan, less what untouched lines changed by; "
        "where some were let out and others shortened, also each by the way it was to move.",
        _LEDGER,
    ),
    (
        "decision",
        "The rule, and the highest risk among results that passed.",
        _DOUBTED
        + _JUDGED.of_both()
        + _CARRIED
        + _STATIONS
        + _ROW_SIDE
        + _values("after.risers", "before.risers", "specification.risers", "cloth", "strength")
        + _values("specification.strength_rules", "wing.weight_max_kg"),
    ),
    # Not a finding: the workshop's own word.
    ("decision.flight", "As the workshop stated it.", _values("decision", "service.signed_by")),
    (
        "porosity",
        "Each reading against the limit by the decision rule; the mean is taken in flow.",
        _values("cloth.porosity") + _RULE,
    ),
    ("tear", "Each tear against the limit by the decision rule.", _values("cloth.tear") + _RULE),
    ("cloth_verdict", "The worse of both tests.", _values("cloth") + _RULE),
    (
        "strength",
        "The load reached against the load required, as stated or by the specification's rule.",
        _STRENGTH,
    ),
    (
        "strength_verdict",
        "The worst of all pulls, without those that ended early of a line that held in another.",
        _STRENGTH,
    ),
    ("inspection_verdict", "Damaged fails, worn passes conditionally.", _values("inspection")),
    ("defects", "What is worn or damaged.", _values("inspection")),
    (
        "doubts",
        "Lengths against their neighbours, rows against rows, all against what a line set may be "
        "off, and changes against entries.",
        (_BASE + _BUDGET).of_both().stated
        + _LEDGER
        + _values("specification.risers", "specification.includes_risers", "confirmed")
        + _table("doubt_length_mm", "doubt_few_mm", "doubt_row_mm", "doubt_offset_mm")
        + _table("doubt_moved_mm"),
    ),
)


def _all() -> Iterator[Origin]:
    for when in ("before", "after"):
        for part, how, basis in _STATE:
            if when == "after" and part not in _BY_ITSELF:
                basis += _CARRIED
            if part not in _STANDS:
                basis += _DOUBTED
            yield Origin(f"{when}.{part}", how, _filled(basis.inputs, when), basis.thresholds)
    for part, how, basis in _OTHERS:
        yield Origin(part, how, basis.inputs, basis.thresholds)


ORIGINS: tuple[Origin, ...] = tuple(_all())
_BY_PART = {origin.part: origin for origin in ORIGINS}


def made_of(part: str, how: str, paths: Iterable[str]) -> Origin:
    """The origin of what is made of findings and of values of the job."""
    found = [origin_of(path) or Origin(path, "", (path,)) for path in paths]
    basis = sum((_Basis(one.inputs, one.thresholds) for one in found), _Basis())
    return Origin(part, how, basis.inputs, basis.thresholds)


def origin_of(path: str) -> Origin | None:
    """The origin of a finding such as `before.pitch.wing.value`; None for what has none."""
    parts = path.split(".")
    if parts[0] == "extra" and len(parts) > 1:
        return Origin(path, f"By the analysis `{parts[1]}`, which another package adds.", (), ())
    names = (".".join(parts[:n]) for n in range(len(parts), 0, -1))
    return next((_BY_PART[name] for name in names if name in _BY_PART), None)
