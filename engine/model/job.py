"""The job: everything that the workshop wrote about one service, checked and typed.

The order and the people, both measurings, the work, the tests of cloth and lines, the inspection.
"""

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from enum import StrEnum

from trimscribe.errors import Fault, Mark
from trimscribe.model.decision import SIMPLE, DecisionRule
from trimscribe.model.report import Amendment
from trimscribe.model.wing import LineKey, RiserLengths, Side, Specification, Tolerances, Wing
from trimscribe.model.workshop import InputFile, Person, Workshop


class Flight(StrEnum):
    """Whether the workshop released the wing."""

    RELEASED = "released"
    WITH_CONDITIONS = "released with conditions"
    NOT_RELEASED = "not released"
    NOT_DECIDED = "not decided"


@dataclass(frozen=True)
class FlightDecision:
    """The workshop's word, never the program's; `by` is empty where whoever signs took it."""

    flight: Flight = Flight.NOT_DECIDED
    conditions: str = ""
    reason: str = ""
    by: str = ""


NOT_DECIDED = FlightDecision()


class OffsetMethod(StrEnum):
    """How the common offset of a line set is chosen; `ROW` takes the mean of one named row."""

    MEAN = "mean"
    MEDIAN = "median"
    ROW = "row"
    NONE = "none"


@dataclass(frozen=True)
class NextService:
    """Whichever comes first; None where that limit is not set."""

    date: dt.date | None = None
    hours: float | None = None


@dataclass(frozen=True)
class Service:
    """The service as an order: number, dates, people, why the wing came in.

    `issued` is the day of the report where it is not `done`; `place` where the work was done if not
    at the workshop's address; `condition` the wing as it came in.
    """

    number: str
    done: dt.date
    received: dt.date | None = None
    issued: dt.date | None = None
    place: str = ""
    reason: str = ""
    condition: str = ""
    replaces: Amendment | None = None
    technician: Person | None = None
    signed_by: Person | None = None
    next_service: NextService | None = None


@dataclass(frozen=True)
class Pilot:
    """Who flies the wing, what they told the workshop, and what it found about that."""

    name: str
    contact: str = ""
    all_up_weight_kg: float | None = None
    reported: str = ""
    answer: str = ""


@dataclass(frozen=True)
class TiedLoop:
    """The loop that a line hangs by, and the table of take-up that its maillon belongs to.

    An empty `maillon` is the only table there is.
    """

    loop: str
    maillon: str = ""


@dataclass(frozen=True)
class TiedLoops:
    """The loops as they were found: `default` holds for every main line that is not in `lines`."""

    default: Mapping[Side, TiedLoop] = field(default_factory=dict)
    lines: Mapping[tuple[Side, str], TiedLoop] = field(default_factory=dict)

    def at(self, side: Side, line: str, *, main: bool = True) -> TiedLoop | None:
        """The loop of one line, None where nobody stated it; only a `main` line has the default."""
        stated = self.lines.get((side, line))
        return stated or (self.default.get(side) if main else None)


@dataclass(frozen=True)
class Measurement:
    """One measuring of the whole wing, before or after the retrim.

    `lengths_mm` has a key for every point that was measured and none for the others.
    `uncertainty_mm` is the standard uncertainty (k = 1) of reading one length; None when not
    stated. `repeat_mm` is the scatter (standard deviation) of one line that is hooked up and read
    again, and holds reading, hook-up and tension; `session_mm` what two measurings of one day may
    differ by as a whole. `controls` are the untouched lines that tie this measuring to the earlier
    one; empty where all of them that were measured twice do. `deviations` says what was done
    otherwise than the method says, `done_by` who measured if not the workshop. `tied` are the loops
    as they were found, which a proposed retrim needs. `calculated` lengths are those of a proposal:
    nobody measured them, and no slip is looked for.
    """

    lengths_mm: Mapping[LineKey, float]
    date: dt.date | None = None
    method: str = ""
    instrument: str = ""
    tension_n: float | None = None
    uncertainty_mm: float | None = None
    repeat_mm: float | None = None
    session_mm: float | None = None
    controls: frozenset[LineKey] = frozenset()
    deviations: str = ""
    done_by: str = ""
    risers: Mapping[tuple[Side, str], RiserLengths] = field(default_factory=dict)
    free_travel_mm: Mapping[Side, float] = field(default_factory=dict)
    tied: TiedLoops | None = None
    calculated: bool = False

    def without(self, keys: frozenset[LineKey]) -> "Measurement":
        """The same measuring without some of its lines."""
        if keys.isdisjoint(self.lengths_mm):
            return self
        lengths = {key: mm for key, mm in self.lengths_mm.items() if key not in keys}
        return replace(self, lengths_mm=lengths)


