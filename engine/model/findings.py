"""What the analysis found: numbers, uncertainties and verdicts, without a word of wording.

Signs: + mm = longer than specified, + degrees = nose up, right minus left for differences between
sides, after minus before for changes. `u` is a standard uncertainty (k = 1).
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import StrEnum

from trimscribe.model.decision import UNDECIDED, Decision
from trimscribe.model.doubts import Doubt, DoubtKind
from trimscribe.model.job import InspectionItem, OffsetMethod, PorosityUnit, StrengthTest
from trimscribe.model.verdicts import Effect, Expectation, RiserBasis, Verdict, WhyNot
from trimscribe.model.wing import Band, GroupKind, LineKey, Point, Side

__all__ = [
    "BrakeFinding",
    "CarryOver",
    "Change",
    "CommonOffset",
    "Doubt",
    "DoubtKind",
    "Effect",
    "ErrorSource",
    "Expectation",
    "Findings",
    "LedgerEntry",
    "LineFinding",
    "LoadCorrection",
    "Pitch",
    "PorosityFinding",
    "ReadingFinding",
    "RiserBasis",
    "RiserFinding",
    "RowFinding",
    "Scope",
    "SharedLevel",
    "SpeedRange",
    "State",
    "StrengthFinding",
    "Symmetry",
    "TearFinding",
    "Tolerance",
    "Turn",
    "Verdict",
    "WhyNot",
    "WorkCheck",
]


class Scope(StrEnum):
    """Which lines an error is common to. What is common cancels in differences."""

    LINE = "each line by itself"
    ROW = "a row in common"
    ALL = "all lines in common"


@dataclass(frozen=True)
class ErrorSource:
    """One entry of the budget: standard uncertainty `u` in `unit` (mm, or mm/m of line length).

    `name` is what errs, such as the instrument, the scale or the hook-up.
    `stated` is False for a value that the program assumes because the job gives none.
    """

    name: str
    u: float
    unit: str
    scope: Scope
    stated: bool = False


@dataclass(frozen=True)
class LoadCorrection:
    """Lengths brought from the load that they were measured at to the specification's.

    `from_n` is the load of measuring, `to_n` the specification's. `largest_mm` is the correction
    largest in size, + = longer; `u_mm` the standard uncertainty of the corrections against each
    other.
    """

    from_n: float
    to_n: float
    largest_mm: float
    u_mm: float


@dataclass(frozen=True)
class CommonOffset:
    """The offset in mm that all lines share, taken out before judging, and how it was chosen.

    `mean_mm` and `median_mm` are given for comparison whatever the method. `u_mm` is the standard
    uncertainty of `value_mm` but for what one measuring errs by as a whole, which is taken out with
    it; where nothing is taken out it is just that. `row` is the one whose mean it is, where the
    method is that.
    """

    value_mm: float
    method: OffsetMethod
    row: str
    mean_mm: float
    median_mm: float
    u_mm: float = 0.0


@dataclass(frozen=True)
class SharedLevel:
    """What the whole line set is off by: `median_mm` is the median deviation, + = longer.

    `shared` is True where every row of each side, and nearly every line, lies near it. Where not,
    `apart_mm` is how far a row of one side, or of both, lies off it, 0 where none does; `row` and
    `side` name the one that lies furthest off, without a side on both. Without a row another one
    lies about as far off, and none is named.
    """

    median_mm: float
    shared: bool
    row: str = ""
    side: Side | None = None
    apart_mm: float = 0.0


@dataclass(frozen=True)
class CarryOver:
    """Lines that a later measuring takes over from the earlier one, because nobody moved them.

    `again` were measured both times or after their work, `carried` taken over; both count lines of
    rows and stabilo. `controls` tie the measurings: untouched lines that were measured both times,
    and their readings changed by `shift_mm` on average, + = longer. `u_mm` is the uncertainty of
    `shift_mm`; without controls it is the session's, and that is 0. Both are 0 where no such line
    was measured again. `why_not` says why nothing was carried over though lines are missing.
    """

    again: int = 0
    carried: int = 0
    controls: int = 0
    shift_mm: float = 0.0
    u_mm: float = 0.0
    why_not: WhyNot = WhyNot.ASSESSED


@dataclass(frozen=True)
class Tolerance:
    """Lines of one `group` against one limit, `limit_mm`, which is None where there is none.

    `judged`, `outside` and `missing` count those that were judged, are outside, were not measured.
    `close` counts those, within or outside, that the decision rule calls too close to the limit.

    The group `left_right` counts pairs of row and stabilo lines against a limit between the sides;
    it is there only when the job or the specification sets one. `least_sure` is the smallest
    probability of lying within the limit among those that passed; None where none did.
    """

    group: str
    limit_mm: float | None
    judged: int
    outside: int
    missing: int
    verdict: Verdict
    close: int = 0
    least_sure: float | None = None


@dataclass(frozen=True)
class LineFinding:
    """One line on one side. `deviation_mm` is measured minus `specified_mm`, + = longer.

    `relative_mm` of row and stabilo lines is the deviation with the common offset taken out; None
    where that is not known. Brake lines are compared with their table as it is, or with the common
    offset where the maker counts them with it. `u_mm` is the standard uncertainty of `relative_mm`,
    `probability` that of the true value lying within the tolerance. `correction_mm` for the
    measuring load is 0 unless the job's stiffness allowed one; `measured_mm` is the length as it
    was read, without it. `carried` lines were not measured again: theirs is the earlier reading,
    and the correction holds what control lines changed by. Of a `doubted` line a specified or
    measured length looks wrong and nobody confirmed it: it has no verdict, and nothing else rests
    on it. `tolerance_mm` is the limit on either side.
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
    u_mm: float | None = None
    probability: float | None = None
    correction_mm: float = 0.0
    carried: bool = False
    doubted: bool = False


