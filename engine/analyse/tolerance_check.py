"""Every line against its tolerance, and each group's count."""

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass

from trimscribe.analyse.limits import limit_mm
from trimscribe.analyse.load import LoadedMeasuring
from trimscribe.analyse.verdicts import fold, probability_within, within
from trimscribe.model.decision import DecisionRule
from trimscribe.model.findings import LineFinding, Tolerance, Verdict
from trimscribe.model.wing import GroupKind, LineGroup, LineKey, Side, Specification, Tolerances

BRAKE_KINDS = (GroupKind.BRAKE, GroupKind.BRAKE_MAIN)
LEFT_RIGHT = "left_right"

_Judged = tuple[float | None, Verdict, float | None]


@dataclass(frozen=True)
class Check:
    """What lines are compared with: limits, decision rule, and how certain one length is.

    `level_mm` is what is taken from each line's deviation before it is judged; None where it is not
    known well enough. `u_mm` are standard uncertainties of what is left, `pair_u_mm` that
    of the difference between both sides of one point. Lines that were `carried` over from an
    earlier measuring are marked; those that are `doubted` get no verdict.
    """

    tolerances: Tolerances
    rule: DecisionRule
    level_mm: Mapping[LineKey, float | None]
    u_mm: Mapping[LineKey, float]
    pair_u_mm: float
    carried: frozenset[LineKey]
    doubted: frozenset[LineKey]


def line_findings(
    specification: Specification, loaded: LoadedMeasuring, check: Check
) -> tuple[LineFinding, ...]:
    """Every specified line: left then right, groups in order, centre to tip."""
    return tuple(
        finding
        for side in Side
        for group in specification.groups
        for finding in _group(side, group, loaded, check)
    )


def _group(
    side: Side, group: LineGroup, loaded: LoadedMeasuring, check: Check
) -> Iterator[LineFinding]:
    limit = limit_mm(check.tolerances, group.name)
    lengths, corrections = loaded.measurement.lengths_mm, loaded.by_mm
    for point, specified in zip(group.points, group.lengths_mm, strict=True):
        key = (side, point)
        length = lengths.get(key)
        correction = corrections.get(key, 0.0) if corrections else 0.0
        deviation = relative = u = probability = None
        verdict = Verdict.NOT_ASSESSED
        if length is not None:
            deviation = length - specified
            level = check.level_mm[key]
            if level is not None and key not in check.doubted:
                relative = deviation - level
                u = check.u_mm[key]
                verdict = within(relative, limit, u, check.rule)
                probability = probability_within(relative, limit, u)
        yield LineFinding(
            side=side,
            point=point,
            kind=group.kind,
            specified_mm=specified,
            measured_mm=None if length is None else length - correction,
            deviation_mm=deviation,
            relative_mm=relative,
            tolerance_mm=limit,
            verdict=verdict,
            u_mm=u,
            probability=probability,
            correction_mm=correction,
            carried=key in check.carried,
            doubted=key in check.doubted,
        )


def group_counts(
    specification: Specification, lines: tuple[LineFinding, ...], check: Check
) -> tuple[Tolerance, ...]:
    """One entry per group; one more, `left_right`, when a limit between the sides is set.

    There a pair of lines counts as one, over rows and stabilo, and is missing unless both sides
    were measured.
    """
    tolerances = check.tolerances
    judged: dict[str, list[_Judged]] = {g.name: [] for g in specification.groups}
    for line in lines:
        judged[line.point.group].append((line.deviation_mm, line.verdict, line.probability))
    counts = [_count(name, limit_mm(tolerances, name), found) for name, found in judged.items()]
    if (limit := tolerances.left_right_mm) is not None:
        u = check.pair_u_mm
        pairs: list[_Judged] = [
            (mm, within(mm, limit, u, check.rule), probability_within(mm, limit, u))
            for mm in pairs_of(lines)
        ]
        counts.append(_count(LEFT_RIGHT, limit, pairs))
    return tuple(counts)


def _count(group: str, limit: float | None, lines: Iterable[_Judged]) -> Tolerance:
    known = list(lines)
    verdicts = Counter([verdict for _, verdict, _ in known])
    passed = [p for _, verdict, p in known if verdict is Verdict.PASS and p is not None]
    return Tolerance(
        group=group,
        limit_mm=limit,
        judged=len(known) - verdicts[Verdict.NOT_ASSESSED],
        outside=sum(count for verdict, count in verdicts.items() if verdict.outside),
        missing=len([value for value, _, _ in known if value is None]),
        verdict=fold(verdicts),
        close=sum(count for verdict, count in verdicts.items() if verdict.conditional),
        least_sure=min(passed, default=None),
    )


def pairs_of(lines: tuple[LineFinding, ...]) -> list[float | None]:
    """Right minus left in mm of each pair of row and stabilo lines.

    None when one is missing, or in doubt.
    """
    trim = [x for x in lines if x.kind not in BRAKE_KINDS]
    right = {x.point: x for x in trim if x.side is Side.RIGHT}
    return [_apart(x, right[x.point]) for x in trim if x.side is Side.LEFT]


def _apart(left: LineFinding, right: LineFinding) -> float | None:
    if left.deviation_mm is None or right.deviation_mm is None or left.doubted or right.doubted:
        return None
    return right.deviation_mm - left.deviation_mm
