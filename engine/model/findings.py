"""What the analysis found: numbers, uncertainties and verdicts, without a word of wording.

Signs: + mm = longer than specified, + degrees = nose up, right minus left for differences between
sides, after minus before for changes. `u` is a standard uncertainty (k = 1).
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import StrEnum

from trimscribe.model.job import InspectionItem, OffsetMethod, PorosityUnit, StrengthTest
from trimscribe.model.wing import Band, GroupKind, Point, Side

__all__ = [
    "BrakeFinding",
    "Change",
    "CommonOffset",
    "Effect",
    "Expectation",
    "Findings",
    "LedgerEntry",
    "LineFinding",
    "Pitch",
    "PorosityFinding",
    "ReadingFinding",
    "RiserFinding",
    "RowFinding",
    "SpeedRange",
    "State",
    "StrengthFinding",
    "Symmetry",
    "TearFinding",
    "Tolerance",
    "Verdict",
    "WhyNot",
]


class Verdict(StrEnum):
    """A result against its limit. Conditional ones lie in the guard band of a guarded rule."""

    PASS = "pass"
    CONDITIONAL_PASS = "conditional pass"
    CONDITIONAL_FAIL = "conditional fail"
    FAIL = "fail"
    NOT_ASSESSED = "not assessed"
    NOT_APPLICABLE = "not applicable"


class Expectation(StrEnum):
    """Whether the pilot should expect to notice an effect."""

    NONE = "none expected"
    POSSIBLE = "possible"
    EXPECTED = "expected"
    NOT_ASSESSED = "not assessed"


class WhyNot(StrEnum):
    """Why something was not assessed."""

    ASSESSED = ""
    NOT_MEASURED = "not measured"
    TOO_FEW_ROWS = "fewer than two rows at different chord positions"
    TOO_FEW_STATIONS = "too few stations measured"
    NO_CHORD = "chord positions not given"
    NO_LIMIT = "no limit given"
    NO_TRAILING_EDGE = "trailing edge position not given"
    LOAD_DIFFERS = "measuring load differs from the specification's by more than 10 %"
    ENDED_EARLY = "held at less than the required load"


@dataclass(frozen=True)
class Effect:
    """A quantity judged against the size from which a pilot may notice it.

    `value` is None when it was not assessed (`why_not` says why, `u` is then 0). `probability` is
    that of the true value lying beyond ±`threshold`.
    """

    value: float | None
    u: float
    threshold: float
    unit: str
    expectation: Expectation
    probability: float | None = None
    why_not: WhyNot = WhyNot.ASSESSED


@dataclass(frozen=True)
class CommonOffset:
    """The offset in mm that all lines share, taken out before judging, and how it was chosen.

    `mean_mm` and `median_mm` are given for comparison whatever the method.
    """

    value_mm: float
    method: OffsetMethod
    row: str
    mean_mm: float
    median_mm: float


@dataclass(frozen=True)
class Tolerance:
    """Lines of one group against one limit: how many were judged, outside, not measured.

    The group `left_right` counts pairs of row and stabilo lines against a limit between the sides;
    it is there only when the job or the specification sets one.
    """

    group: str
    limit_mm: float | None
    judged: int
    outside: int
    missing: int
    verdict: Verdict


@dataclass(frozen=True)
class LineFinding:
    """One line on one side. `deviation_mm` is measured minus specified, + = longer.

    `relative_mm` of row and stabilo lines is the deviation with the common offset taken out; that
    of brake lines is against the fitted line set at the trailing edge, or against the common
    offset where that is not known.
    """

    side: Side
    point: Point
    kind: GroupKind
    specified_mm: float
    measured_mm: float | None
    deviation_mm: float | None
    relative_mm: float | None
    tolerance_mm: float | None
    verdict: Verdict


@dataclass(frozen=True)
class RowFinding:
    """Mean relative deviation over a row; `side` None = both sides, `band` None = whole span.

    `worst_mm` is the one furthest from zero, with its sign.
    """

    row: str
    side: Side | None
    band: Band | None
    mean_mm: float | None
    worst_mm: float | None
    measured: int
    specified: int
    outside: int
    verdict: Verdict


@dataclass(frozen=True)
class Pitch:
    """Angles in degrees, + = nose up, from the slope of deviations over the chord in mm/m.

    `wing` and `slope_mm_per_m` come from the plain least-squares fit over all points: they tell
    what was measured. `effective` weighs the bands by what each does to the trim speed (the plain
    fit where a band is missing): only the speed range uses it. `twist` is tip minus centre.
    """

    slope_mm_per_m: float | None
    wing: Effect
    sides: Mapping[Side, Effect]
    bands: Mapping[Band, Effect]
    twist: Effect
    effective: Effect | None = None


@dataclass(frozen=True)
class Symmetry:
    """Right minus left: angle in degrees, row means and the mean of all lines in mm."""

    angle: Effect
    rows: Mapping[str, Effect]
    all_lines: Effect


@dataclass(frozen=True)
class BrakeFinding:
    """One brake. `travel_change` in mm is against the fitted line set: + = more free travel.

    `shortest_mm` and `mean_mm` are deviations over the fan; `mean_mm` is that of the main brake
    line where the fan was not measured. `line_set_mm` is the deviation of the whole wing's fitted
    line set at the trailing edge. `free_travel_mm` is the measured free travel, else the specified
    one plus the change (`estimated` True), else None. `relative_mm` is the mean against the line
    set, or against the common offset where that is not known; `verdict` judges it.
    """

    side: Side
    mean_mm: float | None
    shortest_mm: float | None
    line_set_mm: float | None
    travel_change: Effect
    free_travel_mm: float | None
    estimated: bool
    below_minimum: bool | None
    relative_mm: float | None
    tolerance_mm: float | None
    verdict: Verdict


@dataclass(frozen=True)
class SpeedRange:
    """Change of trim speed in km/h, + = faster; `low` and `high` in size, not rounded.

    `base_km_h` is the trim speed used; `assumed` True when the job gave none.
    """

    central_km_h: float
    low_km_h: float
    high_km_h: float
    base_km_h: float
    assumed: bool


@dataclass(frozen=True)
class RiserFinding:
    """One riser: deviations in mm and verdict."""

    side: Side
    name: str
    trim_mm: float | None
    accelerated_mm: float | None
    tolerance_mm: float | None
    verdict: Verdict


@dataclass(frozen=True)
class State:
    """The wing as measured once, before or after.

    `verdict` folds rows, stabilo and a limit between the sides; `tolerances` counts what was
    not measured. `residuals` is empty for fewer than three rows, which always lie on a line.
    `brake_difference` is right minus left travel change. `comparable_load` is FAIL when the
    measuring load differs from the specification's: then every effect is not assessed.
    """

    offset: CommonOffset | None
    lines: tuple[LineFinding, ...]
    rows: tuple[RowFinding, ...]
    tolerances: tuple[Tolerance, ...]
    verdict: Verdict
    brake_verdict: Verdict
    pitch: Pitch
    symmetry: Symmetry
    residuals: Mapping[str, Effect]
    brakes: Mapping[Side, BrakeFinding]
    brake_difference: Effect
    speed: SpeedRange | None
    risers: tuple[RiserFinding, ...]
    riser_verdict: Verdict
    comparable_load: Verdict

    def line(self, side: Side, point: Point) -> LineFinding | None:
        """The finding of one line, or None."""
        return next((x for x in self.lines if x.side is side and x.point == point), None)


@dataclass(frozen=True)
class Change:
    """After minus before, from lines measured both times.

    `rows_mm` and `lines_mm` are changes of the plain measured lengths, `brakes` that of the travel
    against the line set, `speed` follows from `effective` (see `Pitch`).
    """

    offset_mm: float | None
    pitch: Effect
    bands: Mapping[Band, Effect]
    twist: Effect
    symmetry_angle: Effect
    rows_mm: Mapping[str, float]
    lines_mm: Mapping[tuple[Side, Point], float]
    brakes: Mapping[Side, Effect]
    speed: SpeedRange | None
    effective: Effect | None = None


@dataclass(frozen=True)
class LedgerEntry:
    """One adjusted line: the change its loops promise against the change measured, in mm.

    `measured_mm` is the median over the `points` below the line, without what other adjusted lines
    on the way did and what the whole line set changed by. `verdict` is PASS when the two agree
    within `limit_mm`, FAIL when not.
    """

    line: str
    side: Side
    loop_before: str
    loop_after: str
    expected_mm: float | None
    measured_mm: float | None
    points: int
    limit_mm: float | None
    verdict: Verdict
    remark: str = ""


@dataclass(frozen=True)
class ReadingFinding:
    """One reading of a cloth test against its limit."""

    place: str
    value: float
    verdict: Verdict


@dataclass(frozen=True)
class PorosityFinding:
    """Cloth porosity; `mean` is taken in flow and given in `unit`."""

    unit: PorosityUnit
    mean: float
    mean_flow_l_m2_min: float | None
    worst: ReadingFinding
    readings: tuple[ReadingFinding, ...]
    limit: float | None
    verdict: Verdict


@dataclass(frozen=True)
class TearFinding:
    """Tear test; `worst` tore furthest."""

    worst: ReadingFinding
    readings: tuple[ReadingFinding, ...]
    limit_mm: float | None
    verdict: Verdict


@dataclass(frozen=True)
class StrengthFinding:
    """One line pull. Held below the requirement is NOT_ASSESSED, never a pass."""

    test: StrengthTest
    margin_n: float | None
    verdict: Verdict
    why_not: WhyNot = WhyNot.ASSESSED


@dataclass(frozen=True)
class Findings:
    """All that is known after the analysis. None means not measured, not "fine".

    `extra` holds what analyses of other packages add, by analysis name.
    """

    before: State | None = None
    after: State | None = None
    change: Change | None = None
    ledger: tuple[LedgerEntry, ...] = ()
    porosity: PorosityFinding | None = None
    tear: TearFinding | None = None
    strength: tuple[StrengthFinding, ...] = ()
    strength_verdict: Verdict = Verdict.NOT_ASSESSED
    cloth_verdict: Verdict = Verdict.NOT_ASSESSED
    inspection_verdict: Verdict = Verdict.NOT_ASSESSED
    defects: tuple[InspectionItem, ...] = ()
    extra: Mapping[str, Mapping[str, float | str]] = field(default_factory=dict)

    @property
    def now(self) -> State | None:
        """The wing as it leaves the workshop: after if measured, else before."""
        return self.after or self.before