@dataclass(frozen=True)
class RowFinding:
    """Relative deviations of a `row`; `side` None = both sides, `band` None = whole span.

    `mean_mm` is their mean, `worst_mm` the one furthest from zero, with its sign. `specified`
    counts its lines, `measured` those measured, `outside` those outside their limit.
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
    `by_risers_deg` is what of `wing` the measured risers make; None where they were not measured,
    are as specified or are part of the lines.
    """

    slope_mm_per_m: float | None
    wing: Effect
    sides: Mapping[Side, Effect]
    bands: Mapping[Band, Effect]
    twist: Effect
    effective: Effect | None = None
    by_risers_deg: float | None = None


@dataclass(frozen=True)
class Turn:
    """A turn by itself in deg/s, + = to the right: angle and length of both halves in one unit.

    A half that is more nose up, or whose lines are short, is the one it turns to. `rate` judges the
    sum of both, `expectation` the strongest of all three. `opposed` where both are clear and point
    to different sides; `side` only where it is settled all the same.
    """

    rate: Effect
    expectation: Expectation
    side: Side | None = None
    opposed: bool = False


@dataclass(frozen=True)
class Symmetry:
    """Right minus left: angle in degrees, row means and the mean of all lines in mm."""

    angle: Effect
    rows: Mapping[str, Effect]
    all_lines: Effect
    turn: Turn


