"""The statistics of several services: a rate through zero, and a line towards a limit."""

import math
from collections.abc import Sequence

import numpy as np

from trimscribe.model.history import Drift, HistoryGap, Projection, ProjectionKind

_LEAST_SERVICES = 3  # two points always lie on a line
_COVERAGE = 2.0  # of a standard uncertainty that is known, about 95 %
_TAIL = 0.975


def drift(hours: Sequence[float], changes: Sequence[float], u: Sequence[float]) -> Drift:
    """Change per 100 h from stretches of flying: hours > 0, change, its standard uncertainty.

    Least squares through zero, since nothing changes without flying. The range is the wider of
    what the uncertainties give and what the stretches scatter (Student's t).
    """
    if not hours:
        return Drift(None, why_not=HistoryGap.TOO_FEW)
    h, y, s = (np.asarray(values, dtype=float) for values in (hours, changes, u))
    weight = float(h @ h)
    rate = float(h @ y) / weight
    half = _COVERAGE * math.sqrt(float((h * s) @ (h * s))) / weight
    spare = len(h) - 1
    if spare:
        from scipy import special  # large: loaded for those reports only that look back

        rest = y - rate * h
        scatter = math.sqrt(float(rest @ rest) / spare / weight)
        half = max(half, float(special.stdtrit(spare, _TAIL)) * scatter)
    low, high = (100.0 * (rate + sign * half) for sign in (-1.0, 1.0))
    return Drift(100.0 * rate, low, high, len(h), float(h.sum()))


def projection(
    hours: Sequence[float | None], values: Sequence[float], limit: float | None, *, rising: bool
) -> Projection:
    """When a straight line through the services may reach the limit.

    The range is where the 95 % band of the fitted line crosses it, looked for no further ahead than
    the services reach back. `rising` is True where values above the limit are out of limits. A
    value whose hours are not known has no place on the line; without the last one's, none is drawn.
    """
    count = len(values)
    if limit is None:
        return Projection(ProjectionKind.NO_LIMIT, count)
    sign = 1.0 if rising else -1.0
    if count and sign * (values[-1] - limit) >= 0.0:
        return Projection(ProjectionKind.REACHED, count)
    if count and hours[-1] is None:
        return Projection(ProjectionKind.NO_HOURS, count)
    placed = [pair for pair in zip(hours, values, strict=True) if pair[0] is not None]
    count = len(placed)
    if len({flown for flown, _ in placed}) < _LEAST_SERVICES:
        return Projection(ProjectionKind.TOO_LITTLE_DATA, count)
    from scipy import special, stats

    h, values_at = np.asarray(placed, dtype=float).T
    y = sign * (values_at - limit)
    line = stats.linregress(h, y)
    rest = y - line.slope * h - line.intercept
    scatter = math.sqrt(float(rest @ rest) / (count - 2))
    middle, spread = float(h.mean()), float(((h - h.mean()) ** 2).sum())
    last = float(h.max())
    horizon = last + (last - float(h.min()))
    ahead = np.arange(math.ceil(last), math.floor(horizon) + 1.0)
    quantile = float(special.stdtrit(count - 2, _TAIL))
    half = quantile * scatter * np.sqrt(1.0 / count + (ahead - middle) ** 2 / spread)
    fitted = line.slope * ahead + line.intercept
    early, late = ahead[fitted + half >= 0.0], ahead[fitted - half >= 0.0]
    if not early.size:
        return Projection(ProjectionKind.NOT_IN_SIGHT, count, horizon_h=horizon)
    high = float(late[0]) if late.size else None
    return Projection(ProjectionKind.RANGE, count, float(early[0]), high, horizon)
