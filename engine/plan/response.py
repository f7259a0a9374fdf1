"""The wing as found, and how the real analysis answers when its lines are moved.

Nothing of the analysis is repeated here: each unit is moved by one mm, the analysis is asked about
the job as it would be measured then, and the difference is what that unit does to every quantity:
numbers that add up. Relative deviations and differences in mm are linear in the lengths, and so is
the tangent of an angle.
"""

import math
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from trimscribe.model.findings import Effect, Findings, State
from trimscribe.model.job import Job, OffsetMethod
from trimscribe.model.plan import RuleValue
from trimscribe.model.wing import GroupKind, LineKey, Point, Side, Specification
from trimscribe.plan.lines import Unit

Ask = Callable[[Job], Findings]
Floats = NDArray[np.float64]

# Faster than specified by this much cannot be told from as specified; more is never suggested.
# Judgement, narrower than towards slow: a reader of measurements cannot see 0.1 degrees.
FASTER_DEG = 0.12
_LEAST_BAND = 0.25  # of the noticing limit, where the uncertainty would leave nothing of it


@dataclass(frozen=True)
class Move:
    """Points of one side that would get longer (+) or shorter by this many mm."""

    side: Side
    points: tuple[Point, ...]
    mm: float


def as_found(job: Job) -> Job:
    """The job before any work: what a plan starts from."""
    return replace(
        job,
        after=None,
        adjustments=(),
        replacements=(),
        porosity=None,
        tear=None,
        strength=(),
        inspection=(),
        plan=None,
    )


@dataclass(frozen=True)
class FoundWing:
    """The wing as found, to be looked at with moved lines."""

    job: Job
    specification: Specification
    state: State

    def moved(
        self,
        moves: Iterable[Move],
        brakes: Mapping[Side, float] | None = None,
        free_travel_mm: Mapping[Side, float] | None = None,
    ) -> Job:
        """The job with lengths moved, the main brake lines by `brakes` in mm.

        Free travel as measured belongs to the lengths as they were: without `free_travel_mm` there
        is none.
        """
        before = self.job.before
        assert before is not None
        lengths = dict(before.lengths_mm)
        for move in (*moves, *self._brake_moves(brakes or {})):
            for point in move.points:
                if (move.side, point) in lengths:
                    lengths[move.side, point] += move.mm
        planned = replace(
            before, lengths_mm=lengths, free_travel_mm=dict(free_travel_mm or {}), calculated=True
        )
        return replace(self.job, before=planned)

    def _brake_moves(self, brakes: Mapping[Side, float]) -> Iterable[Move]:
        points = tuple(p for g in self.specification.groups if g.kind.is_brake for p in g.points)
        return [Move(side, points, mm) for side, mm in brakes.items()]


@dataclass(frozen=True)
class Linear:
    """A quantity: its value as found, and what one mm at each unit adds."""

    value: float
    by_unit: Floats


@dataclass(frozen=True)
class Bounds:
    """A quantity that a plan shall leave between two values; `hard_low` allows no exception."""

    name: str
    quantity: Linear
    low: float
    high: float
    hard_low: bool = False


@dataclass(frozen=True)
class RuleLine:
    """One of the maker's rules as a quantity; `relative` = the common offset does not cancel."""

    rule: RuleValue
    quantity: Linear
    relative: bool


@dataclass(frozen=True)
class Answer:
    """The parts of one analysis that a plan looks at."""

    relative: Mapping[LineKey, float]
    bands: Mapping[str, float]
    rules: tuple[RuleValue, ...]


@dataclass(frozen=True)
class Response:
    """All that a programme needs to know about the wing.

    `lines` are the relative deviations of row and stabilo lines in mm, in the order of `keys`, with
    their `limits`. A median offset is not linear: then `lines` are plain deviations, and
    `median_of` has the numbers, from 0, of those that the median is taken of; else it is empty.
    `left_right_mm` is the limit between both sides, None where none is set.
    """

    keys: tuple[LineKey, ...]
    lines: tuple[Linear, ...]
    limits: tuple[float, ...]
    bands: tuple[Bounds, ...]
    rules: tuple[RuleLine, ...]
    median_of: tuple[int, ...] = ()
    left_right_mm: float | None = None

    @classmethod
    def of(cls, wing: FoundWing, units: Sequence[Unit], ask: Ask) -> "Response":
        """Ask the analysis about every unit, one after the other."""
        base = answer_of(wing.state, wing.specification)
        states = [state_of(ask(wing.moved(_one_mm(unit)))) for unit in units]
        moved = [answer_of(state, wing.specification) for state in states]
        keys = tuple(base.relative)
        median = wing.job.offset_method is OffsetMethod.MEDIAN
        found = {(line.side, line.point): line for line in wing.state.lines}
        if median:
            shifts = [{(m.side, p) for m in unit.members for p in m.points} for unit in units]
            lines = tuple(
                Linear(
                    round(found[key].deviation_mm or 0.0, 9),
                    np.array([float(key in shift) for shift in shifts]),
                )
                for key in keys
            )
        else:
            lines = tuple(
                _linear(base.relative[key], [m.relative[key] for m in moved]) for key in keys
            )
        return cls(
            keys=keys,
            lines=lines,
            limits=tuple(found[key].tolerance_mm or math.inf for key in keys),
            bands=tuple(_bands(wing.state, base, moved)),
            rules=tuple(_rules(wing.specification, keys, lines)),
            median_of=tuple(
                n for n, key in enumerate(keys) if found[key].kind is GroupKind.ROW
            ) if median else (),
            left_right_mm=wing.job.tolerances.left_right_mm,
        )  # fmt: skip


