"""Pairs of lines, left against right, that differ by more than the limit between the sides."""

from typing import NamedTuple

from trimscribe.model.findings import LineFinding, State
from trimscribe.model.wing import Side

_GROUP = "left_right"  # of the counts that a state has by group


class Pairs(NamedTuple):
    """Those outside with the longer side, worst first; what the first differs by, and the limit."""

    outside: tuple[tuple[str, str], ...] = ()
    worst_mm: float | None = None
    limit_mm: float | None = None


def pairs_outside(state: State) -> Pairs:
    """The pairs of row and stabilo lines that were counted as outside; none without a limit."""
    count = next((known for known in state.tolerances if known.group == _GROUP), None)
    if count is None or not count.outside:
        return Pairs()
    right = {x.point: x for x in state.lines if x.side is Side.RIGHT and _counts(x)}
    apart = {
        x.point.name: (right[x.point].deviation_mm or 0.0) - (x.deviation_mm or 0.0)
        for x in state.lines
        if x.side is Side.LEFT and x.point in right and _counts(x)
    }
    # One limit and one uncertainty hold for all of them: the widest apart are those outside.
    worst = sorted(apart, key=lambda name: -abs(apart[name]))[: count.outside]
    longer = (Side.RIGHT if apart[name] > 0.0 else Side.LEFT for name in worst)
    return Pairs(
        tuple((name, side.value) for name, side in zip(worst, longer, strict=True)),
        abs(apart[worst[0]]) if worst else None,
        count.limit_mm,
    )


def _counts(line: LineFinding) -> bool:
    return not line.kind.is_brake and line.deviation_mm is not None and not line.doubted
