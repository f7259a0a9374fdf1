"""Jobs built straight from the model, without files: a wing, deviations from it, work done."""

import datetime as dt
from collections.abc import Mapping, Sequence
from dataclasses import replace
from types import SimpleNamespace

import pytest

from trimscribe.analyse import analyse
from trimscribe.model.findings import Findings
from trimscribe.model.job import Job, Measurement, Service
from trimscribe.model.wing import (
    BRAKE,
    BRAKE_MAIN,
    STABILO,
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
from trimscribe.registry import installed

KINDS = {STABILO: GroupKind.STABILO, BRAKE: GroupKind.BRAKE, BRAKE_MAIN: GroupKind.BRAKE_MAIN}
Deviations = Mapping[str, float | Sequence[float | None]]


def specification(
    rows: Mapping[str, float | Sequence[float]],
    points: int = 6,
    others: Mapping[str, int] | None = None,
    cascade: Mapping[str, Sequence[Point]] | None = None,
    **more: object,
) -> Specification:
    """Rows by name with their chord position (one number or one per point); other groups by size.

    Specified lengths are invented, and differ from line to line so that mix-ups show. They include
    the risers, so that lines tell about the wing by themselves.
    """
    groups = [
        LineGroup(
            name,
            GroupKind.ROW,
            tuple(7300.0 + 40 * r - 7 * n * n for n in range(points)),
            tuple(chord) if isinstance(chord, Sequence) else (chord,) * points,
        )
        for r, (name, chord) in enumerate(rows.items())
    ]
    groups += [
        LineGroup(name, KINDS[name], tuple(6400.0 - 11 * n for n in range(count)))
        for name, count in (others or {}).items()
    ]
    known: dict[str, object] = {
        "includes_risers": True,
        "tension_n": 50.0,
        "tolerances": Tolerances(default_mm=10.0, groups={BRAKE: 25.0}),
    }
    return Specification(
        maker="Pomeroy Wings",
        model="Medlar",
        size="M",
        source="made up for tests",
        revision="1",
        groups=tuple(groups),
        cascade=tuple(CascadeLine(name, tuple(p)) for name, p in (cascade or {}).items()),
        **(known | more),
    )


def measurement(
    spec: Specification,
    both: Deviations | None = None,
    left: Deviations | None = None,
    right: Deviations | None = None,
    **more: object,
) -> Measurement:
    """Deviations in mm by group, on both sides or one; one number stands for the whole group.

    None in a sequence, and a group left out, is not measured.
    """
    lengths: dict[tuple[Side, Point], float] = {}
    for side, own in ((Side.LEFT, left), (Side.RIGHT, right)):
        for name, values in {**(both or {}), **(own or {})}.items():
            group = spec.group(name)
            assert group is not None
            count = len(group.lengths_mm)
            row = values if isinstance(values, Sequence) else (values,) * count
            for point, specified, value in zip(group.points, group.lengths_mm, row, strict=True):
                if value is not None:
                    lengths[side, point] = specified + value
    return Measurement(lengths_mm=lengths, **({"tension_n": 50.0} | more))


def job(spec: Specification | None, before: Measurement | None = None, **more: object) -> Job:
    """A job with only what the analysis looks at."""
    known: dict[str, object] = {
        "wing": Wing("Pomeroy Wings", "Medlar", "M", "MD-00001"),
        "tolerances": spec.tolerances if spec else Tolerances(),  # as reading settles them
    }
    return Job(
        service=Service(number="QH-1", done=dt.date(2026, 10, 16)),
        workshop=Workshop(name="Quarry Hill Canopy Works"),
        specification=spec,
        before=before,
        **(known | more),
    )


def findings(job: Job) -> Findings:
    return analyse(job, installed())


def mirrored(m: Measurement) -> Measurement:
    other = {Side.LEFT: Side.RIGHT, Side.RIGHT: Side.LEFT}
    return replace(m, lengths_mm={(other[s], p): mm for (s, p), mm in m.lengths_mm.items()})


@pytest.fixture(scope="session")
def build() -> SimpleNamespace:
    """The builders above, by name."""
    return SimpleNamespace(
        specification=specification,
        measurement=measurement,
        job=job,
        findings=findings,
        mirrored=mirrored,
        three_rows={"A": 0.25, "B": 0.90, "C": 1.55},
    )
