"""A wing made of numbers alone, to put check values through the whole analysis."""

import datetime as dt
from collections.abc import Callable, Mapping, Sequence

import pytest

from trimscribe.analyse import change, ledger, line_set
from trimscribe.model.findings import Findings
from trimscribe.model.job import Job, Measurement, Service
from trimscribe.model.wing import (
    BRAKE,
    GroupKind,
    LineGroup,
    Point,
    Side,
    Specification,
    Tolerances,
    Wing,
)
from trimscribe.model.workshop import Workshop

Deviations = Mapping[str, Sequence[float]]


@pytest.fixture(scope="session")
def wing() -> Callable[..., Specification]:
    """A specification from rows' chord positions in metres; every line is 7000 mm long."""

    def make(rows: Mapping[str, float], points: int, **more: object) -> Specification:
        groups = [
            LineGroup(name, GroupKind.ROW, (7000.0,) * points, (chord,) * points)
            for name, chord in rows.items()
        ]
        groups.append(LineGroup(BRAKE, GroupKind.BRAKE, (7000.0,) * points))
        known: dict[str, object] = {
            "tension_n": 50.0,
            "includes_risers": True,
            "tolerances": Tolerances(default_mm=10.0, groups={BRAKE: 25.0}),
        }
        return Specification(
            "Pomeroy Wings", "Medlar", "M", "made up", "1", tuple(groups), **(known | more)
        )

    return make


@pytest.fixture(scope="session")
def bare_job() -> Callable[..., Job]:
    """A job with only what must be there, and what is handed in."""

    def make(**parts: object) -> Job:
        specification = parts.get("specification")
        if isinstance(specification, Specification):  # as reading settles them
            parts = {"tolerances": specification.tolerances} | parts
        return Job(
            service=Service("QH-1", dt.date(2026, 10, 16)),
            workshop=Workshop("Quarry Hill Canopy Works"),
            wing=Wing("Pomeroy Wings", "Medlar", "M", "MD-00001"),
            **parts,
        )

    return make


@pytest.fixture(scope="session")
def analysed(bare_job: Callable[..., Job]) -> Callable[..., Findings]:
    """Findings from a specification and deviations in mm, per group from the centre outwards."""

    def run(
        spec: Specification,
        left: Deviations,
        right: Deviations | None = None,
        after: Deviations | None = None,
        **more: object,
    ) -> Findings:
        def measured(one: Deviations, other: Deviations) -> Measurement:
            lengths = {
                (side, Point(name, n + 1)): 7000.0 + mm
                for side, values in ((Side.LEFT, one), (Side.RIGHT, other))
                for name, row in values.items()
                for n, mm in enumerate(row)
            }
            return Measurement(lengths, tension_n=50.0)

        job = bare_job(
            specification=spec,
            before=measured(left, right or left),
            after=None if after is None else measured(after, after),
            **more,
        )
        findings = Findings()
        for analysis in (line_set.analysis, change.analysis, ledger.analysis):
            findings = analysis.analyse(job, findings)
        return findings

    return run
