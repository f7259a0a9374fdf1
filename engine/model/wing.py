"""The wing and its specification: what the maker says the line set should be.

Lengths are in mm, chordwise positions in metres aft of the leading edge, tension in N.
Points of a group are numbered from the centre (1) to the tip.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import StrEnum
from functools import cached_property
from typing import NamedTuple

STABILO = "stabilo"
BRAKE = "brake"
BRAKE_MAIN = "brake_main"
# What a row or another group may be called: a point is written A3, so no digit ends it.
GROUP_NAME = r".*[^0-9\s]"
_SHORT = 2  # letters of a group's name that runs into a number, as in A3


class Side(StrEnum):
    """The pilot's left or right."""

    LEFT = "left"
    RIGHT = "right"


class Band(StrEnum):
    """A third of the half span, by station share: below 1/3, up to 2/3, above."""

    CENTRE = "centre"
    MIDDLE = "middle"
    TIP = "tip"


class GroupKind(StrEnum):
    """What a group of lines does; only rows decide the pitch."""

    ROW = "row"
    STABILO = "stabilo"
    BRAKE = "brake"
    BRAKE_MAIN = "brake_main"

    @property
    def is_brake(self) -> bool:
        """A brake's fan or its main line; all others hold the wing."""
        return self in (GroupKind.BRAKE, GroupKind.BRAKE_MAIN)


class Point(NamedTuple):
    """One attachment point: group name and number from the centre (1) outwards."""

    group: str
    number: int

    def __str__(self) -> str:
        """Read as the trade writes it, `A3`."""
        return f"{self.group}{self.number}"

    @property
    def name(self) -> str:
        """The same for a reader: a group called by a word is parted from its number, `Third 13`."""
        return str(self) if len(self.group) <= _SHORT else f"{self.group} {self.number}"


LineKey = tuple[Side, Point]


@dataclass(frozen=True)
class LineGroup:
    """A row, the stabilo lines, the brake fan or the main brake line.

    `lengths_mm` holds the specified length per point, `chord_m` the attachment's position aft
    of the leading edge per point (rows only; empty when unknown).
    """

    name: str
    kind: GroupKind
    lengths_mm: tuple[float, ...]
    chord_m: tuple[float, ...] = ()

    @cached_property
    def points(self) -> tuple[Point, ...]:
        """The group's points, centre to tip."""
        return tuple(Point(self.name, n + 1) for n in range(len(self.lengths_mm)))

    @cached_property
    def lines(self) -> tuple[LineKey, ...]:
        """The group's lines: left then right, centre to tip."""
        return tuple((side, point) for side in Side for point in self.points)


@dataclass(frozen=True)
class CascadeLine:
    """A line that carries others: changing it moves every point in `points`.

    `parent` is the line below it, or None for a main line at the maillon.
    """

    name: str
    points: tuple[Point, ...]
    parent: str | None = None


@dataclass(frozen=True)
class RiserLengths:
    """Lengths of one riser in mm; None where not given or not measured."""

    trim_mm: float | None = None
    accelerated_mm: float | None = None


@dataclass(frozen=True)
class Tolerances:
    """Half widths in mm around the specified length; `groups` overrides `default_mm` by name.

    `source` names who set them. None means that nobody did.
    """

    default_mm: float | None = None
    groups: Mapping[str, float] = field(default_factory=dict)
    riser_mm: float | None = None
    left_right_mm: float | None = None
    source: str = ""

    def limit_mm(self, group: str) -> float | None:
        """The half width for a group; the main brake line shares the brake's. None = not set."""
        if group == BRAKE_MAIN and group not in self.groups:
            group = BRAKE
        return self.groups.get(group, self.default_mm)