def _one_mm(unit: Unit) -> list[Move]:
    return [Move(member.side, member.points, 1.0) for member in unit.members]


def state_of(findings: Findings) -> State:
    """The wing as it was measured before, which a plan always has."""
    assert findings.before is not None
    return findings.before


def _linear(value: float, moved: Iterable[float]) -> Linear:
    # To a millionth of a micrometre: what is less is of adding up, which differs by machine.
    by_unit = np.round(np.array([other - value for other in moved], dtype=np.float64), 9)
    return Linear(round(value, 9), np.asarray(by_unit + 0.0, dtype=np.float64))


def _rules(
    specification: Specification, keys: Sequence[LineKey], lines: Sequence[Linear]
) -> Iterable[RuleLine]:
    """Rules whose lines were all measured, put together from those lines."""
    at = dict(zip(keys, lines, strict=True))
    by_name = {rule.name: rule for rule in specification.trim_rules}
    for value in rule_values({key: line.value for key, line in at.items()}, specification):
        if value.value_mm is None:
            continue
        rule, sides = by_name[value.name], (value.side,) if value.side else tuple(Side)
        by_unit = _mean_by_unit([at[side, point] for side in sides for point in rule.plus])
        if rule.minus:
            by_unit = by_unit - _mean_by_unit([at[s, p] for s in sides for p in rule.minus])
        yield RuleLine(
            value,
            Linear(value.value_mm, np.asarray(by_unit, dtype=np.float64)),
            relative=not rule.minus,
        )


def _mean_by_unit(lines: Sequence[Linear]) -> Floats:
    return np.asarray(np.mean([line.by_unit for line in lines], axis=0), dtype=np.float64)


def trim_lines(state: State, specification: Specification) -> dict[LineKey, float]:
    """Relative deviation in mm of each measured row and stabilo line, in a fixed order."""
    order = {group.name: number for number, group in enumerate(specification.groups)}
    lines = [
        line for line in state.lines if not line.kind.is_brake and line.relative_mm is not None
    ]
    lines.sort(key=lambda x: (order[x.point.group], x.point.number, x.side is Side.RIGHT))
    return {(line.side, line.point): line.relative_mm or 0.0 for line in lines}


def answer_of(state: State, specification: Specification) -> Answer:
    """What one analysis says about lines, bands and the maker's rules."""
    relative = trim_lines(state, specification)
    effects = {name: _bare(effect) for name, effect in _effects(state).items()}
    known = {name: value for name, value in effects.items() if value is not None}
    return Answer(relative, known, rule_values(relative, specification))


def _effects(state: State) -> dict[str, Effect]:
    """Angles and differences that a plan keeps small, by name."""
    effects = {"pitch": state.pitch.wing, "twist": state.pitch.twist}
    if state.pitch.effective is not None:
        effects["effective"] = state.pitch.effective
    effects["left right"] = state.symmetry.angle
    effects |= {f"left right {row}": effect for row, effect in state.symmetry.rows.items()}
    effects["left right all"] = state.symmetry.all_lines
    return effects


def _bare(effect: Effect) -> float | None:
    """A value that adds up: mm as they are, of an angle the tangent."""
    return None if effect.value is None else _straight(effect, effect.value)


def _straight(effect: Effect, value: float) -> float:
    return math.tan(math.radians(value)) * 1000.0 if effect.unit == "deg" else value


def _bands(state: State, base: Answer, moved: Sequence[Answer]) -> Iterable[Bounds]:
    """Each effect within the size that is called "none expected"; stricter towards fast."""
    for name, effect in _effects(state).items():
        if name not in base.bands:
            continue
        wide = max(effect.threshold - 2.0 * effect.u, _LEAST_BAND * effect.threshold)
        fast = name in ("pitch", "effective")
        low = -min(FASTER_DEG, wide) if fast else -wide
        yield Bounds(
            name,
            _linear(base.bands[name], [answer.bands[name] for answer in moved]),
            _straight(effect, low),
            _straight(effect, wide),
            hard_low=fast,
        )


def rule_values(
    relative: Mapping[LineKey, float], specification: Specification
) -> tuple[RuleValue, ...]:
    """The maker's rules in the order of their names; None where a line of one was not measured."""
    values = []
    for rule in sorted(specification.trim_rules, key=lambda rule: rule.name):
        for side in (Side.LEFT, Side.RIGHT) if rule.each_side else (None,):
            sides = (side,) if side else tuple(Side)
            plus = [relative.get((s, point)) for s in sides for point in rule.plus]
            minus = [relative.get((s, point)) for s in sides for point in rule.minus]
            known = None not in (*plus, *minus)
            value = _mean(plus) - _mean(minus) if known else None
            values.append(RuleValue(rule.name, side, value, rule.target_mm, rule.within_mm))
    return tuple(values)


def _mean(values: Sequence[float | None]) -> float:
    return math.fsum(value or 0.0 for value in values) / len(values) if values else 0.0
