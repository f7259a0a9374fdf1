"""Brakes: their lengths against the maker's table, and their travel against the line set.

The verdict is on lengths: what the maker's table says, as it says it, of the mean and of every
line, so that a good mean hides no line and page and table say one thing. What hands notice is the
travel: how far the brake is longer than the fitted line set where it meets the trailing edge. The
line set there can differ by more than a centimetre from the common offset. It is that of the whole
wing: drawn on so far, the fit of one side alone would bring more noise than news.
"""

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from statistics import fmean

import numpy as np

from trimscribe.analyse.carry_over import CarriedLines
from trimscribe.analyse.judging import assess_effect, not_assessed, probability_within, within
from trimscribe.analyse.pitch import PitchEstimator
from trimscribe.model.decision import DecisionRule
from trimscribe.model.findings import BrakeFinding, Effect, LineFinding, Verdict, WhyNot
from trimscribe.model.thresholds import Thresholds
from trimscribe.model.verdicts import worst
from trimscribe.model.wing import BRAKE, GroupKind, LineKey, Side, Specification, Tolerances


@dataclass(frozen=True)
class Edge:
    """The fitted line set drawn on to the trailing edge, as a deviation in mm with its `u_mm`.

    `mm` is None when there is none; `why_not` says why.
    """

    mm: float | None
    u_mm: float = 0.0
    why_not: WhyNot = WhyNot.ASSESSED


@dataclass(frozen=True)
class BrakeTable:
    """What brake lines are compared with: the maker's table, `level_mm` above its lengths.

    The level is 0 unless the maker counts brakes with what all lines share; None where that is
    not known. Lines carried over have `carried_level_mm`, so that what nobody touched keeps the
    verdict it was measured with. `scale_mm_per_m` is what a tape reads short, in proportion to a
    line's length; `correction_mm` what a correction for the measuring load leaves, of all lines
    alike; `tie_mm` what lines carried over share besides, `again_mm` what others do where nothing
    ties them to those; `session_mm` what all lengths of one
    measuring err by together, which a level of the same measuring takes out.
    """

    level_mm: float | None
    carried_level_mm: float | None
    level_u_mm: float
    line_mm: float
    scale_mm_per_m: float
    correction_mm: float = 0.0
    tie_mm: float = 0.0
    again_mm: float = 0.0
    session_mm: float = 0.0

    def level_of(self, *, carried: bool) -> float | None:
        """What is taken from the deviation of a line before it is judged."""
        return self.carried_level_mm if carried else self.level_mm

    def u_mm(self, length_m: float, lines: int = 1, *, carried: bool = False) -> float:
        """Standard uncertainty in mm of the mean of this many lines that long in metres."""
        line = self.line_mm / math.sqrt(lines)
        scale = self.scale_mm_per_m * length_m
        tie = self.tie_mm if carried else self.again_mm
        parts = (line, scale, self.level_u_mm, self.correction_mm, tie, self.session_mm)
        return math.hypot(*parts)


@dataclass(frozen=True)
class Brake:
    """One side's brake: deviations in mm over `count` lines of `kind`, and the line set behind it.

    The mean sets the feel; the shortest line moves the trailing edge first. `shortest_mm` is
    None when no fan line was measured; the main brake line stands in for a fan of which too little
    was measured (`by_main`). `length_m` is the mean specified length in metres. `tie_u_mm` is what
    its lines err by besides, in mm, against others that were carried over and that nothing ties
    them to; None where that is not known.
    """

    side: Side
    kind: GroupKind
    mean_mm: float | None
    shortest_mm: float | None
    count: int
    length_m: float
    edge: Edge
    by_main: bool
    tie_u_mm: float | None = 0.0

    @property
    def slack_mm(self) -> float | None:
        """Free travel against the specification's in mm, by whichever pulls first; None = unknown.

        That is the shortest line of the fan, or the mean where no fan was measured.
        """
        if self.mean_mm is None or self.edge.mm is None:
            return None
        first = self.mean_mm if self.shortest_mm is None else min(self.mean_mm, self.shortest_mm)
        return float(first - self.edge.mm)