@dataclass(frozen=True)
class StrengthRule:
    """What each line of some rows must still hold.

    The greater of `times_weight` × all-up weight × `n_per_kg` and `at_least_n`, shared by `lines`
    lines.
    """

    rows: tuple[str, ...]
    times_weight: float
    lines: int
    n_per_kg: float = 10.0
    at_least_n: float = 0.0

    def required_n(self, weight_kg: float) -> float:
        """Load in N that one line must hold on a wing for that all-up weight."""
        return max(self.times_weight * weight_kg * self.n_per_kg, self.at_least_n) / self.lines


@dataclass(frozen=True)
class RetrimLimits:
    """What the maker allows when a wing is retrimmed by loops; empty or None = nothing stated.

    `loops` may be tied at a maillon, lines of the cascade in `never` keep their loop, and a line
    may move at most `most_steps` places in the order of the loops' take-up.
    """

    loops: tuple[str, ...] = ()
    never: tuple[str, ...] = ()
    most_steps: int | None = None


@dataclass(frozen=True)
class TrimRule:
    """A maker's rule over groups of lines: a difference of means, in mm.

    The mean relative deviation of `plus` less that of `minus` is to lie within `within_mm` of
    `target_mm`: on each side by itself, or over both sides together.
    """

    name: str
    plus: tuple[Point, ...]
    minus: tuple[Point, ...] = ()
    each_side: bool = True
    target_mm: float = 0.0
    within_mm: float = 0.0


@dataclass(frozen=True)
class Specification:
    """The maker's line set for one model and size, with its source and revision.

    `rounding_mm` is the step of its lengths. `stiffness_n` holds, per group and point, the force
    in N that would double a line's length if it stretched evenly: what a correction for the
    measuring load needs. `brakes_share_offset` says that the maker counts brake lines with what all
    lines share; else they are compared with their table as it is. `confirmed` holds, by the name of
    a doubt, why a length is right.
    """

    maker: str
    model: str
    size: str
    source: str
    revision: str
    groups: tuple[LineGroup, ...]
    cascade: tuple[CascadeLine, ...] = ()
    risers: Mapping[str, RiserLengths] = field(default_factory=dict)
    includes_risers: bool = False
    tension_n: float | None = None
    tolerances: Tolerances = field(default_factory=Tolerances)
    trailing_edge_m: float | None = None
    brake_free_travel_mm: float | None = None
    lean_deg: float = 0.0
    span_m: float | None = None
    rounding_mm: float | None = None
    stiffness_n: Mapping[str, tuple[float, ...]] = field(default_factory=dict)
    strength_rules: tuple[StrengthRule, ...] = ()
    brakes_share_offset: bool = False
    retrim: RetrimLimits = RetrimLimits()
    trim_rules: tuple[TrimRule, ...] = ()
    confirmed: Mapping[str, str] = field(default_factory=dict)

    @property
    def called(self) -> str:
        """Source and revision, by which a report says what it judged by."""
        return f"{self.source}, {self.revision}"

    @property
    def rows(self) -> tuple[LineGroup, ...]:
        """The rows, front to rear."""
        return tuple(group for group in self.groups if group.kind is GroupKind.ROW)

    def group(self, name: str) -> LineGroup | None:
        """The group of that name, or None."""
        return next((group for group in self.groups if group.name == name), None)

    def specified_mm(self, point: Point) -> float:
        """Specified length of a point; KeyError when the specification lacks it."""
        group = self.group(point.group)
        if group is None or not 1 <= point.number <= len(group.lengths_mm):
            raise KeyError(str(point))
        return group.lengths_mm[point.number - 1]


@dataclass(frozen=True)
class Wing:
    """The very wing on the bench."""

    maker: str
    model: str
    size: str
    serial_number: str
    year: int | None = None
    hours: float | None = None
    flights: int | None = None
    certification: str = ""
    weight_min_kg: float | None = None
    weight_max_kg: float | None = None
    trim_speed_km_h: float | None = None
    colour: str = ""

    @property
    def full_name(self) -> str:
        """Maker, model and size."""
        return f"{self.maker} {self.model} {self.size}".strip()
