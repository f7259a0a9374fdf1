"""What is told of a wing as found or as planned.

What the analysis says of it, what measuring again may show, and what would stay outside whatever
loop is tied.
"""

import math
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass

from trimscribe.model.findings import LineFinding, State
from trimscribe.model.plan import LoopChange, NearestLine, NotMendable, Outlook, WhyNotMended
from trimscribe.model.wing import LineKey, Point, Side, Specification
from trimscribe.plan.lines import Hanging, main_lines
from trimscribe.plan.response import rule_values, trim_lines

# How lines of one main line differ from each other on used wings, and how far off a loop may be
# tied from its take-up. Both are assumed, in mm.
_LINES_DIFFER_MM = 1.5
_TAKE_UP_MM = 1.5
_HAIR = 1e-9  # of mm, as the analysis allows
_Lines = Sequence[tuple[Point, float, float]]  # point, relative deviation and limit in mm


@dataclass(frozen=True)
class _Judged:
    key: LineKey
    relative: float
    limit: float


def outlook_of(
    state: State, specification: Specification, changed: Collection[tuple[str, Side]] = ()
) -> Outlook:
    """The parts of one state that a plan is chosen by; `changed` are lines with another loop."""
    trim = [x for x in state.lines if not x.kind.is_brake]
    judged = [
        _Judged((x.side, x.point), x.relative_mm, x.tolerance_mm)
        for x in trim
        if x.relative_mm is not None and x.tolerance_mm is not None
    ]
    nearest = max(judged, key=lambda one: abs(one.relative) / one.limit, default=None)
    return Outlook(
        judged=len(judged),
        outside_lines=tuple((x.side, x.point) for x in trim if x.verdict.beyond),
        nearest=None
        if nearest is None
        else NearestLine(*nearest.key, nearest.relative, nearest.limit),
        pitch=state.pitch.wing,
        effective=state.pitch.effective,
        twist=state.pitch.twist,
        left_right=state.symmetry.angle,
        speed=state.speed,
        again_outside=_again_outside(judged, specification, changed, state.line_u_mm or 0.0),
        rules=rule_values(trim_lines(state, specification), specification),
    )


def _again_outside(
    judged: Collection[_Judged],
    specification: Specification,
    changed: Collection[tuple[str, Side]],
    u_mm: float,
) -> float:
    """How many lines may read beyond their limit when all are measured again, on average.

    A length that stands out from the others of its main line is partly a slip of the reading: the
    true one is taken to lie nearer their mean, by how much lines differ and how well one is read.
    """
    expected = 0.0
    for main, group in _by_main(judged, specification).items():
        mean = math.fsum(one.relative for one in group) / len(group)
        differ, read = _LINES_DIFFER_MM**2, u_mm**2
        trust = differ / (differ + read)
        tied = _TAKE_UP_MM if main in changed else 0.0
        own = trust * read + (1.0 - trust) ** 2 * read / len(group)
        sd = math.sqrt(own + read + tied**2)
        for one in group:
            likely = mean + trust * (one.relative - mean)
            expected += 1.0 - (_below(one.limit, likely, sd) - _below(-one.limit, likely, sd))
    return expected


def _by_main(
    judged: Collection[_Judged], specification: Specification
) -> Mapping[tuple[str, Side], list[_Judged]]:
    """Lines by the main line that carries them; one that nothing carries is by itself."""
    carried = {point: line.name for line in main_lines(specification) for point in line.points}
    groups: dict[tuple[str, Side], list[_Judged]] = {}
    for one in judged:
        side, point = one.key
        groups.setdefault((carried.get(point, str(point)), side), []).append(one)
    return groups


def _below(limit: float, mean: float, sd: float) -> float:
    """Share of a normal distribution below a limit."""
    if sd == 0.0:
        return float(mean <= limit)
    return 0.5 * math.erfc((mean - limit) / (sd * math.sqrt(2.0)))


def outside_of(lines: Collection[LineFinding]) -> set[LineKey]:
    """Row and stabilo lines that read beyond their limit, clearly or not."""
    return {(x.side, x.point) for x in lines if not x.kind.is_brake and x.verdict.beyond}


def not_mendable(
    specification: Specification,
    now: State,
    planned: State,
    hanging: Collection[Hanging],
    changes: Iterable[LoopChange],
) -> tuple[NotMendable, ...]:
    """Main lines with points that no loop would bring within limits.

    `now` is the wing as found, `planned` as the proposal would leave it with its `changes`. Points
    further apart than their limits allow stay so whatever loop is tied; others are named where they
    would stay outside and no loop goes that far.
    """
    as_found, as_planned = _with_limits(now), _with_limits(planned)
    found = []
    chosen = {(change.line, change.side): change.change_mm for change in changes}
    options = {(one.line, one.side): [o.change_mm for o in one.options] for one in hanging}
    for line in main_lines(specification):
        for side in Side:
            above = [(p, *as_found[side, p]) for p in line.points if (side, p) in as_found]
            if above and (gap := _gap(above)) is not None:
                apart = max(mm for _, mm, _ in above) - min(mm for _, mm, _ in above)
                ends = tuple(point for point, mm, _ in above if mm in gap)
                found.append(
                    NotMendable(line.name, side, WhyNotMended.APART, ends, apart, _odd_one(above))
                )
                continue
            after = [(p, *as_planned[side, p]) for p in line.points if (side, p) in as_planned]
            outside = tuple(p for p, mm, limit in after if abs(mm) > limit + _HAIR)
            own = options.get((line.name, side), (0.0,))
            if outside and (needs := _needs(after, own, chosen.get((line.name, side), 0.0))):
                found.append(
                    NotMendable(line.name, side, WhyNotMended.NO_LOOP, outside, 0.0, needs_mm=needs)
                )
    return tuple(found)


def _with_limits(state: State) -> dict[LineKey, tuple[float, float]]:
    """Relative deviation and limit in mm of each line that has both."""
    return {
        (line.side, line.point): (line.relative_mm, line.tolerance_mm)
        for line in state.lines
        if line.relative_mm is not None and line.tolerance_mm is not None
    }


def _gap(lines: _Lines) -> tuple[float, float] | None:
    """The two deviations that no common move brings within their limits; None if one does."""
    upper = max(lines, key=lambda line: line[1] - line[2])
    lower = min(lines, key=lambda line: line[1] + line[2])
    if upper[1] - upper[2] <= lower[1] + lower[2] + _HAIR:
        return None
    return upper[1], lower[1]


def _odd_one(lines: _Lines) -> Point | None:
    """The only line without which the others could be brought within limits."""
    if len(lines) < 3:
        return None
    alone = [x[0] for n, x in enumerate(lines) if _gap([*lines[:n], *lines[n + 1 :]]) is None]
    return alone[0] if len(alone) == 1 else None


def _needs(after: _Lines, changes: Sequence[float], chosen: float) -> float:
    """The further change in mm that would bring all within limits; 0 where some loop makes it.

    The rest of the wing is left as planned: a loop that reaches may be left for another reason.
    """
    low = max(-limit - mm for _, mm, limit in after)
    high = min(limit - mm for _, mm, limit in after)
    if any(low - _HAIR <= change - chosen <= high + _HAIR for change in changes):
        return 0.0
    return low if low > 0.0 else high
