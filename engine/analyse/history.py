"""The services of one wing: each in a few numbers, and what they say together.

They are compared only where they were measured alike.
"""

import math
from collections.abc import Callable, Iterable, Sequence
from itertools import pairwise
from statistics import fmean

import numpy as np

from trimscribe.analyse.cloth import flow_l_m2_min
from trimscribe.analyse.load import same_words
from trimscribe.analyse.products import inner
from trimscribe.analyse.uncertainty import reading_u_mm
from trimscribe.model.findings import Findings, State
from trimscribe.model.history import (
    ClothState,
    Drift,
    History,
    HistoryGap,
    How,
    LineSetLevels,
    Projection,
    ProjectionKind,
    ServiceSummary,
    Tests,
)
from trimscribe.model.job import Job, Measurement, Porosity, PorosityUnit
from trimscribe.model.thresholds import thresholds_of
from trimscribe.model.wing import GroupKind

_LOAD = 0.02  # share by which measuring loads may differ; they are set, not read, to this
_LEAST_SERVICES = 3  # two points always lie on a line
_COVERAGE = 2.0  # of a standard uncertainty that is known, about 95 %
_TAIL = 0.975
_Pair = tuple[ServiceSummary, ServiceSummary]
_Level = tuple[float | None, float | None]  # with its standard uncertainty


def summary_of(job: Job, findings: Findings) -> ServiceSummary:
    """Sum up one service; pure."""
    spec = job.specification
    now = findings.now
    return ServiceSummary(
        service=job.service.number,
        done=job.service.done.isoformat(),
        hours=job.wing.hours,
        specification=spec.called if spec else "",
        before=_levels(job, job.before, findings.before),
        after=_levels(job, job.after, findings.after),
        free_travel_mm={
            side.value: brake.free_travel_mm
            for side, brake in (now.brakes if now else {}).items()
            if brake.free_travel_mm is not None and not brake.estimated
        },
        cloth=_cloth_state(job.porosity, findings),
        strength=_tests(findings),
    )


def _levels(job: Job, measured: Measurement | None, state: State | None) -> LineSetLevels | None:
    if measured is None or state is None:
        return None
    rows: dict[str, list[float]] = {}
    missing = []
    for line in state.lines:
        if line.kind is not GroupKind.ROW:
            continue
        if line.deviation_mm is None or line.doubted:
            missing.append(f"{line.side} {line.point}")
        else:
            rows.setdefault(line.point.group, []).append(line.deviation_mm)
    if not rows:
        return None
    every = [mm for row in rows.values() for mm in row]
    return LineSetLevels(
        rows_mm={name: fmean(row) for name, row in rows.items()},
        all_mm=fmean(every),
        lines=len(every),
        how=How(measured.method, measured.tension_n, reading_u_mm(measured, thresholds_of(job))),
        missing=tuple(missing),
        pitch_deg=state.pitch.wing.value,
        pitch_u_deg=state.pitch.wing.u,
    )


def _cloth_state(test: Porosity | None, findings: Findings) -> ClothState | None:
    """In flow where the instrument is known: that is what ages along a line, not its inverse."""
    found = findings.porosity
    if test is None or found is None:
        return None
    instrument = f"{test.method}; {test.volume_l} L; {test.area_cm2} cm2; {test.pressure_pa} Pa"
    flow = found.mean_flow_l_m2_min
    if flow is None:
        rising = test.unit is PorosityUnit.FLOW
        return ClothState(found.mean, test.limit, test.unit.value, rising, instrument)
    limit = test.limit
    if limit is not None and test.unit is PorosityUnit.SECONDS:
        limit = flow_l_m2_min(limit, test.volume_l, test.area_cm2)
    return ClothState(flow, limit, PorosityUnit.FLOW.value, True, instrument)


