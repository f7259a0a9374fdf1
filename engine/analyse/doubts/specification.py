"""Specified lengths that do not fit their neighbours along the span and across the rows.

A digit turned round in a line set condemns a whole model's wings. Each length is predicted by a
parabola through the four nearest of its row; what the other rows have in common with it there, as
uneven spacing of the ribs, is taken out. Rates on made-up line sets: no doubt in 8,400 sound ones
of two to five rows; of transposed digits that change a length by more than 60 mm 99 to 100 % are
found, and 86 to 100 % of them by their cell. One row alone cannot be judged so.

From a measuring, a point that is off alike on both sides speaks of its specified length rather than
of its lines: found for 15, 20 and 30 mm in 85, 99 and 100 % of new wings, in 27, 62 and 88 % of
strongly worn ones, in at most 1 % where nothing is wrong.
"""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from functools import lru_cache
from statistics import median as middle

import numpy as np

from trimscribe.analyse.doubts.lengths import beside, median, suggestion
from trimscribe.analyse.line_table import Bools, Floats, LineTable
from trimscribe.analyse.products import product, solved
from trimscribe.model.findings import Doubt, DoubtKind
from trimscribe.model.wing import GroupKind, LineKey, Point, Side, Specification

_LIMIT_MM = 25.0
_CLEAR = 5.0  # times what is left over without it: then it is this cell
_NEAREST = 4
_REACH = 5  # points to either side: the nearest four are among these, also without one
_SIDE_MM = 12.0
_ROBUST = 5.0 * 1.4826  # five standard deviations, from the median of absolute errors
_STEP = 0.5  # of the limit, from the nearest neighbour
_APART_MM = 11.3  # sides further apart speak of one line

_RowLengths = Mapping[str, Sequence[float]]


def specification_doubts(specification: Specification) -> tuple[Doubt, ...]:
    """The doubts of a line set that nobody confirmed in it."""
    rows = {
        group.name: group.lengths_mm
        for group in specification.groups
        if group.kind is GroupKind.ROW
    }
    return tuple(
        doubt for doubt in specified_doubts(rows) if doubt.name not in specification.confirmed
    )


def specified_doubts(rows: _RowLengths) -> Iterator[Doubt]:
    """A doubt for each row that does not fit, at the cell that explains it where one does.

    Lengths are in mm, from the centre to the tip. Of fewer than two rows nothing can be said.
    """
    if len(rows) < 2:
        return
    errors: dict[tuple[str, int], dict[int, float]] = {}

    def errors_of(row: str, count: int) -> dict[int, float]:
        # Rows are compared over the same points: the end of a row is predicted otherwise.
        key = (row, min(count, len(rows[row])))
        if key not in errors:
            errors[key] = _errors(rows[row][:count])
        return errors[key]

    for name, lengths in rows.items():
        others = [row[: len(lengths)] for other, row in rows.items() if other != name]
        own = errors_of(name, len(lengths))
        worst = _misfit(own, [errors_of(row, len(lengths)) for row in rows if row != name])
        if not worst or max(worst.values()) <= _LIMIT_MM:
            continue
        cell = _cell(lengths, others, worst)
        if cell is None:
            at = ("specification", "rows", name, "lengths_mm")
            yield Doubt(
                DoubtKind.SPECIFIED_ROW,
                f"specification.{name}",
                at,
                _on_both_sides(name, range(len(lengths))),
                found=max(worst.values()),
                expected=0.0,
            )
            continue
        found, wanted = float(lengths[cell]), float(lengths[cell]) - own[cell]
        yield Doubt(
            DoubtKind.SPECIFIED_LENGTH,
            f"specification.{name}{cell + 1}",
            ("specification", "rows", name, "lengths_mm", cell),
            _on_both_sides(name, [cell]),
            found=found,
            expected=wanted,
            suggested=suggestion(found, wanted),
        )


def _on_both_sides(row: str, points: Iterable[int]) -> tuple[LineKey, ...]:
    """The lines of a row's points, which count from 0."""
    return tuple((side, Point(row, point + 1)) for side in Side for point in points)


def _errors(lengths: Sequence[float], without: int = -1) -> dict[int, float]:
    """Length minus its prediction from the four nearest points, in mm, by point from 0."""
    errors = {}
    for i in range(len(lengths)):
        near = _near(i, len(lengths), without) if i != without else ()
        if near:
            errors[i] = float(lengths[i] - sum(w * lengths[j] for j, w in near))
    return errors