def brakes_of(
    specification: Specification,
    lengths_mm: Mapping[LineKey, float],
    pitch: PitchEstimator,
    thresholds: Thresholds,
    carried: CarriedLines | None = None,
) -> dict[Side, Brake]:
    """Both brakes, of lengths as measured; `pitch` holds the same measuring.

    So do the lines that were `carried` over to it.
    """
    edge = edge_of(specification, pitch)
    names = {group.name for group in specification.groups if group.kind.is_brake}
    brakes = {}
    for side in Side:
        own = {key for key in lengths_mm if key[0] is side and key[1].group in names}
        again = carried is not None and not own <= carried.keys
        tie = carried.brakes_u_mm if carried and again else 0.0
        brake = _brake(side, specification, lengths_mm, _tied(edge, tie), thresholds)
        brakes[side] = replace(brake, tie_u_mm=tie)
    return brakes


def _tied(edge: Edge, tie_u_mm: float | None) -> Edge:
    """The line set as seen from a brake that is tied to it so well, in mm; None = not at all."""
    if edge.mm is None:
        return edge
    if tie_u_mm is None:
        return Edge(None, why_not=WhyNot.MEASURED_OTHERWISE)
    return replace(edge, u_mm=math.hypot(edge.u_mm, tie_u_mm))


def edge_of(specification: Specification, pitch: PitchEstimator) -> Edge:
    """The line set at the trailing edge, or for a change how it moved there."""
    chord_m, plane = specification.trailing_edge_m, pitch.plane
    if isinstance(plane, WhyNot):
        return Edge(None, why_not=plane)
    if chord_m is None:
        return Edge(None, why_not=WhyNot.NO_TRAILING_EDGE)
    # Drawn on so far, a side that nobody measured is more than a guess at its structure carries:
    # of 2,000 wings of a trial, the one brake that was given a false direction had such an edge.
    table = pitch.estimator.table
    known = ~np.isnan(table.deviation_mm)
    if not (known[table.right].any() and known[~table.right].any()):
        return Edge(None, why_not=WhyNot.TOO_FEW_LINES)
    # All brake lines are about as long as each other: what a tape reads short they share.
    fan = [g.lengths_mm for g in specification.groups if g.kind is GroupKind.BRAKE]
    long_m = math.fsum(fan[0]) / len(fan[0]) / 1000.0 if fan else 0.0
    found = pitch.estimator.estimate(plane.at(chord_m), against_m=long_m)
    if isinstance(found, WhyNot):
        return Edge(None, why_not=found)
    return Edge(found.value, found.u)


def _brake(
    side: Side,
    specification: Specification,
    lengths_mm: Mapping[LineKey, float],
    edge: Edge,
    thresholds: Thresholds,
) -> Brake:
    """The fan when enough of it was measured, else the main brake line."""
    fan, of = _deviations(side, specification, lengths_mm, GroupKind.BRAKE)
    main, _ = _deviations(side, specification, lengths_mm, GroupKind.BRAKE_MAIN)
    by_fan = bool(fan) and len(fan) >= thresholds.min_station_share * of
    judged = fan if by_fan else main
    kind = GroupKind.BRAKE if by_fan else GroupKind.BRAKE_MAIN
    lengths = [mm for g in specification.groups if g.kind is kind for mm in g.lengths_mm]
    length_m = math.fsum(lengths) / len(lengths) / 1000.0 if lengths else 0.0
    mean = math.fsum(judged) / len(judged) if judged else None
    by_main = bool(of) and not by_fan and mean is not None
    return Brake(side, kind, mean, min(fan, default=None), len(judged), length_m, edge, by_main)


def _deviations(
    side: Side, specification: Specification, lengths_mm: Mapping[LineKey, float], kind: GroupKind
) -> tuple[list[float], int]:
    """Deviations in mm of the measured lines of a kind, and how many are specified."""
    points = [
        (point, specified)
        for group in specification.groups
        if group.kind is kind
        for point, specified in zip(group.points, group.lengths_mm, strict=True)
    ]
    known = [lengths_mm[side, p] - mm for p, mm in points if (side, p) in lengths_mm]
    return known, len(points)


