"""What work on a line promises: how far it moves which points."""

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from trimscribe.model.job import Adjustment, Job
from trimscribe.model.latest import keep_latest
from trimscribe.model.wing import BRAKE_MAIN, GroupKind, LineKey, Point, Side, Specification

_NAMES = re.compile(r"[^\s,;()]+")
_A_LINE = re.compile(r"\blines?\b", re.IGNORECASE)


@dataclass(frozen=True)
class AdjustmentEffect:
    """One adjustment with its promise in mm and the points that it moves.

    `itself` is the adjusted line where it was measured alone: only a main brake line is.
    """

    adjustment: Adjustment
    expected_mm: float | None
    keys: frozenset[LineKey]
    itself: frozenset[LineKey]

    @classmethod
    def of(cls, adjustment: Adjustment, job: Job) -> "AdjustmentEffect":
        """What one adjustment promises, and where."""
        line, side, specification = adjustment.line, adjustment.side, job.specification
        group = specification.group(line) if specification else None
        main = group.points if group and group.kind is GroupKind.BRAKE_MAIN else ()
        carried = carried_points(line, specification) if specification else ()
        return cls(
            adjustment,
            adjustment.promised_mm(job.loops),
            keys=frozenset((side, point) for point in carried),
            itself=frozenset((side, point) for point in main),
        )


@keep_latest
def effects_of(job: Job) -> tuple[AdjustmentEffect, ...]:
    """One per adjustment, in the order of the job."""
    return tuple(AdjustmentEffect.of(adjustment, job) for adjustment in job.adjustments)


def carried_points(line: str, specification: Specification) -> tuple[Point, ...]:
    """The attachment points that a line moves: those of the cascade, the brake fan, or itself.

    `line` is a line of the cascade, the main brake line, or a single line such as "A3".
    """
    for cascade in specification.cascade:
        if cascade.name == line:
            return cascade.points
    main = next((g for g in specification.groups if g.kind is GroupKind.BRAKE_MAIN), None)
    if line == BRAKE_MAIN or (main is not None and line == main.name):
        fan = [p for g in specification.groups if g.kind is GroupKind.BRAKE for p in g.points]
        return tuple(fan) or (main.points if main else ())
    near = (g for g in specification.groups if line.startswith(g.name))
    return tuple(p for g in near for p in g.points if str(p) == line)


def promised(effects: Iterable[AdjustmentEffect]) -> tuple[dict[LineKey, float], set[LineKey]]:
    """What all the work promises at each point in mm, and the points where that is not known."""
    known: dict[LineKey, float] = {}
    unknown: set[LineKey] = set()
    for effect in effects:
        for key in effect.keys:
            if effect.expected_mm is None:
                unknown.add(key)
            else:
                known[key] = known.get(key, 0.0) + effect.expected_mm
    return known, unknown


def unexplained(
    moved: Mapping[LineKey, float], effects: Iterable[AdjustmentEffect]
) -> dict[LineKey, float]:
    """Each point's change less all that the work promises there; without an unknown promise."""
    known, unknown = promised(effects)
    return {key: mm - known.get(key, 0.0) for key, mm in moved.items() if key not in unknown}


def replaced_keys(job: Job) -> frozenset[LineKey]:
    """Points whose line was exchanged, by the name of the part, such as "line B9"."""
    specification = job.specification
    if specification is None:
        return frozenset()
    keys: set[LineKey] = set()
    for item in job.replacements:
        for name in _NAMES.findall(item.part):
            points = carried_points(name, specification)
            keys |= {(s, point) for s in (item.side and (item.side,)) or Side for point in points}
    return frozenset(keys)


def touched_keys(job: Job) -> frozenset[LineKey] | None:
    """Every point that work may have moved; None where a replaced line is not named."""
    specification = job.specification
    if specification is None:
        return None
    for item in job.replacements:
        names = _NAMES.findall(item.part)
        unnamed = not any(carried_points(name, specification) for name in names)
        if unnamed and _A_LINE.search(item.part):
            return None
    effects = effects_of(job)
    keys = frozenset[LineKey]().union(*(effect.keys | effect.itself for effect in effects))
    return keys | replaced_keys(job)
