"""Brakes against the line set at the trailing edge.

The fitted line set there can differ by more than a centimetre from the common offset. It is that
of the whole wing: drawn on so far, the fit of one side alone would bring more noise than news.
"""

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace

from trimscribe.analyse.angles import AngleGauge
from trimscribe.analyse.effects import judge, not_assessed
from trimscribe.analyse.limits import limit_mm
from trimscribe.analyse.symmetry import mean_difference_u
from trimscribe.analyse.uncertainty import Spread
from trimscribe.analyse.verdicts import probability_within, within
from trimscribe.model.decision import DecisionRule
from trimscribe.model.findings import BrakeFinding, CommonOffset, Effect, WhyNot
from trimscribe.model.job import Measurement
from trimscribe.model.thresholds import Thresholds
from trimscribe.model.wing import BRAKE, GroupKind, Side, Specification, Tolerances

__all__ = ["Brake", "Edge", "brake_difference", "brake_finding", "brakes_of", "travel_change"]


@dataclass(frozen=True)
class Edge:
    """The fitted line set drawn on to the trailing edge, as a deviation in mm with its `u_mm`.

    `mm` is None when there is none; `why_not` says why.
    """

    mm: float | None
    u_mm: float = 0.0
    why_not: WhyNot = WhyNot.ASSESSED


@dataclass(frozen=True)
class Brake:
    """One side's brake: deviations in mm over `count` lines, and the line set behind it.

    The mean sets the feel; the shortest line moves the trailing edge first. `shortest_mm` is
    None when no fan line was measured; `by_fan` is False when the main brake line stands in for
    the fan. `u_mm` is the standard uncertainty of the mean against the
    line set, or against the common offset where that is not known.
    """

    side: Side
    mean_mm: float | None
    shortest_mm: float | None
    count: int
    by_fan: bool
    edge: Edge
    u_mm: float

    @property
    def slack_mm(self) -> float | None:
        """Free travel against the specification's in mm, by whichever pulls first; None = unknown.

        That is the shortest line of the fan, or the mean where no fan was measured.
        """
        if self.mean_mm is None or self.edge.mm is None:
            return None
        first = self.mean_mm if self.shortest_mm is None else min(self.mean_mm, self.shortest_mm)
        return float(first - self.edge.mm)

    def reference_mm(self, offset: CommonOffset | None) -> float | None:
        """What brake lines are held against: the line set, else the common offset, in mm."""
        if self.edge.mm is not None:
            return self.edge.mm
        return None if offset is None else offset.value_mm

    def main_reference_mm(self, offset: CommonOffset | None, deviation_mm: float) -> float | None:
        """What the main brake line is held against: the nearest that may be right for it, in mm.

        It is a part of each line of the fan. How much of what the whole wing's lines share falls
        to that part is not known: anything between none of it and all.
        """
        whole = self.reference_mm(offset)
        if whole is None or not self.by_fan:
            return whole
        return min(max(deviation_mm, min(whole, 0.0)), max(whole, 0.0))


def brakes_of(
    specification: Specification,
    measurement: Measurement,
    gauge: AngleGauge,
    thresholds: Thresholds,
) -> dict[Side, Brake]:
    """Both brakes as measured; `gauge` holds the same measuring."""
    # All brake lines are about as long as each other: what a tape reads short they share.
    fan = [g.lengths_mm for g in specification.groups if g.kind is GroupKind.BRAKE]
    long_m = math.fsum(fan[0]) / len(fan[0]) / 1000.0 if fan else 0.0
    edge = _edge(specification.trailing_edge_m, gauge, long_m)
    return {
        side: _brake(side, specification, measurement, edge, gauge.spread, thresholds)
        for side in Side
    }


def _edge(chord_m: float | None, gauge: AngleGauge, against_m: float) -> Edge:
    line = gauge.fit()
    if isinstance(line, WhyNot):
        return Edge(None, why_not=line)
    if chord_m is None:
        return Edge(None, why_not=WhyNot.NO_TRAILING_EDGE)
    return Edge(line.at(chord_m), line.at_u(chord_m, gauge.spread, against_m))


