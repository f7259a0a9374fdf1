"""The test wing of our own study: 12 points a row, main lines of three, two to five rows."""

import datetime as dt
import math
from collections.abc import Callable, Iterable
from dataclasses import replace
from typing import Any

from trimscribe.analyse import change, decision, doubts, ledger, line_set
from trimscribe.model.findings import Findings
from trimscribe.model.job import Job, Measurement, Service
from trimscribe.model.wing import (
    BRAKE,
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

__all__ = [
    "CHORD_M",
    "POINTS",
    "REPEAT_MM",
    "along",
    "at_two_mm",
    "every_line",
    "findings_of",
    "measured",
    "study_job",
    "wing_w",
]

Key = tuple[Side, Point]

POINTS = 12
REPEAT_MM = math.sqrt(4.0 - 1.0 / 12.0)  # with lengths specified to 1 mm
CHORD_M = {
    2: (0.3, 1.6),
    3: (0.25, 0.9, 1.55),
    4: (0.2, 0.7, 1.2, 1.75),
    5: (0.15, 0.6, 1.0, 1.4, 1.9),
}


def along(index: int) -> float:
    """Share of the half span of a point, counted from 0."""
    return (index + 0.5) / POINTS


def wing_w(rows: int = 3, *, trailing_edge_m: float | None = None) -> Specification:
    """The line set: x = x_r (1 - 0.55 t²) m, L = 7300 - 450 t² + 25 r mm."""
    groups, cascade = [], []
    for index, chord in enumerate(CHORD_M[rows]):
        name = "ABCDE"[index]
        shares = [along(i) ** 2 for i in range(POINTS)]
        groups.append(
            LineGroup(
                name,
                GroupKind.ROW,
                tuple(7300.0 - 450.0 * t2 + 25.0 * index for t2 in shares),
                tuple(chord * (1.0 - 0.55 * t2) for t2 in shares),
            )
        )
        for main in range(POINTS // 3):
            points = tuple(Point(name, 3 * main + n) for n in (1, 2, 3))
            cascade.append(CascadeLine(f"{name.lower()}{main + 1}", points))
    return Specification(
        "Maker", "W", "M", "our own study", "1", tuple(groups), tuple(cascade),
        includes_risers=True, tension_n=50.0, trailing_edge_m=trailing_edge_m,
    )  # fmt: skip


def measured(
    specification: Specification,
    deviation_mm: Callable[[Side, Point], float],
    missing: Iterable[tuple[Side, Point]] = (),
) -> Measurement:
    """A measuring with these deviations at 50 N, without the lines that are missing."""
    left_out = set(missing)
    return Measurement(
        {
            (side, point): specified + deviation_mm(side, point)
            for side in Side
            for row in specification.rows
            for point, specified in zip(row.points, row.lengths_mm, strict=True)
            if (side, point) not in left_out
        },
        method="tape",
        instrument="T-1",
        tension_n=50.0,
    )


def at_two_mm(measurement: Measurement) -> Measurement:
    """With a repeat scatter that makes one length uncertain by exactly 2 mm, as in the study."""
    return replace(measurement, repeat_mm=REPEAT_MM)


def study_job(
    specification: Specification, before: Measurement, after: Measurement | None = None, **more: Any
) -> Job:
    """A job of nothing but measurings; lines are allowed 10 mm, brakes 25 mm."""
    known = {"tolerances": Tolerances(10.0, {BRAKE: 25.0})}
    return Job(
        Service("1", dt.date(2026, 1, 1)),
        Workshop("Quarry Hill Canopy Works"),
        Wing("Pomeroy Wings", "Medlar", "M", "MD-00001"),
        specification=specification,
        before=before,
        after=after,
        **(known | more),
    )


def every_line(specification: Specification) -> list[Key]:
    """Both sides of all row points, the left side first."""
    return [(side, point) for side in Side for row in specification.rows for point in row.points]


def findings_of(job: Job) -> Findings:
    """What the analyses of line sets make of a job."""
    found = Findings()
    for analysis in (line_set, change, ledger, doubts, decision):
        found = analysis.analysis.analyse(job, found)
    return found
