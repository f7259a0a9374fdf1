"""Lines that would stay outside whatever loop is tied, and why."""

from collections.abc import Collection, Mapping, Sequence

from trimscribe.model.plan import NotMendable, WhyNotMended
from trimscribe.model.wing import LineKey, Point, Side, Specification
from trimscribe.plan.lines import Hanging, main_lines

_HAIR = 1e-9  # of mm, as the analysis allows
_Lines = Sequence[tuple[Point, float, float]]  # point, relative deviation and limit in mm


def not_mendable(
    specification: Specification,
    now: Mapping[LineKey, tuple[float, float]],
    planned: Mapping[LineKey, tuple[float, float]],
    hanging: Collection[Hanging],
    chosen: Mapping[tuple[str, Side], float],
) -> tuple[NotMendable, ...]:
    """Main lines with points that no loop would bring within limits.

    `now` and `planned` give relative deviation and limit in mm of each line, as found and as the
    proposal would leave it with the changes `chosen`. Points further apart than their limits allow
    stay so whatever loop is tied; others are named where they would stay outside and no loop goes
    that far.
    """
    found = []
    options = {(one.line, one.side): [o.change_mm for o in one.options] for one in hanging}
    for line in main_lines(specification):
        for side in Side:
            above = [(p, *now[side, p]) for p in line.points if (side, p) in now]
            if above and (gap := _gap(above)) is not None:
                apart = max(mm for _, mm, _ in above) - min(mm for _, mm, _ in above)
                ends = tuple(point for point, mm, _ in above if mm in gap)
                found.append(
                    NotMendable(line.name, side, WhyNotMended.APART, ends, apart, _odd_one(above))
                )
                continue
            after = [(p, *planned[side, p]) for p in line.points if (side, p) in planned]
            outside = tuple(p for p, mm, limit in after if abs(mm) > limit + _HAIR)
            own = options.get((line.name, side), (0.0,))
            if outside and (needs := _needs(after, own, chosen.get((line.name, side), 0.0))):
                found.append(
                    NotMendable(line.name, side, WhyNotMended.NO_LOOP, outside, 0.0, needs_mm=needs)
                )
    return tuple(found)


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
