"""A small wing, findings of it by the built-in analyses, and what is said about them."""

import datetime as dt
import re
import zlib
from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from functools import cache
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest

from trimscribe.analyse import analyse
from trimscribe.assess import assess
from trimscribe.model.findings import Findings, Verdict
from trimscribe.model.job import Adjustment, Job, Measurement, Pilot, Service
from trimscribe.model.statements import Statements
from trimscribe.model.wing import (
    BRAKE,
    BRAKE_MAIN,
    STABILO,
    CascadeLine,
    GroupKind,
    LineGroup,
    Point,
    RiserLengths,
    Side,
    Specification,
    Tolerances,
    Wing,
)
from trimscribe.model.workshop import Workshop
from trimscribe.narrate import narrate
from trimscribe.read import read
from trimscribe.registry import installed

ROOT = Path(__file__).parents[2]
JOBS = {
    path.stem: path
    for folder in ("examples", "tests/jobs")
    for path in sorted((ROOT / folder).glob("*.yaml"))
    if "service:" in path.read_text(encoding="utf-8") and path.stem != "broken"
}
CHORD = {"A": 0.25, "B": 0.90, "C": 1.55}
POINTS = 6
Deviations = Mapping[str, float | Sequence[float | None]]


ENGLISH = installed()


def registry(languages: Mapping[str, Any]) -> Any:
    """Stands for the registry where languages are asked for: these alone."""
    return SimpleNamespace(get=lambda kind, name: {"languages": languages}[kind][name])


def tilt(slope: float, rows: Mapping[str, float] = CHORD) -> dict[str, float]:
    """Deviations in mm that fall by `slope` mm per metre of chord: + = nose up."""
    return {row: -slope * chord for row, chord in rows.items()}


def specification(**more: Any) -> Specification:
    """Three rows, two stabilo lines, a brake fan; lengths are invented."""
    groups = [
        LineGroup(row, GroupKind.ROW, tuple(7300.0 - 9 * n for n in range(POINTS)), (x,) * POINTS)
        for row, x in CHORD.items()
    ]
    groups += [
        LineGroup(STABILO, GroupKind.STABILO, (6400.0, 6380.0)),
        LineGroup(BRAKE, GroupKind.BRAKE, (7600.0, 7580.0, 7550.0)),
        LineGroup(BRAKE_MAIN, GroupKind.BRAKE_MAIN, (2200.0,)),
    ]
    cascade = [CascadeLine(g.name.lower(), g.points) for g in groups if g.kind is GroupKind.ROW]
    cascade.append(CascadeLine("s1", groups[3].points))
    known: dict[str, Any] = {
        "tension_n": 50.0,
        "tolerances": Tolerances(default_mm=10.0, groups={BRAKE: 25.0}, riser_mm=5.0),
        "trailing_edge_m": 2.3,
        "brake_free_travel_mm": 70.0,
        "includes_risers": True,
        "risers": {"A": RiserLengths(520.0), "B": RiserLengths(520.0)},
        "cascade": tuple(cascade),
        "groups": tuple(groups),
    }
    return Specification("Pomeroy Wings", "Medlar", "M", "made up", "1", **(known | more))


SPECIFICATION = specification()


def measured(
    both: Deviations | None = None,
    left: Deviations | None = None,
    right: Deviations | None = None,
    risers: Mapping[str, float] | None = None,
    spec: Specification = SPECIFICATION,
    **more: Any,
) -> Measurement:
    """Lengths from deviations in mm; what is not given lies on its specified length.

    One number stands for a whole group, None for what was not measured.
    """
    lengths: dict[tuple[Side, Point], float] = {}
    seed = zlib.crc32(repr((both, left, right)).encode())
    for side, own in ((Side.LEFT, left), (Side.RIGHT, right)):
        given = {**(both or {}), **(own or {})}
        for group in spec.groups:
            values = given.get(group.name, 0.0)
            row = values if isinstance(values, Sequence) else [values] * len(group.lengths_mm)
            for point, specified, value in zip(group.points, group.lengths_mm, row, strict=True):
                if value is not None:
                    lengths[side, point] = specified + value + _hair_mm(seed, side, point)
    trims = {
        (side, name): RiserLengths(520.0 + mm)
        for name, mm in (risers or {}).items()
        for side in Side
    }
    return Measurement(lengths, **({"tension_n": 50.0, "risers": trims} | more))


