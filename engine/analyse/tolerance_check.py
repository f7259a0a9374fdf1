"""Every line against its tolerance, and each group's count."""

from collections.abc import Iterable, Mapping

from trimscribe.analyse.brakes import Brake
from trimscribe.analyse.limits import limit_mm
from trimscribe.analyse.verdicts import fold, within
from trimscribe.model.findings import CommonOffset, LineFinding, Tolerance, Verdict
from trimscribe.model.job import Measurement
from trimscribe.model.wing import GroupKind, LineGroup, Point, Side, Specification, Tolerances

__all__ = ["BRAKE_KINDS", "LEFT_RIGHT", "group_counts", "line_findings"]

BRAKE_KINDS = (GroupKind.BRAKE, GroupKind.BRAKE_MAIN)
LEFT_RIGHT = "left_right"


def line_findings(
    specification: Specification,
    measurement: Measurement,
    offset: CommonOffset | None,
    brakes: Mapping[Side, Brake],
    tolerances: Tolerances,
) -> tuple[LineFinding, ...]:
    """Every specified line: left then right, groups in order, centre to tip."""
    return tuple(
        _finding(
            side,
            group,
            point,
            measurement.lengths_mm.get((side, point)),
            offset,
            brakes[side],
            limit_mm(tolerances, group.name),
        )
        for side in Side
        for group in specification.groups
        for point in group.points
    )


def _finding(
    side: Side,
    group: LineGroup,
    point: Point,
    measured_mm: float | None,
    offset: CommonOffset | None,
    brake: Brake,
    limit: float | None,
) -> LineFinding:
    specified = group.lengths_mm[point.number - 1]
    deviation = None if measured_mm is None else measured_mm - specified
    if group.kind in BRAKE_KINDS:
        relative = brake.relative(deviation, offset)
    else:
        relative = None if deviation is None or offset is None else deviation - offset.value_mm
    return LineFinding(
        side=side,
        point=point,
        kind=group.kind,
        specified_mm=specified,
        measured_mm=measured_mm,
        deviation_mm=deviation,
        relative_mm=relative,
        tolerance_mm=limit,
        verdict=within(relative, limit),
    )


def group_counts(
    specification: Specification, lines: tuple[LineFinding, ...], tolerances: Tolerances
) -> tuple[Tolerance, ...]:
    """One entry per group; one more, `left_right`, when a limit between the sides is set.

    There a pair of lines counts as one, over rows and stabilo, and is missing unless both sides
    were measured.
    """
    counts = [
        _count(
            group.name,
            limit_mm(tolerances, group.name),
            [(x.deviation_mm, x.verdict) for x in lines if x.point.group == group.name],
        )
        for group in specification.groups
    ]
    if tolerances.left_right_mm is not None:
        pairs = [(d, within(d, tolerances.left_right_mm)) for d in _differences(lines)]
        counts.append(_count(LEFT_RIGHT, tolerances.left_right_mm, pairs))
    return tuple(counts)


def _count(
    group: str, limit: float | None, lines: Iterable[tuple[float | None, Verdict]]
) -> Tolerance:
    known = list(lines)
    verdicts = [verdict for _, verdict in known]
    return Tolerance(
        group=group,
        limit_mm=limit,
        judged=sum(v is not Verdict.NOT_ASSESSED for v in verdicts),
        outside=sum(v is Verdict.FAIL for v in verdicts),
        missing=sum(value is None for value, _ in known),
        verdict=fold(verdicts),
    )


def _differences(lines: tuple[LineFinding, ...]) -> list[float | None]:
    """Right minus left in mm of each pair of row and stabilo lines; None when one is missing."""
    trim = [x for x in lines if x.kind not in BRAKE_KINDS]
    right = {x.point: x.deviation_mm for x in trim if x.side is Side.RIGHT}
    return [
        None
        if x.deviation_mm is None or (other := right[x.point]) is None
        else other - x.deviation_mm
        for x in trim
        if x.side is Side.LEFT
    ]