@dataclass(frozen=True)
class BrakeFinding:
    """One brake. `travel_change` in mm is against the fitted line set: + = more free travel.

    `shortest_mm` and `mean_mm` are deviations over the fan; `mean_mm` and `relative_mm` are of the
    main brake line where too little of the fan was measured (`by_main`). `line_set_mm` is the
    deviation of the whole wing's fitted line set at the trailing edge. `free_travel_mm` is the
    measured free travel, else the specified one plus what the shortest line is longer than the line
    set (`estimated` True), else None.
    Where it was measured the other time, before or after, an estimate is that and what the brake
    gained in between; of a wing that nobody worked on it is that itself (`from_reading`).
    `free_travel_u_mm` is the standard uncertainty of an estimate; None where it was measured.
    `relative_mm` is the mean against the maker's table, less the common offset where the maker
    counts brakes with it, with `u_mm` and `probability` as for a line; `furthest_mm` is the same of
    the line that lies furthest from its table. `verdict` is the worst of the mean and every line,
    each against `tolerance_mm`. `below_minimum` says whether free travel is less than the least.
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
    u_mm: float | None = None
    probability: float | None = None
    furthest_mm: float | None = None
    free_travel_u_mm: float | None = None
    from_reading: bool = False
    by_main: bool = False


@dataclass(frozen=True)
class RiserFinding:
    """One riser, `name`: its deviations at trim and accelerated, + = longer.

    `trim_mm` and `accelerated_mm` have the standard uncertainty `u_mm`, and `tolerance_mm` is their
    limit. `missing` counts what of it was specified and not measured, at trim or accelerated.
    """

    side: Side
    name: str
    trim_mm: float | None
    accelerated_mm: float | None
    tolerance_mm: float | None
    verdict: Verdict
    u_mm: float | None = None
    missing: int = 0


@dataclass(frozen=True)
class SpeedRange:
    """Change of trim speed in km/h, + = faster; `low_km_h` is the smallest in size, none rounded.

    Beyond the angles that the estimate was checked for, `central_km_h` and `high_km_h` are None and
    `low_km_h` is the least. `base_km_h` is the trim speed used; `assumed` True when the job gave
    none.
    """

    central_km_h: float | None
    low_km_h: float
    high_km_h: float | None
    base_km_h: float
    assumed: bool


@dataclass(frozen=True)
class State:
    """The wing as measured once, before or after.

    `verdict` folds rows, stabilo and a limit between the sides; `tolerances` counts what was
    not measured. `residuals` is empty for fewer than three rows, which always lie on a line.
    `brake_difference` is right minus left travel change, `travel_difference` the same of free
    travel that was measured on both sides. `comparable_load` is FAIL when the measuring load
    differs from the specification's: then every effect of lengths is not assessed. It is
    CONDITIONAL_PASS when lengths were corrected for the load (`correction`). `budget` lists what
    makes one length uncertain, `line_u_mm` is the largest standard uncertainty of a judged line.
    `offset_why` says why the common offset is not known, and lines were not judged. `risers_in`
    says what is known of the risers that the angles rest on.
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
    travel_difference: Effect
    speed: SpeedRange | None
    risers: tuple[RiserFinding, ...]
    riser_verdict: Verdict
    comparable_load: Verdict
    budget: tuple[ErrorSource, ...] = ()
    line_u_mm: float | None = None
    correction: LoadCorrection | None = None
    offset_why: WhyNot = WhyNot.ASSESSED
    level: SharedLevel | None = None
    carry_over: CarryOver | None = None
    risers_in: RiserBasis = RiserBasis.NOT_MEASURED

    @property
    def plain(self) -> bool:
        """Whether lines that hold the wing were measured of which it is not known what all share.

        Such as are in doubt do not count. Those of both measurings are drawn as they are then, from
        one zero.
        """
        trim = [x for x in self.lines if not x.kind.is_brake]
        measured = [x for x in trim if x.deviation_mm is not None and not x.doubted]
        return any(x.relative_mm is None for x in measured)

    def line(self, side: Side, point: Point) -> LineFinding | None:
        """The finding of one line, or None."""
        return next((x for x in self.lines if x.side is side and x.point == point), None)


@dataclass(frozen=True)
class Change:
    """After minus before, from lines measured both times; `offset_mm` is that of the common offset.

    `rows_mm` and `lines_mm` are changes of the plain measured lengths, `brakes` that of the travel
    against the line set, or of measured free travel where lengths do not say; `brake_lines_mm` is
    how far the brake's own lines moved against the mean of all that hold the wing; `speed` follows
    from `effective` (see `Pitch`), `turn` from both differences between the sides. Lines that were
    carried over did not change. `chance_mm` is what the line that changed most may be off the
    middle one by chance: of twenty wings that nobody touched, one line of one wing is further off.
    """

    offset_mm: float | None
    pitch: Effect
    bands: Mapping[Band, Effect]
    twist: Effect
    symmetry_angle: Effect
    all_lines: Effect
    turn: Turn
    rows_mm: Mapping[str, float]
    lines_mm: Mapping[LineKey, float]
    brakes: Mapping[Side, Effect]
    speed: SpeedRange | None
    effective: Effect | None = None
    brake_lines_mm: Mapping[Side, float] = field(default_factory=dict)
    chance_mm: float | None = None


