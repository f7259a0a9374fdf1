"""Wings by seed, for measuring rates and costs: a specification, two measurings, the work between.

Every length is invented. Errors are normal: `u_mm` per reading, `group_mm` per main line, `side_mm`
per row and side; each row has shrunk by a little more than the one in front of it. The work lets
out the lines that are shortest.
"""

import datetime as dt
from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np

from trimscribe.model.job import Adjustment, Job, Measurement, Service
from trimscribe.model.wing import (
    CascadeLine,
    GroupKind,
    LineGroup,
    Point,
    Side,
    Specification,
    Tolerances,
    Wing,
)
from trimscribe.model.workshop import Workshop

__all__ = ["MadeUp", "Wanted", "cell", "make"]

SIDES = tuple(Side)


@dataclass(frozen=True)
class Wanted:
    """What kind of wing: its size, how it was measured, how many lines were adjusted."""

    rows: int = 3
    points: int = 14
    u_mm: float = 1.5
    group_mm: float = 3.0
    side_mm: float = 2.0
    per_group: int = 3
    row_step_mm: float = 55.0
    missing: int = 0
    adjusted: int = 6
    loop_mm: float = 9.0
    brakes: int = 8
    measured_again: bool = True


@dataclass(frozen=True)
class MadeUp:
    """A job and its generator, to put slips into it."""

    job: Job
    random: np.random.Generator
    wanted: Wanted

    def with_lengths(self, when: str, change: Callable[[dict], None]) -> "MadeUp":
        """The job with the lengths of one measuring changed in place."""
        measurement = getattr(self.job, when)
        lengths = dict(measurement.lengths_mm)
        change(lengths)
        changed = replace(measurement, lengths_mm=lengths)
        return replace(self, job=replace(self.job, **{when: changed}))


def cell(made: MadeUp, low: int = 1, high: int = 0) -> tuple[Side, Point]:
    """Any row point; `low` and `high` bound its number (0 = to the tip)."""
    specification = made.job.specification
    row = specification.rows[made.random.integers(len(specification.rows))]
    number = int(made.random.integers(low, (high or made.wanted.points) + 1))
    return SIDES[made.random.integers(2)], Point(row.name, number)


def make(seed: int, wanted: Wanted = Wanted()) -> MadeUp:
    """A sound job: whatever looks wrong in it is chance."""
    random = np.random.default_rng(seed)
    specification = _specification(random, wanted)
    true = _as_it_came(random, specification, wanted)
    work = _work(true, specification, wanted)
    mains = {line.name: line.points for line in specification.cascade}
    retrimmed = dict(true)
    for entry in work:
        for point in mains[entry.line]:
            retrimmed[entry.side, point] += entry.change_mm
    gone = {
        tuple(key)
        for key in random.permutation(np.array(list(true), dtype=object))[: wanted.missing].tolist()
    }
    before, after = (
        Measurement(
            {
                key: float(round(mm + random.normal(0.0, wanted.u_mm)))
                for key, mm in lengths.items()
                if key not in gone
            },
            tension_n=50.0,
            uncertainty_mm=wanted.u_mm,
        )
        for lengths in (true, retrimmed)
    )
    job = Job(
        service=Service("QH-1", dt.date(2026, 10, 16)),
        workshop=Workshop("Quarry Hill Canopy Works"),
        wing=Wing("Pomeroy Wings", "Medlar", "M", "MD-00001"),
        specification=specification,
        tolerances=specification.tolerances,
        before=before,
        after=after if wanted.measured_again else None,
        adjustments=tuple(work),
    )
    return MadeUp(job, random, wanted)


def _specification(random: np.random.Generator, wanted: Wanted) -> Specification:
    share = np.arange(wanted.points) / max(wanted.points - 1, 1)
    groups = []
    for r in range(wanted.rows):
        centre = 7300.0 + wanted.row_step_mm * (r % 2 * -1.0 + r // 2)
        taper = 560.0 + 14.0 * r + random.uniform(-10.0, 10.0)
        lengths = np.round(centre - taper * share**1.7)
        chord = (0.24 + 0.62 * r) * (1.0 - 0.55 * share**2)
        name = "ABCDEFGH"[r]
        groups.append(LineGroup(name, GroupKind.ROW, tuple(lengths), tuple(np.round(chord, 3))))
    if wanted.brakes:
        fan = np.round(7880.0 - 420.0 * (np.arange(wanted.brakes) / wanted.brakes) ** 1.8)
        groups.append(LineGroup("brake", GroupKind.BRAKE, tuple(fan)))
    cascade = [
        CascadeLine(
            f"{group.name.lower()}{n // wanted.per_group + 1}",
            group.points[n : n + wanted.per_group],
        )
        for group in groups
        if group.kind is GroupKind.ROW
        for n in range(0, len(group.points), wanted.per_group)
    ]
    return Specification(
        "Pomeroy Wings",
        "Medlar",
        "M",
        "made up",
        "1",
        tuple(groups),
        tuple(cascade),
        tension_n=50.0,
        tolerances=Tolerances(default_mm=10.0, groups={"brake": 25.0}),
        trailing_edge_m=2.5,
        brake_free_travel_mm=70.0,
    )


def _as_it_came(
    random: np.random.Generator, specification: Specification, wanted: Wanted
) -> dict[tuple[Side, Point], float]:
    lengths = {}
    group_of = {p: line.name for line in specification.cascade for p in line.points}
    for r, group in enumerate(specification.groups):
        shrunk = -4.0 - 5.0 * r + random.normal(0.0, 2.0)
        for side in Side:
            level = shrunk + random.normal(0.0, wanted.side_mm)
            offsets = {name: random.normal(0.0, wanted.group_mm) for name in group_of.values()}
            for point, specified in zip(group.points, group.lengths_mm, strict=True):
                own = offsets.get(group_of.get(point, ""), 0.0)
                lengths[side, point] = specified + level + own
    return lengths


def _work(
    true: dict[tuple[Side, Point], float], specification: Specification, wanted: Wanted
) -> list[Adjustment]:
    def deviation(line: CascadeLine, side: Side) -> float:
        point = line.points[0]
        return true[side, point] - specification.specified_mm(point)

    mains = [(line, side) for line in specification.cascade for side in Side]
    chosen = sorted(mains, key=lambda main: deviation(*main))[: wanted.adjusted]
    return [
        Adjustment(line.name, side, change_mm=wanted.loop_mm, entry=n)
        for n, (line, side) in enumerate(chosen)
    ]