def _brake(
    side: Side,
    specification: Specification,
    measurement: Measurement,
    edge: Edge,
    spread: Spread,
    thresholds: Thresholds,
) -> Brake:
    """The fan when enough of it was measured, else the main brake line."""
    fan, of = _deviations(side, specification, measurement, GroupKind.BRAKE)
    main, _ = _deviations(side, specification, measurement, GroupKind.BRAKE_MAIN)
    judged = fan if fan and len(fan) >= thresholds.min_station_share * of else main
    by_fan = judged is fan
    if not judged:
        return Brake(side, None, min(fan, default=None), 0, by_fan, edge, 0.0)
    mean = math.fsum(judged) / len(judged)
    u = math.hypot(spread.line_mm / math.sqrt(len(judged)), edge.u_mm)
    return Brake(side, mean, min(fan, default=None), len(judged), by_fan, edge, u)


def _deviations(
    side: Side, specification: Specification, measurement: Measurement, kind: GroupKind
) -> tuple[list[float], int]:
    """Deviations in mm of the measured lines of a kind, and how many are specified."""
    points = [
        (point, specified)
        for group in specification.groups
        if group.kind is kind
        for point, specified in zip(group.points, group.lengths_mm, strict=True)
    ]
    lengths = measurement.lengths_mm
    known = [lengths[side, p] - specified for p, specified in points if (side, p) in lengths]
    return known, len(points)


def travel_change(brake: Brake, thresholds: Thresholds) -> Effect:
    """Free travel against the specification's in mm: the brake's deviation minus the line set's."""
    if brake.mean_mm is None:
        return not_assessed(WhyNot.NOT_MEASURED, thresholds.brake_mm, "mm")
    if brake.edge.mm is None:
        return not_assessed(brake.edge.why_not, thresholds.brake_mm, "mm")
    # u_brake covers a usual extrapolation; a worse one speaks for itself.
    u = max(thresholds.u_brake_mm, brake.edge.u_mm)
    return judge(brake.mean_mm - brake.edge.mm, u, thresholds.brake_mm, "mm")


def brake_finding(
    brake: Brake,
    specified_free_mm: float | None,
    measured_free_mm: float | None,
    offset: CommonOffset | None,
    tolerances: Tolerances,
    thresholds: Thresholds,
    rule: DecisionRule,
) -> BrakeFinding:
    """One brake: its travel, its free travel (measured, else estimated), its verdict."""
    travel = travel_change(brake, thresholds)
    free, estimated = measured_free_mm, False
    if free is None and specified_free_mm is not None and brake.slack_mm is not None:
        free, estimated = specified_free_mm + brake.slack_mm, True
    level = brake.reference_mm(offset)
    relative = None if brake.mean_mm is None or level is None else brake.mean_mm - level
    limit = limit_mm(tolerances, BRAKE)
    return BrakeFinding(
        side=brake.side,
        mean_mm=brake.mean_mm,
        shortest_mm=brake.shortest_mm,
        line_set_mm=brake.edge.mm,
        travel_change=travel,
        free_travel_mm=free,
        estimated=estimated,
        below_minimum=None if free is None else free < thresholds.brake_free_travel_min_mm,
        relative_mm=relative,
        tolerance_mm=limit,
        verdict=within(relative, limit, brake.u_mm, rule),
        u_mm=brake.u_mm if brake.mean_mm is not None else None,
        probability=probability_within(relative, limit, brake.u_mm),
    )


def brake_difference(
    brakes: Mapping[Side, Brake], spread: Spread, blocked: WhyNot, thresholds: Thresholds
) -> Effect:
    """Right minus left travel change in mm: the line set cancels, so it need not be known.

    Judged like other left-right lengths: both brakes are equally soft, so their softness cancels
    too and the smaller limit `left_right_mm` holds, not `brake_mm`. `blocked` says why lengths may
    not be compared at all, such as a wrong load.
    """
    left, right = brakes[Side.LEFT], brakes[Side.RIGHT]
    if left.mean_mm is None or right.mean_mm is None or blocked:
        return not_assessed(blocked or WhyNot.NOT_MEASURED, thresholds.left_right_mm, "mm")
    spread = replace(spread.between_equal_lines, row_mm=thresholds.u_row_side_mm)
    u = mean_difference_u(min(left.count, right.count), spread)
    return judge(right.mean_mm - left.mean_mm, u, thresholds.left_right_mm, "mm")