@dataclass(frozen=True)
class LedgerEntry:
    """One adjusted `line`: the change its loops promise against the change measured, in mm.

    `expected_mm` is what replacing `loop_before` by `loop_after` promises, + = longer, or the
    change that was stated; `remark` is the workshop's. `measured_mm` is what the `points` that the
    line carries moved together, without what other adjusted lines on the way did and what the whole
    line set changed by. `verdict` is PASS when the two agree within `limit_mm`, FAIL when not;
    NOT_ASSESSED where that cannot be told from a line that nobody touched, or where it is not known
    what the whole line set changed by. `shown` is True where measuring shows a change that way,
    False where it shows none as planned, and None where it cannot tell or nobody measured.
    `shift_mm` is what the whole line set changed by, which `measured_mm` is without; None where
    that is not known, and nothing was taken off. A change of up to `least_mm`, the same for all
    entries, may be chance; None where any may be. `apart` says that the points did not move
    together: then `measured_mm` is the middle one of their changes.
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
    shown: bool | None = None
    shift_mm: float | None = None
    least_mm: float | None = None
    apart: bool = False

    @property
    def moved_mm(self) -> float | None:
        """What measuring shows that the line was moved by, + = longer; None where it does not."""
        return self.measured_mm if self.shown else None


@dataclass(frozen=True)
class WorkCheck:
    """What all adjusted lines together did against their plan, in mm, + = longer than planned.

    `shift_mm` is what the whole line set changed by between both measurings, with its standard
    uncertainty `u_shift_mm`: from `untouched` lines, or 0 where too few of them were measured twice
    in one session. `gap_mm` is the mean over all adjusted lines less `shift_mm`; `verdict` compares
    it with `limit_mm`. Where some were to become longer and others shorter, `short_mm` is what they
    moved less far than planned on average, each the way it was to move, + = less far, and is
    compared with `short_limit_mm`: in `gap_mm` what both fall short by cancels. NOT_ASSESSED, by
    `why_not`, where the shift is not known: then lines can only be compared with each other.
    """

    shift_mm: float
    u_shift_mm: float
    untouched: int
    gap_mm: float | None
    limit_mm: float | None
    verdict: Verdict
    why_not: WhyNot = WhyNot.ASSESSED
    short_mm: float | None = None
    short_limit_mm: float | None = None

    @property
    def by_way(self) -> bool:
        """What lines moved the way they were to is further beyond chance than their plain mean."""
        if self.short_mm is None or not self.short_limit_mm or not self.limit_mm:
            return False
        plain = abs(self.gap_mm or 0.0) / self.limit_mm
        return abs(self.short_mm) / self.short_limit_mm > plain


@dataclass(frozen=True)
class ReadingFinding:
    """One reading of a cloth test against its limit: the `value` at one `place`.

    `probability` is that of the true value meeting the limit, None when its uncertainty is unknown.
    """

    place: str
    value: float
    verdict: Verdict
    probability: float | None = None


@dataclass(frozen=True)
class PorosityFinding:
    """Cloth porosity; `mean` is taken in flow and given in `unit`, in which the `limit` is too.

    `mean_flow_l_m2_min` is the mean in L/m²/min, None where the instrument does not tell.
    """

    unit: PorosityUnit
    mean: float
    mean_flow_l_m2_min: float | None
    worst: ReadingFinding
    readings: tuple[ReadingFinding, ...]
    limit: float | None
    verdict: Verdict


@dataclass(frozen=True)
class TearFinding:
    """Tear test; `worst` tore furthest. `limit_mm` is that of each reading."""

    worst: ReadingFinding
    readings: tuple[ReadingFinding, ...]
    limit_mm: float | None
    verdict: Verdict


@dataclass(frozen=True)
class StrengthFinding:
    """One line pull. Held below the requirement is NOT_ASSESSED, never a pass.

    `required_n` is the job's, else what the specification's rule makes of the wing's weight.
    `margin_n` is what the line held beyond it in N, minus below; both None where nothing is asked.
    """

    test: StrengthTest
    required_n: float | None
    margin_n: float | None
    verdict: Verdict
    why_not: WhyNot = WhyNot.ASSESSED


@dataclass(frozen=True)
class Findings:
    """All that is known after the analysis. None means not measured, not "fine".

    `doubts` is what looks wrong in the data. `extra` holds what analyses of other packages add, by
    analysis name.
    """

    before: State | None = None
    after: State | None = None
    change: Change | None = None
    ledger: tuple[LedgerEntry, ...] = ()
    work: WorkCheck | None = None
    porosity: PorosityFinding | None = None
    tear: TearFinding | None = None
    strength: tuple[StrengthFinding, ...] = ()
    strength_verdict: Verdict = Verdict.NOT_ASSESSED
    cloth_verdict: Verdict = Verdict.NOT_ASSESSED
    inspection_verdict: Verdict = Verdict.NOT_ASSESSED
    defects: tuple[InspectionItem, ...] = ()
    decision: Decision = UNDECIDED
    doubts: tuple[Doubt, ...] = ()
    extra: Mapping[str, Mapping[str, float | str]] = field(default_factory=dict)

    @property
    def now(self) -> State | None:
        """The wing as it leaves the workshop: after if measured, else before."""
        return self.after or self.before

    @property
    def first(self) -> State | None:
        """The wing as first measured: before the work, or after it if it was measured only then."""
        return self.before or self.after

    @property
    def twice(self) -> bool:
        """Whether the wing was measured both before and after the work."""
        return self.before is not None and self.after is not None
