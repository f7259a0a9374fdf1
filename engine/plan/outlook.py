"""What the analysis says of a wing as found or as planned, and what measuring again may show."""

import math
from collections.abc import Collection, Mapping
from dataclasses import dataclass

from trimscribe.model.findings import LineFinding, State
from trimscribe.model.plan import NearestLine, Outlook
from trimscribe.model.wing import GroupKind, LineKey, Side, Specification
from trimscribe.plan.lines import main_lines
from trimscribe.plan.response import rule_values, trim_lines

# How lines of one main line differ from each other on used wings, and how far off a loop may be
# tied from its take-up. Both are assumed, in mm.
_LINES_DIFFER_MM = 1.5
_TAKE_UP_MM = 1.5


@dataclass(frozen=True)
class _Judged:
    key: LineKey
    relative: float
    limit: float


def outlook_of(
    state: State, specification: Specification, changed: Collection[tuple[str, Side]] = ()
) -> Outlook:
    """The parts of one state that a plan is chosen by; `changed` are lines with another loop."""
    trim = [x for x in state.lines if x.kind in (GroupKind.ROW, GroupKind.STABILO)]
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
    kinds = (GroupKind.ROW, GroupKind.STABILO)
    return {(x.side, x.point) for x in lines if x.kind in kinds and x.verdict.beyond}
