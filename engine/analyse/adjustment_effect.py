"""What work on a line promises: how far it moves which points."""

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass

from trimscribe.model.job import Adjustment, Job
from trimscribe.model.latest import keep_latest
from trimscribe.model.replaced import carried_points, lacks_a_name, points_named, points_of_whole
from trimscribe.model.wing import GroupKind, LineKey, Point, Side, Specification


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
    return _of_replaced(job, points_named)


def sides_of_unnamed(job: Job) -> frozenset[Side]:
    """Sides with a replaced line of which it is not said which one: any of theirs may be it."""
    specification = job.specification
    return frozenset(
        side
        for item in job.replacements
        if specification and lacks_a_name(item.part, specification)
        for side in item.sides
    )


def moved_by_work(job: Job, moved: Mapping[LineKey, float]) -> dict[LineKey, float]:
    """Changes but those of rows or sets that were exchanged: new lines are as long as they came."""
    new = _of_replaced(job, points_of_whole)
    return {key: mm for key, mm in moved.items() if key not in new}


def _of_replaced(
    job: Job, points_of: Callable[[str, Specification], frozenset[Point]]
) -> frozenset[LineKey]:
    specification = job.specification
    if specification is None:
        return frozenset()
    return frozenset(
        (side, point)
        for item in job.replacements
        for point in points_of(item.part, specification)
        for side in item.sides
    )


def touched_keys(job: Job) -> frozenset[LineKey] | None:
    """Every point that work may have moved; None where a replaced line is not named."""
    specification = job.specification
    if specification is None:
        return None
    if sides_of_unnamed(job):
        return None
    effects = effects_of(job)
    keys = frozenset[LineKey]().union(*(effect.keys | effect.itself for effect in effects))
    return keys | replaced_keys(job)
