"""The lines whose loops may be changed, and what each loop would do.

Everything is put into one fixed order here (rows from front to rear, centre to tip, left then
right), so that a plan never depends on the order in which a file names things.
"""

from collections.abc import Iterable
from dataclasses import dataclass

from trimscribe.model.job import Job, TiedLoop
from trimscribe.model.wing import CascadeLine, Point, Side, Specification

_MIDDLE_COST = 3  # a loop in the air costs more work than one at the maillon; judgement
_SAME_MM = 1e-9


@dataclass(frozen=True)
class Option:
    """One loop that a line may hang by, and the change in mm from the one found."""

    loop: str
    change_mm: float


@dataclass(frozen=True)
class Hanging:
    """One line on one side: its points, the loop found, and all that it may hang by.

    `options` are sorted by change; the one found has 0. `cost` counts as this many changes.
    """

    line: str
    side: Side
    points: tuple[Point, ...]
    tied: TiedLoop
    options: tuple[Option, ...]
    cost: int


@dataclass(frozen=True)
class Unit:
    """Lines that get the same change: one, or the same line on both sides.

    `changes_mm` are those that all of them can make, 0 among them.
    """

    members: tuple[Hanging, ...]
    changes_mm: tuple[float, ...]

    @property
    def cost(self) -> int:
        """How many changes it counts as."""
        return sum(member.cost for member in self.members)


def main_lines(specification: Specification) -> tuple[CascadeLine, ...]:
    """Main lines of rows and stabilo, front to rear and centre to tip."""
    return tuple(line for line in _ordered(specification) if line.parent is None)


def hanging_lines(job: Job, specification: Specification) -> tuple[Hanging, ...]:
    """Every line with a stated loop that may be changed, in the fixed order.

    Main lines; of those above, the ones that `tied` names itself.
    """
    tied = job.before.tied if job.before else None
    if tied is None:
        return ()
    return tuple(
        Hanging(
            line=line.name,
            side=side,
            points=line.points,
            tied=loop,
            options=_options(job, specification, loop),
            cost=1 if line.parent is None else _MIDDLE_COST,
        )
        for line in _ordered(specification)
        if line.name not in specification.retrim.never
        for side in Side
        if (loop := tied.at(side, line.name, main=line.parent is None)) is not None
    )


def units_of(lines: Iterable[Hanging], *, alike: bool) -> tuple[Unit, ...]:
    """Each line by itself, or with `alike` both sides of a line as one."""
    groups: dict[object, list[Hanging]] = {}
    for line in lines:
        groups.setdefault(line.line if alike else (line.line, line.side), []).append(line)
    return tuple(Unit(tuple(group), _shared(group)) for group in groups.values())


def _shared(group: list[Hanging]) -> tuple[float, ...]:
    first, *others = group
    return tuple(
        option.change_mm
        for option in first.options
        if all(option_for(other, option.change_mm) for other in others)
    )


def option_for(line: Hanging, change_mm: float) -> Option | None:
    """The loop that makes a change, None where there is none."""
    near = (o for o in line.options if abs(o.change_mm - change_mm) < _SAME_MM)
    return next(near, None)


def _ordered(specification: Specification) -> list[CascadeLine]:
    """Lines that carry rows or stabilo, by their innermost point; a main line before its middle."""
    groups = {
        group.name: number
        for number, group in enumerate(specification.groups)
        if not group.kind.is_brake
    }
    lines = [
        line
        for line in specification.cascade
        if line.points and all(point.group in groups for point in line.points)
    ]

    def place(line: CascadeLine) -> tuple[object, ...]:
        first = min((groups[point.group], point.number) for point in line.points)
        return (*first, line.parent is not None, -len(line.points), line.name)

    return sorted(lines, key=place)


def _options(job: Job, specification: Specification, tied: TiedLoop) -> tuple[Option, ...]:
    """The loop found and those that the maker allows, no more than the allowed steps away."""
    table = job.loops.of(tied.maillon)
    allowed = specification.retrim.loops
    usable = {name: mm for name, mm in table.items() if not allowed or name in allowed}
    usable[tied.loop] = now = table[tied.loop]
    order = sorted(usable, key=lambda name: (usable[name], name))
    here, most = order.index(tied.loop), specification.retrim.most_steps
    options = {0.0: Option(tied.loop, 0.0)}
    for number, name in enumerate(order):
        change = now - usable[name]
        if (most is None or abs(number - here) <= most) and abs(change) > _SAME_MM:
            options.setdefault(change, Option(name, change))
    return tuple(options[change] for change in sorted(options))