@dataclass(frozen=True)
class LoopTable:
    """The workshop's own measured take-up in mm of each loop, per kind of maillon."""

    take_up_mm: Mapping[str, Mapping[str, float]] = field(default_factory=dict)

    def of(self, maillon: str) -> Mapping[str, float]:
        """The table of a kind of maillon; where none is named, that of the only one there is."""
        tables = self.take_up_mm
        if not maillon:
            return next(iter(tables.values())) if len(tables) == 1 else {}
        return tables.get(maillon, {})


@dataclass(frozen=True)
class Adjustment:
    """What was changed at one line on one side.

    Either both loops are given (with the table `maillon` they are read from), or `change_mm` for
    a line that was made longer (+) or shorter (-) without a loop. `entry` is its place in the job's
    list, from 0; one entry for both sides makes two adjustments.
    """

    line: str
    side: Side
    loop_before: str = ""
    loop_after: str = ""
    maillon: str = ""
    change_mm: float | None = None
    remark: str = ""
    entry: int = 0

    def promised_mm(self, loops: LoopTable) -> float | None:
        """What the work promises in mm, + = longer: the take-up before minus that after.

        None when the table lacks a loop.
        """
        if self.change_mm is not None:
            return self.change_mm
        table = loops.of(self.maillon)
        before, after = table.get(self.loop_before), table.get(self.loop_after)
        return None if before is None or after is None else before - after


@dataclass(frozen=True)
class WrittenPlan:
    """A retrim as it is in the job: proposed, and not work done until somebody says `done`."""

    changes: tuple[Adjustment, ...] = ()
    done: bool = False


@dataclass(frozen=True)
class Replacement:
    """A line or part that was exchanged, and why."""

    part: str
    side: Side | None
    reason: str

    @property
    def sides(self) -> tuple[Side, ...]:
        """The sides that it may be of: both where none is stated."""
        return (self.side,) if self.side else tuple(Side)


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
    """The `line` of that name pulled to `load_n`; `broke` says whether it broke at that load.

    `required_n` is what it must hold; None leaves that to the specification's rule.
    `uncertainty_n` is the standard uncertainty of the load. `done_by` says who pulled it where that
    was not the workshop, `remark` what was noted.
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
    """One `part` looked at; `remark` says what was noted."""

    part: str
    condition: Condition
    remark: str = ""


@dataclass(frozen=True)
class Job:
    """One service of one wing. Whatever is None or empty was not stated; nothing is assumed.

    `confirmed` holds, by the name of a doubtful value, why the workshop says that it is right.
    `redacted` says that all about the pilot was left out of this copy.
    """

    service: Service
    workshop: Workshop
    wing: Wing
    pilot: Pilot | None = None
    specification: Specification | None = None
    tolerances: Tolerances = field(default_factory=Tolerances)
    offset_method: OffsetMethod = OffsetMethod.MEAN
    offset_row: str = ""
    before: Measurement | None = None
    after: Measurement | None = None
    loops: LoopTable = field(default_factory=LoopTable)
    adjustments: tuple[Adjustment, ...] = ()
    replacements: tuple[Replacement, ...] = ()
    porosity: Porosity | None = None
    tear: TearTest | None = None
    strength: tuple[StrengthTest, ...] = ()
    inspection: tuple[InspectionItem, ...] = ()
    notes: str = ""
    redacted: bool = False
    thresholds: Mapping[str, float] = field(default_factory=dict)
    decision_rule: DecisionRule = SIMPLE
    confirmed: Mapping[str, str] = field(default_factory=dict)
    flight: FlightDecision = NOT_DECIDED
    plan: WrittenPlan | None = None


@dataclass(frozen=True)
class Reading:
    """What `read` returns: the job, the files it came from, where every value was, warnings.

    `marks` maps a value's path, such as `("before", "left", "A", 3)`, to its place. Points count
    from 1 there, as they do for the technician. `shop` is the name, among the files, of a shop file
    that the caller chose in place of the job's; empty where the job decides. `left_out` is the
    pilot of whom a copy for sharing tells nothing.
    """

    job: Job
    files: tuple[InputFile, ...]
    marks: Mapping[tuple[str | int, ...], Mark]
    warnings: tuple[Fault, ...] = ()
    shop: str = ""
    left_out: Pilot | None = None
