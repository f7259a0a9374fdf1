"""A proposed retrim: which loops would be changed, and what that would leave.

Nothing here was done or measured. Signs as in the findings: + mm = longer, + degrees = nose up,
right minus left. Every outlook is what the analysis returns for the planned lengths.
"""

import math
from dataclasses import dataclass
from enum import StrEnum

from trimscribe.errors import Fault
from trimscribe.model.findings import Effect, SpeedRange
from trimscribe.model.wing import LineKey, Point, Side


class PlanKind(StrEnum):
    """What an alternative aims at."""

    FEWEST = "fewest changes"
    BETWEEN = "between"
    ROOM = "most room to the limits"
    SIDES_FREE = "sides apart"


class WhyNotMended(StrEnum):
    """Why a line would stay outside its limit whatever loop is tied."""

    APART = "lines of one main line too far apart"
    NO_LOOP = "no allowed loop reaches"


@dataclass(frozen=True)
class LoopChange:
    """One loop that would be changed; `change_mm` is the take-up now minus that proposed."""

    line: str
    side: Side
    loop_now: str
    loop_proposed: str
    maillon: str
    change_mm: float


@dataclass(frozen=True)
class BrakeChange:
    """One main brake line, to be set after the rows.

    Free travel in mm: `now_mm` as found, `after_rows_mm` once the planned rows have moved the line
    set at the trailing edge, `then_mm` with the brake changed by `change_mm`. `u_mm` is its
    standard uncertainty; `measured` says whether `now_mm` was measured.
    """

    side: Side
    now_mm: float
    after_rows_mm: float
    change_mm: float
    then_mm: float
    u_mm: float
    measured: bool


@dataclass(frozen=True)
class NearestLine:
    """The line that uses up most of its limit, or is furthest outside it."""

    side: Side
    point: Point
    relative_mm: float
    limit_mm: float


@dataclass(frozen=True)
class RuleValue:
    """One of the maker's rules: `side` None = both together; None where lines were not measured."""

    name: str
    side: Side | None
    value_mm: float | None
    target_mm: float
    within_mm: float


@dataclass(frozen=True)
class Outlook:
    """The wing at given lengths: as found, or as a plan would leave it.

    `outside_lines` are those whose lengths read beyond their limit, be it clearly (what reports
    call outside) or too close to be sure. `again_outside` is how many such lines may be expected
    when all are measured again, a mean and no promise.
    """

    judged: int
    outside_lines: tuple[LineKey, ...]
    nearest: NearestLine | None
    pitch: Effect
    effective: Effect | None
    twist: Effect
    left_right: Effect
    speed: SpeedRange | None
    again_outside: float
    rules: tuple[RuleValue, ...] = ()

    @property
    def outside(self) -> int:
        """How many lines read beyond their limits."""
        return len(self.outside_lines)


@dataclass(frozen=True)
class NotMendable:
    """Lines of one main line that would stay outside; `replace` names the odd one where one is.

    `apart_mm` is how far the two furthest points lie apart, `needs_mm` what loop change would be
    needed for those that no allowed loop reaches.
    """

    line: str
    side: Side
    why: WhyNotMended
    points: tuple[Point, ...]
    apart_mm: float
    replace: Point | None = None
    needs_mm: float = 0.0


@dataclass(frozen=True)
class Proposal:
    """One way to retrim. `proven` says that no better one exists in its own terms.

    `excess_mm` is by how much all lines and rules together would stay beyond their limits.
    """

    kind: PlanKind
    changes: tuple[LoopChange, ...]
    brakes: tuple[BrakeChange, ...]
    outlook: Outlook
    sides_alike: bool
    proven: bool
    excess_mm: float = 0.0


@dataclass(frozen=True)
class Plan:
    """What the analysis makes of the wing as found, and the alternatives, the proposal first."""

    now: Outlook
    proposals: tuple[Proposal, ...]
    not_mendable: tuple[NotMendable, ...] = ()
    warnings: tuple[Fault, ...] = ()


def half_steps(speed: SpeedRange) -> tuple[float, float | None, bool]:
    """A range of speed in km/h, in size, in half steps outwards, and whether it is faster.

    Rounding never narrows it. Without an upper end it is at least the lower one.
    """
    low, high = speed.low_km_h, speed.high_km_h
    return (
        math.floor(2.0 * abs(low) + 1e-9) / 2.0,
        None if high is None else math.ceil(2.0 * abs(high) - 1e-9) / 2.0,
        max(low, high or 0.0) > 0,
    )
