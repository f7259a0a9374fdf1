"""Every line against its tolerance, and what that makes of each group and each row."""

import math
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass

from trimscribe.analyse.judging import fold, probability_within, within
from trimscribe.analyse.line_table import band_of
from trimscribe.analyse.load import LoadedMeasuring
from trimscribe.model.decision import DecisionRule
from trimscribe.model.findings import LineFinding, RowFinding, Tolerance, Verdict
from trimscribe.model.wing import Band, LineGroup, LineKey, Side, Specification, Tolerances

LEFT_RIGHT = "left_right"
_HAIR = 1e-9  # mm

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
    limit = check.tolerances.limit_mm(group.name)
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
    counts = [_count(name, tolerances.limit_mm(name), found) for name, found in judged.items()]
    if (limit := tolerances.left_right_mm) is not None:
        u = check.pair_u_mm
        pairs: list[_Judged] = [
            (mm, within(mm, limit, u, check.rule), probability_within(mm, limit, u))
            for mm in _pairs(lines)
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


def _pairs(lines: tuple[LineFinding, ...]) -> list[float | None]:
    """Right minus left in mm of each pair of row and stabilo lines.

    None when one is missing, or in doubt.
    """
    trim = [x for x in lines if not x.kind.is_brake]
    right = {x.point: x for x in trim if x.side is Side.RIGHT}
    return [_apart(x, right[x.point]) for x in trim if x.side is Side.LEFT]


def _apart(left: LineFinding, right: LineFinding) -> float | None:
    if left.deviation_mm is None or right.deviation_mm is None or left.doubted or right.doubted:
        return None
    return right.deviation_mm - left.deviation_mm


def row_findings(
    rows: tuple[LineGroup, ...], lines: tuple[LineFinding, ...]
) -> tuple[RowFinding, ...]:
    """Every row by side (both, left, right) and band (whole span, centre, middle, tip)."""
    by_row: dict[str, list[LineFinding]] = {row.name: [] for row in rows}
    for line in lines:
        if line.point.group in by_row:
            by_row[line.point.group].append(line)
    return tuple(found for row in rows for found in _row(row, by_row[row.name]))


def _row(row: LineGroup, lines: list[LineFinding]) -> Iterator[RowFinding]:
    count = len(row.lengths_mm)
    bands = [band_of(number, count) for number in range(1, count + 1)]
    parts: dict[tuple[Side, Band], list[LineFinding]] = {(s, b): [] for s in Side for b in Band}
    for line in lines:
        parts[line.side, bands[line.point.number - 1]].append(line)
    summed = {key: _Part.of(part) for key, part in parts.items()}
    for side in (None, *Side):
        for band in (None, *Band):
            chosen = [
                part
                for (of_side, of_band), part in summed.items()
                if side in (None, of_side) and band in (None, of_band)
            ]
            yield _row_part(row.name, side, band, chosen)


@dataclass(frozen=True)
class _Part:
    """Lines of one row, side and band, summed up."""

    relative: list[float]
    measured: int
    verdicts: Counter[Verdict]

    @classmethod
    def of(cls, lines: list[LineFinding]) -> "_Part":
        return cls(
            [x.relative_mm for x in lines if x.relative_mm is not None],
            len([x for x in lines if x.measured_mm is not None]),
            Counter([x.verdict for x in lines]),
        )


def _row_part(row: str, side: Side | None, band: Band | None, parts: list[_Part]) -> RowFinding:
    relative = [mm for part in parts for mm in part.relative]
    return RowFinding(
        row=row,
        side=side,
        band=band,
        mean_mm=math.fsum(relative) / len(relative) if relative else None,
        worst_mm=_worst(relative),
        measured=sum(part.measured for part in parts),
        specified=sum(part.verdicts.total() for part in parts),
        outside=sum(n for part in parts for v, n in part.verdicts.items() if v.outside),
        verdict=fold(verdict for part in parts for verdict in part.verdicts),
    )


def _worst(relative: list[float]) -> float | None:
    """Of two equally far on both sides the first, whatever the last binary digit says."""
    furthest = max(map(abs, relative), default=0.0) - _HAIR
    return next((mm for mm in relative if abs(mm) >= furthest), None)
