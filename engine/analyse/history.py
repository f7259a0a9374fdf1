"""What the services of one wing say together, compared only where they were measured alike."""

import math
from collections.abc import Callable, Iterable, Iterator, Sequence
from itertools import pairwise

from trimscribe.analyse.trends import drift, projection
from trimscribe.model.history import (
    Drift,
    History,
    HistoryGap,
    How,
    LineSetLevels,
    Projection,
    ProjectionKind,
    ServiceSummary,
)

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
    left, came = then.now, now.before
    if left is None or came is None:
        return HistoryGap.NOT_MEASURED
    if gap := _other_measuring(left.how, came.how):
        return gap
    if then.specification != now.specification:
        return HistoryGap.OTHER_SPECIFICATION
    if gap := _other_lines(left, came):
        return gap
    if then.hours is None or now.hours is None:
        return HistoryGap.NO_HOURS
    return HistoryGap.COMPARED if now.hours > then.hours else HistoryGap.NO_FLYING


def _other_measuring(left: How | None, came: How | None) -> HistoryGap:
    if left is None or came is None:
        return HistoryGap.NOT_KNOWN
    if _words(left.method) != _words(came.method) or not left.method:
        return HistoryGap.OTHER_METHOD
    if left.tension_n is None or came.tension_n is None:
        return HistoryGap.OTHER_LOAD
    alike = math.isclose(left.tension_n, came.tension_n, rel_tol=_LOAD)
    return HistoryGap.COMPARED if alike else HistoryGap.OTHER_LOAD


def _other_lines(left: LineSetLevels, came: LineSetLevels) -> HistoryGap:
    """Of one specification; where one does not say which, all of its lines are as many as all."""
    if left.lines != came.lines or left.rows_mm.keys() != came.rows_mm.keys():
        return HistoryGap.OTHER_LINES
    if left.missing is None or came.missing is None:
        return HistoryGap.COMPARED if () in (left.missing, came.missing) else HistoryGap.NOT_KNOWN
    return HistoryGap.COMPARED if left.missing == came.missing else HistoryGap.OTHER_LINES


def _words(text: str) -> str:
    return " ".join(text.casefold().split())


def _row(name: str) -> Callable[[LineSetLevels], float | None]:
    return lambda levels: levels.rows_mm.get(name)


def _stretches(alike: Sequence[Pair]) -> Iterator[tuple[float, LineSetLevels, LineSetLevels]]:
    for then, now in alike:
        if then.hours is not None and now.hours is not None and then.now and now.before:
            yield now.hours - then.hours, then.now, now.before


def _lengths(
    alike: Sequence[Pair], why: HistoryGap, of: Callable[[LineSetLevels], float | None]
) -> Drift:
    """The uncertainty of one length counts in full: all lines of a session may share it."""
    hours, changes, u = [], [], []
    for flown, left, came in _stretches(alike):
        start, end = of(left), of(came)
        if start is not None and end is not None and left.how and came.how:
            hours.append(flown)
            changes.append(end - start)
            u.append(math.hypot(left.how.u_mm, came.how.u_mm))
    return drift(hours, changes, u) if hours else Drift(None, why_not=why)


def _pitch(alike: Sequence[Pair], why: HistoryGap) -> Drift:
    hours, changes, u = [], [], []
    for flown, left, came in _stretches(alike):
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
    alike = [
        (service.hours, service.cloth.mean)
        for service in services
        if service.cloth and (service.cloth.basis, service.cloth.unit) == (last.basis, last.unit)
    ]
    hours, values = zip(*alike, strict=True)
    return projection(hours, values, last.limit, rising=last.rising)