@lru_cache(maxsize=1024)
def _near(point: int, count: int, without: int) -> tuple[tuple[int, float], ...]:
    """The nearest four of so many points with what each weighs in a prediction; none of fewer."""
    reach = range(max(0, point - _REACH), min(count, point + _REACH + 1))
    near = sorted((abs(j - point), j) for j in reach if j not in (point, without))[:_NEAREST]
    if len(near) < _NEAREST:
        return ()
    points = [j for _, j in near]
    return tuple(zip(points, _parabola(tuple(j - point for j in points)), strict=True))


@lru_cache(maxsize=64)
def _parabola(offsets: tuple[int, ...]) -> tuple[float, ...]:
    """What each point weighs in a parabola by least squares, where that is at offset 0."""
    at = np.array(offsets, dtype=np.float64)
    design = np.stack([np.ones(len(at)), at, at**2], axis=1)
    return tuple(solved(product(design.T, design), design.T)[0].tolist())


def _misfit(errors: Mapping[int, float], others: Sequence[Mapping[int, float]]) -> dict[int, float]:
    """What is left of each error, the other rows' common one taken out where that is less."""
    left = {}
    for i, error in errors.items():
        common = [other[i] for other in others if i in other]
        shared = middle(common) if common else 0.0
        left[i] = min(abs(error), abs(error - shared))
    return left


def _cell(
    lengths: Sequence[float], others: Sequence[Sequence[float]], worst: Mapping[int, float]
) -> int | None:
    """The point without which the rest of the row fits, if it stands out clearly."""
    rests = {}
    for i in worst:
        left = _misfit(_errors(lengths, i), [_errors(row, i) for row in others])
        if left:
            rests[i] = max(left.values())
    if not rests:
        return None
    cell = min(rests, key=lambda i: (rests[i], i))
    return cell if worst[cell] > max(_LIMIT_MM, _CLEAR * rests[cell]) else None


def both_sides_off(
    sheet: LineTable, known: Sequence[str], other: LineTable | None = None
) -> tuple[tuple[Doubt, ...], LineTable]:
    """Points that are off alike on both sides, and the sheet without them.

    `known` are the doubts that were raised already, by name; `other` is another measuring of the
    wing, which must show the same: a line set does not change in between.
    """
    error, limit = _errors_together(sheet)
    off = np.nan_to_num(np.abs(error)) > limit
    if not off.any():
        return (), sheet
    if other is not None:
        off &= ~_fits(error, other)
    doubts = []
    for group, point in np.argwhere(off):
        name = f"specification.{sheet.groups[group]}{point + 1}"
        wanted = float(sheet.specified[group, point] + error[group, point])
        if sheet.is_row[group] and name not in known:
            doubts.append(
                Doubt(
                    DoubtKind.SPECIFIED_UNLIKE,
                    name,
                    ("specification", "rows", sheet.groups[group], "lengths_mm", int(point)),
                    _on_both_sides(sheet.groups[group], [int(point)]),
                    found=float(sheet.specified[group, point]),
                    expected=wanted,
                    suggested=suggestion(float(sheet.specified[group, point]), wanted),
                    other=sheet.when,
                )
            )
    cells = np.broadcast_to(off & sheet.is_row[:, None], sheet.length.shape)
    return tuple(doubts), sheet.without(cells)


def _errors_together(sheet: LineTable) -> tuple[Floats, float]:
    """How far each point lies, alike on both sides, from its neighbours; and the limit.

    By group and point in mm; not a number where the sides differ or nothing is known, and 0 where
    it may be the wing: a step from one main line to the next leaves a point near one neighbour on
    either side, and a point that is alone on its main line may differ as that does.
    """
    deviation = sheet.deviation
    apart = np.abs(deviation[1] - deviation[0])
    # A slip on one side must not draw its neighbours along.
    together = np.where(apart <= _APART_MM, deviation.mean(axis=0), np.nan)
    error = together - median(beside(together))
    finite = np.abs(error[~np.isnan(error)])
    if finite.size == 0:
        return error, _SIDE_MM
    limit = max(_SIDE_MM, _ROBUST * float(np.median(finite)))
    gaps = np.stack([np.abs(side - beside(side)) for side in deviation])
    nearest = np.where(np.isnan(gaps), np.inf, gaps).min(axis=(0, 1))
    tells = (nearest > _STEP * limit) & ~sheet.alone(~np.isnan(together))
    return np.where(tells | np.isnan(error), error, 0.0), limit


def _fits(error: Floats, other: LineTable) -> Bools:
    """Where another measuring knows a point on both sides and shows less than half its error."""
    measured = ~np.isnan(other.length).any(axis=0)
    there = np.nan_to_num(_errors_together(other)[0])
    return np.asarray(measured & (there * np.sign(error) < np.abs(error) / 2.0))
