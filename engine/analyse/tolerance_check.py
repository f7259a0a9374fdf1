"""Every line against its tolerance, and each group's count."""

import math
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass

from trimscribe.analyse.brakes import Brake
from trimscribe.analyse.limits import limit_mm
from trimscribe.analyse.load import Loaded
from trimscribe.analyse.uncertainty import Spread
from trimscribe.analyse.verdicts import fold, probability_within, within
from trimscribe.model.decision import DecisionRule
from trimscribe.model.findings import CommonOffset, LineFinding, Tolerance, Verdict
from trimscribe.model.wing import GroupKind, LineGroup, Side, Specification, Tolerances

__all__ = ["BRAKE_KINDS", "LEFT_RIGHT", "Check", "group_counts", "line_findings"]

BRAKE_KINDS = (GroupKind.BRAKE, GroupKind.BRAKE_MAIN)
LEFT_RIGHT = "left_right"


@dataclass(frozen=True)
class Check:
    """What lines are held against: limits, decision rule, and how certain one length is.

    A line is judged against its specification as it is written, so an error that a whole row
    shares with it, which tells of pitch, is no part of a single line's uncertainty.
    """

    tolerances: Tolerances
    rule: DecisionRule
    spread: Spread
    correction_u_mm: float = 0.0

    @property
    def line_u_mm(self) -> float:
        """Standard uncertainty of one line's relative deviation."""
        return math.hypot(self.spread.line_mm, self.correction_u_mm)


def line_findings(
    specification: Specification,
    loaded: Loaded,
    offset: CommonOffset | None,
    brakes: Mapping[Side, Brake],
    check: Check,
) -> tuple[LineFinding, ...]:
    """Every specified line: left then right, groups in order, centre to tip."""
    return tuple(
        finding
        for side in Side
        for group in specification.groups
        for finding in _group(side, group, loaded, offset, brakes[side], check)
    )


def _group(
    side: Side,
    group: LineGroup,
    loaded: Loaded,
    offset: CommonOffset | None,
    brake: Brake,
    check: Check,
) -> Iterator[LineFinding]:
    limit, u = limit_mm(check.tolerances, group.name), check.line_u_mm
    level = None if offset is None else offset.value_mm
    if group.kind in BRAKE_KINDS:
        level = brake.reference_mm(offset)
        u = math.hypot(u, brake.edge.u_mm)
    lengths, corrections = loaded.measurement.lengths_mm, loaded.by_mm
    for point, specified in zip(group.points, group.lengths_mm, strict=True):
        length = lengths.get((side, point))
        correction = corrections.get((side, point), 0.0) if corrections else 0.0
        deviation = None if length is None else length - specified
        if group.kind is GroupKind.BRAKE_MAIN and deviation is not None:
            level = brake.main_reference_mm(offset, deviation)
        relative = None if deviation is None or level is None else deviation - level
        yield LineFinding(
            side=side,
            point=point,
            kind=group.kind,
            specified_mm=specified,
            measured_mm=None if length is None else length - correction,
            deviation_mm=deviation,
            relative_mm=relative,
            tolerance_mm=limit,
            verdict=within(relative, limit, u, check.rule),
            u_mm=None if relative is None else u,
            probability=probability_within(relative, limit, u),
            correction_mm=correction,
        )


def group_counts(
    specification: Specification, lines: tuple[LineFinding, ...], check: Check
) -> tuple[Tolerance, ...]:
    """One entry per group; one more, `left_right`, when a limit between the sides is set.

    There a pair of lines counts as one, over rows and stabilo, and is missing unless both sides
    were measured.
    """
    tolerances = check.tolerances
    judged: dict[str, list[tuple[float | None, Verdict]]] = {
        g.name: [] for g in specification.groups
    }
    for line in lines:
        judged[line.point.group].append((line.deviation_mm, line.verdict))
    counts = [_count(name, limit_mm(tolerances, name), pairs) for name, pairs in judged.items()]
    if tolerances.left_right_mm is not None:
        u = math.sqrt(2.0) * check.spread.between_equal_lines.line_mm
        pairs = [
            (d, within(d, tolerances.left_right_mm, u, check.rule)) for d in _differences(lines)
        ]
        counts.append(_count(LEFT_RIGHT, tolerances.left_right_mm, pairs))
    return tuple(counts)


def _count(
    group: str, limit: float | None, lines: Iterable[tuple[float | None, Verdict]]
) -> Tolerance:
    known = list(lines)
    verdicts = Counter([verdict for _, verdict in known])
    return Tolerance(
        group=group,
        limit_mm=limit,
        judged=len(known) - verdicts[Verdict.NOT_ASSESSED],
        outside=sum(count for verdict, count in verdicts.items() if verdict.outside),
        missing=len([value for value, _ in known if value is None]),
        verdict=fold(verdicts),
        close=sum(count for verdict, count in verdicts.items() if verdict.conditional),
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
