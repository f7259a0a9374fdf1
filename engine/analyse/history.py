"""What the services of one wing say together, compared only where they were measured alike."""

import math
from collections.abc import Callable, Iterable, Iterator, Sequence
from itertools import pairwise

from trimscribe.analyse.trends import drift, projection
from trimscribe.model.history import (
    Drift,
    History,
    HistoryGap,
    Levels,
    Projection,
    ProjectionKind,
    ServiceSummary,
)

__all__ = ["history_of"]

_LOAD = 0.02  # share by which measuring loads may differ; they are set, not read, to this
Pair = tuple[ServiceSummary, ServiceSummary]


def history_of(this: ServiceSummary, earlier: Iterable[ServiceSummary]) -> History | None:
    """Look back from one service on those before it; None when there are none."""
    before = sorted((s for s in earlier if s.done < this.done), key=lambda s: (s.done, s.service))
    if not before:
        return None
    services = (*before, this)
    pairs = [*pairwise(services)]
    gaps = tuple(_gap(*pair) for pair in pairs)
    alike = [p for p, gap in zip(pairs, gaps, strict=True) if gap is HistoryGap.COMPARED]
    why = next((gap for gap in gaps if gap), HistoryGap.COMPARED)
    names = this.now.rows_mm if this.now else {}
    return History(
        services=services,
        gaps=gaps,
        shrinkage=_lengths(alike, why, lambda levels: levels.all_mm),
        rows={name: _lengths(alike, why, _row(name)) for name in names},
        pitch=_pitch(alike, why),
        cloth=_cloth(services),
    )


def _gap(then: ServiceSummary, now: ServiceSummary) -> HistoryGap:
    """Why the lengths as they came in are not compared with those as they left the last time."""
    if then.now is None or now.before is None:
        return HistoryGap.NOT_MEASURED
    if _words(then.method) != _words(now.method) or not then.method:
        return HistoryGap.OTHER_METHOD
    if then.tension_n is None or now.tension_n is None:
        return HistoryGap.OTHER_LOAD
    if not math.isclose(then.tension_n, now.tension_n, rel_tol=_LOAD):
        return HistoryGap.OTHER_LOAD
    if then.specification != now.specification:
        return HistoryGap.OTHER_SPECIFICATION
    if then.now.lines != now.before.lines or then.now.rows_mm.keys() != now.before.rows_mm.keys():
        return HistoryGap.OTHER_LINES
    if then.hours is None or now.hours is None:
        return HistoryGap.NO_HOURS
    return HistoryGap.COMPARED if now.hours > then.hours else HistoryGap.NO_FLYING


def _words(text: str) -> str:
    return " ".join(text.casefold().split())


def _row(name: str) -> Callable[[Levels], float]:
    return lambda levels: levels.rows_mm[name]


def _stretches(alike: Sequence[Pair]) -> Iterator[tuple[float, Levels, Levels, Pair]]:
    for pair in alike:
        then, now = pair
        if then.hours is not None and now.hours is not None and then.now and now.before:
            yield now.hours - then.hours, then.now, now.before, pair


def _lengths(alike: Sequence[Pair], why: HistoryGap, of: Callable[[Levels], float]) -> Drift:
    """The uncertainty of one length counts in full: all lines of a session may share it."""
    hours, changes, u = [], [], []
    for flown, left, came, (then, now) in _stretches(alike):
        hours.append(flown)
        changes.append(of(came) - of(left))
        u.append(math.hypot(then.u_mm, now.u_mm))
    return drift(hours, changes, u) if hours else Drift(None, why_not=why)


def _pitch(alike: Sequence[Pair], why: HistoryGap) -> Drift:
    hours, changes, u = [], [], []
    for flown, left, came, _ in _stretches(alike):
        if left.pitch_deg is not None and came.pitch_deg is not None:
            hours.append(flown)
            changes.append(came.pitch_deg - left.pitch_deg)
            u.append(math.hypot(left.pitch_u_deg, came.pitch_u_deg))
    return drift(hours, changes, u) if hours else Drift(None, why_not=why)


def _cloth(services: Sequence[ServiceSummary]) -> Projection:
    """The services whose cloth was tested as it was this time."""
    last = services[-1].cloth
    if last is None:
        return Projection(ProjectionKind.TOO_LITTLE_DATA, 0)
    hours, values = [], []
    for service in services:
        cloth = service.cloth
        if cloth and (cloth.basis, cloth.unit) == (last.basis, last.unit):
            if service.hours is None:
                return Projection(ProjectionKind.TOO_LITTLE_DATA, 1)
            hours.append(service.hours)
            values.append(cloth.mean)
    return projection(hours, values, last.limit, rising=last.rising)