def travel_change(brake: Brake, thresholds: Thresholds) -> Effect:
    """Free travel against the specification's in mm: the brake's deviation minus the line set's."""
    if brake.mean_mm is None:
        return not_assessed(WhyNot.NOT_MEASURED, thresholds.brake_mm, "mm")
    if brake.edge.mm is None:
        return not_assessed(brake.edge.why_not, thresholds.brake_mm, "mm")
    u = _travel_u_mm(brake, thresholds)
    return assess_effect(brake.mean_mm - brake.edge.mm, u, thresholds.brake_mm, "mm")


def brake_finding(
    brake: Brake,
    specified_free_mm: float | None,
    measured_free_mm: float | None,
    lines: Iterable[LineFinding],
    table: BrakeTable,
    tolerances: Tolerances,
    thresholds: Thresholds,
    rule: DecisionRule,
) -> BrakeFinding:
    """One brake: its travel, its free travel (measured, else estimated), its verdict.

    `lines` are all brake lines of its side. One that was not measured does not count; the counts of
    its group tell about it.
    """
    travel = travel_change(brake, thresholds)
    free, estimated, free_u = measured_free_mm, False, None
    if free is None and specified_free_mm is not None and brake.slack_mm is not None:
        free, estimated = specified_free_mm + brake.slack_mm, True
        free_u = _travel_u_mm(brake, thresholds)
    own = [line for line in lines if line.side is brake.side]
    judged = {line.verdict for line in own} - {Verdict.NOT_ASSESSED}
    apart = [line.relative_mm for line in own if line.relative_mm is not None]
    counting = [
        line.relative_mm for line in own if line.kind is brake.kind and line.relative_mm is not None
    ]
    relative = fmean(counting) if counting else None
    limit = tolerances.limit_mm(BRAKE)
    carried = any(line.carried for line in own)
    u = table.u_mm(brake.length_m, max(brake.count, 1), carried=carried)
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
        verdict=worst([within(relative, limit, u, rule), *judged]),
        u_mm=None if relative is None else u,
        probability=probability_within(relative, limit, u),
        furthest_mm=max(apart, key=abs, default=None),
        free_travel_u_mm=free_u,
        by_main=brake.by_main,
    )


def _travel_u_mm(brake: Brake, thresholds: Thresholds) -> float:
    return math.hypot(thresholds.u_brake_mm, brake.edge.u_mm)


def brake_difference(
    brakes: Mapping[Side, Brake], repeat_mm: float, blocked: WhyNot, thresholds: Thresholds
) -> Effect:
    """Right minus left travel change in mm: the line set cancels, so it need not be known.

    Judged like other left-right lengths: both brakes are equally soft, so their softness cancels
    too and the smaller limit `left_right_mm` holds, not `brake_mm`. A fan is not compared with the
    main brake line that stands in for the other one. `repeat_mm` is the scatter of one reading;
    `blocked` says why lengths may not be compared at all, such as a wrong load.
    """
    left, right = brakes[Side.LEFT], brakes[Side.RIGHT]
    alike = left.kind is right.kind
    if left.mean_mm is None or right.mean_mm is None or blocked or not alike:
        return not_assessed(blocked or WhyNot.NOT_MEASURED, thresholds.left_right_mm, "mm")
    apart = 0.0
    if left.tie_u_mm != right.tie_u_mm:  # one was measured again, the other carried over
        if left.tie_u_mm is None or right.tie_u_mm is None:
            return not_assessed(WhyNot.MEASURED_OTHERWISE, thresholds.left_right_mm, "mm")
        apart = math.hypot(left.tie_u_mm, right.tie_u_mm)
    line = repeat_mm / math.sqrt(min(left.count, right.count))
    u = math.hypot(math.sqrt(2.0) * math.hypot(line, thresholds.u_row_side_mm), apart)
    return assess_effect(right.mean_mm - left.mean_mm, u, thresholds.left_right_mm, "mm")