def _hair_mm(seed: int, side: Side, point: Point) -> float:
    """Less than a tenth of a mm: equal lengths would look copied."""
    return zlib.crc32(f"{seed} {side} {point}".encode()) % 9 / 100 - 0.04


def job(before: Measurement | None = None, after: Measurement | None = None, **more: Any) -> Job:
    """A job with only what is handed in."""
    known: dict[str, Any] = {
        "wing": Wing("Pomeroy Wings", "Medlar", "M", "MD-1", weight_min_kg=80, weight_max_kg=100),
        "specification": SPECIFICATION,
        "before": before,
        "after": after,
        "pilot": Pilot("Robin Hale"),
    }
    known |= more
    spec = known["specification"]
    known.setdefault("tolerances", spec.tolerances if spec else Tolerances())
    return Job(
        Service("QH-1", dt.date(2026, 10, 16)),
        known.pop("workshop", Workshop("Quarry Hill Canopy Works")),
        **known,
    )


def adjusted(mm: float, line: str = "c", sides: Sequence[Side] = tuple(Side)) -> tuple[Any, ...]:
    return tuple(Adjustment(line, side, change_mm=mm) for side in sides)


def mirrored(original: Job) -> Job:
    """The same job with left and right exchanged everywhere."""
    other = {Side.LEFT: Side.RIGHT, Side.RIGHT: Side.LEFT}

    def turn(m: Measurement | None) -> Measurement | None:
        return m and replace(
            m,
            lengths_mm={(other[s], p): mm for (s, p), mm in m.lengths_mm.items()},
            risers={(other[s], name): r for (s, name), r in m.risers.items()},
            free_travel_mm={other[s]: mm for s, mm in m.free_travel_mm.items()},
        )

    return replace(
        original,
        before=turn(original.before),
        after=turn(original.after),
        adjustments=tuple(replace(a, side=other[a.side]) for a in original.adjustments),
        replacements=tuple(
            replace(r, side=r.side and other[r.side]) for r in original.replacements
        ),
        strength=tuple(replace(t, side=t.side and other[t.side]) for t in original.strength),
    )


def findings(of: Job) -> Findings:
    return analyse(of, ENGLISH)


def narrated(of: Job, registry: Any = ENGLISH) -> Statements:
    return narrate(assess(findings(of), of), of, registry)  # only `get` is asked


def close_call(verdict: Verdict) -> Statements:
    """What is said when one line lies too near its limit to be judged for sure."""
    of = job(measured({"B": (0, 0, 9, 0, 0, 0)}))
    found = findings(of)
    assert found.before is not None
    lines = tuple(
        replace(line, verdict=verdict) if str(line.point) == "B3" else line
        for line in found.before.lines
    )
    state = replace(found.before, lines=lines, verdict=verdict)
    return narrate(assess(replace(found, before=state), of), of, ENGLISH)


@cache
def example(name: str) -> Job:
    return read(JOBS[name], ENGLISH).job


@pytest.fixture(scope="session")
def bench() -> SimpleNamespace:
    """The builders above, by name."""
    return SimpleNamespace(
        adjusted=adjusted,
        close_call=close_call,
        example=example,
        findings=findings,
        job=job,
        measured=measured,
        mirrored=mirrored,
        registry=registry,
        specification=specification,
        tilt=tilt,
        narrated=narrated,
        said_of=lambda found, of: narrate(assess(found, of), of, ENGLISH),
    )


@pytest.fixture(scope="session")
def examples() -> dict[str, Job]:
    """Every job of the examples and of tests/jobs that can be read, by name."""
    return {name: example(name) for name in JOBS}


@pytest.fixture(params=JOBS)
def job_name(request: pytest.FixtureRequest) -> str:
    """The name of each of them in turn."""
    return str(request.param)


@pytest.fixture
def example_job(job_name: str, examples: dict[str, Job]) -> Job:
    """Each of them in turn."""
    return examples[job_name]


@pytest.fixture(scope="session")
def said() -> Callable[[Statements], list[str]]:
    """The rules that spoke."""
    return lambda statements: [s.rule for s in (*statements.sentences, *statements.cautions)]


@pytest.fixture(scope="session")
def is_whole() -> Callable[[str], bool]:
    """Whether a sentence starts and ends as one and shows no seam of its making."""
    seam = re.compile(r"None|[{}]|  |\(\)| [,.:]|[,.][,.]")
    return lambda text: bool(re.fullmatch(r"[A-Z0-9].*[.]”?", text)) and not seam.search(text)