def _tests(findings: Findings) -> Tests | None:
    """The pull that came closest to what is required; one that held shows no more than its load."""
    pulls = [
        Tests(pull.test.load_n / pull.required_n, pull.test.broke)
        for pull in findings.strength
        if pull.required_n
    ]
    return min(pulls, key=lambda pull: pull.share, default=None)


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
        shrinkage=_drift(alike, why, lambda levels: (levels.all_mm, _u_mm(levels))),
        rows={name: _drift(alike, why, _row(name)) for name in names},
        pitch=_drift(alike, why, lambda levels: (levels.pitch_deg, levels.pitch_u_deg)),
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
    if now.hours < then.hours:
        return HistoryGap.FEWER_HOURS
    return HistoryGap.COMPARED if now.hours > then.hours else HistoryGap.NO_FLYING


def _other_measuring(left: How | None, came: How | None) -> HistoryGap:
    if left is None or came is None:
        return HistoryGap.NOT_KNOWN
    if not same_words(left.method, came.method) or not left.method:
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


def _row(name: str) -> Callable[[LineSetLevels], _Level]:
    return lambda levels: (levels.rows_mm.get(name), _u_mm(levels))


def _u_mm(levels: LineSetLevels) -> float | None:
    """That of one length counts in full: all lines of a session may share it."""
    return levels.how.u_mm if levels.how else None


def _drift(alike: Sequence[_Pair], why: HistoryGap, of: Callable[[LineSetLevels], _Level]) -> Drift:
    """How one level changed from each service to the next."""
    hours, changes, u = [], [], []
    for then, now in alike:
        if then.hours is None or now.hours is None or not (then.now and now.before):
            continue
        (start, start_u), (end, end_u) = of(then.now), of(now.before)
        if start is None or end is None or start_u is None or end_u is None:
            continue
        hours.append(now.hours - then.hours)
        changes.append(end - start)
        u.append(math.hypot(start_u, end_u))
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


def drift(hours: Sequence[float], changes: Sequence[float], u: Sequence[float]) -> Drift:
    """Change per 100 h from stretches of flying: hours > 0, change, its standard uncertainty.

    Least squares through zero, since nothing changes without flying. The range is the wider of
    what the uncertainties give and what the stretches scatter (Student's t).
    """
    if not hours:
        return Drift(None, why_not=HistoryGap.TOO_FEW)
    h, y, s = (np.asarray(values, dtype=float) for values in (hours, changes, u))
    weight = inner(h, h)
    rate = inner(h, y) / weight
    half = _COVERAGE * math.sqrt(inner(h * s, h * s)) / weight
    spare = len(h) - 1
    if spare:
        from scipy import special  # large: loaded for those reports only that look back

        rest = y - rate * h
        scatter = math.sqrt(inner(rest, rest) / spare / weight)
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
    if (apart := len({flown for flown, _ in placed})) < _LEAST_SERVICES:
        return Projection(ProjectionKind.TOO_LITTLE_DATA, apart)
    from scipy import special

    h, values_at = np.asarray(placed, dtype=float).T
    y = sign * (values_at - limit)
    middle, arm = float(h.mean()), h - h.mean()
    spread = inner(arm, arm)
    slope = inner(arm, y) / spread
    intercept = float(y.mean()) - slope * middle
    rest = y - slope * h - intercept
    scatter = math.sqrt(inner(rest, rest) / (count - 2))
    last = float(h.max())
    horizon = last + (last - float(h.min()))
    ahead = np.arange(math.ceil(last), math.floor(horizon) + 1.0)
    quantile = float(special.stdtrit(count - 2, _TAIL))
    half = quantile * scatter * np.sqrt(1.0 / count + (ahead - middle) ** 2 / spread)
    fitted = slope * ahead + intercept
    early, late = ahead[fitted + half >= 0.0], ahead[fitted - half >= 0.0]
    if not early.size:
        return Projection(ProjectionKind.NOT_IN_SIGHT, count, horizon_h=horizon)
    high = float(late[0]) if late.size else None
    return Projection(ProjectionKind.RANGE, count, float(early[0]), high, horizon)
