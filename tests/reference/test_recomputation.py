"""Two independent ways to the same numbers: the analysis, and plain Python from the formulas."""

import dataclasses
import datetime as dt
import math
from pathlib import Path

import numpy as np
import pytest
from made_up_wings import Wanted, make
from plain_findings import plain_findings
from trials import trials

from trimscribe.analyse import analyse
from trimscribe.analyse.adjustment_effect import touched_keys
from trimscribe.model.decision import Acceptance, DecisionRule
from trimscribe.model.job import (
    Adjustment,
    OffsetMethod,
    Porosity,
    PorosityReading,
    PorosityUnit,
    Replacement,
    StrengthTest,
    TearReading,
    TearTest,
)
from trimscribe.model.plain import to_plain
from trimscribe.model.wing import RiserLengths, Side, StrengthRule, Tolerances
from trimscribe.read import read
from trimscribe.registry import Registry

ROOT = Path(__file__).parents[2]
REGISTRY = Registry.installed()
JOBS = sorted([*ROOT.glob("examples/*.yaml"), *ROOT.glob("tests/jobs/*.yaml")])
HEURISTIC = {"doubts", "extra"}  # a doubt is a suspicion, not a number of the report


def is_job(path: Path) -> bool:
    return path.stem != "broken" and "\nservice:" in path.read_text(encoding="utf-8")


def assert_equal(found, anew, at=""):
    """Every number within 1e-9 of the larger, everything else the same, nothing left over."""
    if isinstance(anew, dict):
        assert found.keys() == anew.keys(), at
        for key, value in anew.items():
            assert_equal(found[key], value, f"{at}.{key}")
    elif isinstance(anew, list):
        assert len(found) == len(anew), at
        for index, value in enumerate(anew):
            assert_equal(found[index], value, f"{at}[{index}]")
    elif isinstance(anew, float) and isinstance(found, float):
        assert math.isclose(found, anew, rel_tol=1e-9, abs_tol=1e-9), (at, found, anew)
    else:
        assert found == anew, at


def settled(job):
    """The job, with its findings, and with all that looks wrong confirmed.

    What is in doubt is left out of the numbers. That leaving out is the same as not having
    measured is tested with the doubts.
    """
    found = analyse(job, REGISTRY)
    while unsure := [doubt.name for doubt in found.doubts if doubt.confirmed is None]:
        job = dataclasses.replace(job, confirmed={**job.confirmed, **dict.fromkeys(unsure, "so")})
        found = analyse(job, REGISTRY)
    return job, found


def assert_agree(job):
    job, findings = settled(job)
    found = to_plain(findings)
    anew = plain_findings(job)
    assert_equal({key: found[key] for key in found.keys() - HEURISTIC}, anew)


EXAMPLES = [
    pytest.param(path, id=path.stem, marks=pytest.mark.slow if path.stem == "many-points" else ())
    for path in JOBS
    if is_job(path)
]


@pytest.mark.parametrize("path", EXAMPLES)
def test_every_example_gives_the_same_numbers_both_ways(path):
    assert_agree(read(path, REGISTRY).job)


def any_job(seed: int):
    """A wing of any size, measured somehow, judged by any rule."""
    random = np.random.default_rng(seed)
    rows = int(random.integers(2, 6))
    points = int(random.integers(3, 16))
    wanted = Wanted(
        rows=rows,
        points=points,
        u_mm=float(random.uniform(0.4, 3.0)),
        group_mm=float(random.uniform(0.0, 8.0)),
        missing=int(random.integers(0, rows * points // 2)) * int(random.random() < 0.4),
        adjusted=int(random.integers(0, 5)),
        brakes=int(random.integers(0, 9)),
        measured_again=random.random() < 0.7,
    )
    job = make(seed, wanted).job
    spec = dataclasses.replace(
        job.specification,
        lean_deg=float(random.choice([0.0, 12.0])),
        rounding_mm=random.choice([None, 5.0]),
        trailing_edge_m=random.choice([None, 3.9]),
        stiffness_n={
            g.name: tuple(random.uniform(9e3, 4e4, len(g.lengths_mm)))
            for g in job.specification.groups
        }
        if random.random() < 0.5
        else {},
        strength_rules=(StrengthRule(("A", "B"), 8.0, 12), StrengthRule(("C",), 6.0, 10, 9.81)),
    )
    if random.random() < 0.2:  # a wing whose lines all hang by themselves
        spec = dataclasses.replace(spec, cascade=())
    spec = dataclasses.replace(
        spec,
        includes_risers=random.random() < 0.3,
        brakes_share_offset=random.random() < 0.3,
        risers={row.name: RiserLengths(520.0, 385.0) for row in spec.rows},
    )
    method = random.choice(list(OffsetMethod))
    changes = {
        "specification": spec,
        "wing": dataclasses.replace(
            job.wing, trim_speed_km_h=random.choice([None, 38.5]), weight_max_kg=102.0
        ),
        "tolerances": Tolerances(
            random.choice([None, 10.0]), {"A": 8.0, "brake": 25.0}, 5.0, random.choice([None, 9.0])
        ),
        "offset_method": OffsetMethod(method),
        "offset_row": "B" if method == "row" else "",
        "decision_rule": [
            DecisionRule(),
            DecisionRule(Acceptance.GUARDED, float(random.uniform(0.5, 3))),
            DecisionRule(Acceptance.PROBABILITY, float(random.uniform(0.6, 0.99))),
        ][random.integers(3)],
        "thresholds": {"pitch_deg": 0.4, "u_row_mm": 1.2} if random.random() < 0.3 else {},
        "porosity": Porosity(
            PorosityUnit.SECONDS,
            tuple(PorosityReading("x", float(v)) for v in random.uniform(5, 90, 3)),
            limit=20.0, volume_l=0.40, area_cm2=50.0, uncertainty=random.choice([None, 3.0]),
        ),
        "tear": TearTest((TearReading("x", float(random.integers(0, 8))),), limit_mm=5.0),
        "strength": (
            StrengthTest("A2 middle line", float(random.uniform(700, 1000)), random.random() < 0.5,
                         uncertainty_n=random.choice([None, 15.0])),
            StrengthTest("c1", 700.0, True),
        ),
    }  # fmt: skip
    changes["adjustments"] = (*job.adjustments, *single_lines(random, spec))
    if random.random() < 0.3:
        part = random.choice(["riser A", "line A2", "a main line", "line C1, riser B"])
        changes["replacements"] = (Replacement(part, random.choice([None, Side.LEFT]), "worn"),)
    job = dataclasses.replace(job, **changes)
    days = dt.date(2026, 10, 14), random.choice([dt.date(2026, 10, 14), dt.date(2026, 10, 16)])
    how = {
        "method": "line by line",
        "instrument": "meter",
        "tension_n": random.choice([None, 50.0, 50.0, 50.0, 80.0]),
    }
    for when, day in zip(("before", "after"), days, strict=True):
        if measurement := getattr(job, when):
            if random.random() < 0.3:  # under another load, or otherwise
                how |= {"tension_n": random.choice([None, 50.0, 80.0])}
                how |= {"instrument": random.choice(["meter", "tape", ""])}
            measurement = dataclasses.replace(
                measurement,
                **how,
                date=day,
                uncertainty_mm=random.choice([None, 1.5]),
                repeat_mm=random.choice([None, None, 1.2]),
                session_mm=random.choice([None, 2.0]),
                free_travel_mm={Side.LEFT: 66.0} if random.random() < 0.3 else {},
                risers=any_risers(random, spec),
            )
            job = dataclasses.replace(job, **{when: measurement})
    for when in ("before", "after"):
        if getattr(job, when):
            job = dataclasses.replace(job, **{when: some_lines(random, job, when)})
    return job


def single_lines(random, spec):
    """Work on lines above a main line, whose neighbours are not controls then."""
    row = spec.rows[random.integers(len(spec.rows))]
    point = row.points[random.integers(len(row.points))]
    side = list(Side)[random.integers(2)]
    return (Adjustment(str(point), side, change_mm=4.0),) if random.random() < 0.3 else ()


def any_risers(random, spec):
    """All risers measured, some, or none."""
    share = random.choice([0.0, 0.0, 0.5, 1.0])
    return {
        (side, row.name): RiserLengths(float(random.integers(512, 528)), 386.0)
        for side in Side
        for row in spec.rows
        if random.random() < share
    }


def some_lines(random, job, when):
    """A measuring of all lines, of one side, without a row, or of what was changed and controls."""
    measurement, rows = getattr(job, when), job.specification.rows
    kind = random.choice(["all", "all", "side", "row", "part", "part", "part"])
    if kind == "all" or (kind == "part" and when == "before"):
        return measurement
    if kind == "side":
        return only(measurement, lambda key: key[0] is Side.LEFT)
    if kind == "row":
        gone = rows[random.integers(len(rows))].name
        return only(measurement, lambda key: key[1].group != gone)
    moved = touched_keys(job) or frozenset()
    still = sorted(k for k in measurement.lengths_mm if k not in moved and len(k[1].group) == 1)
    count = min(int(random.integers(0, 13)), len(still))
    chosen = {still[i] for i in random.permutation(len(still))[:count]}
    found = only(measurement, lambda key: key in moved or key in chosen)
    if random.random() < 0.6:  # the session's errors are small, and the tie holds
        before = job.before.lengths_mm
        near = {k: before[k] + float(random.integers(-1, 4)) for k in chosen if k in before}
        found = dataclasses.replace(found, lengths_mm=found.lengths_mm | near)
    controls = frozenset(chosen) if random.random() < 0.5 else frozenset()
    return dataclasses.replace(found, controls=controls)


def only(measurement, keep):
    """A measuring with some of its lengths."""
    lengths = {key: mm for key, mm in measurement.lengths_mm.items() if keep(key)}
    return dataclasses.replace(measurement, lengths_mm=lengths)


@pytest.mark.parametrize(
    "block",
    [0, *(pytest.param(block, marks=pytest.mark.thorough) for block in range(1, 1 + trials(9)))],
)
def test_random_wings_give_the_same_numbers_both_ways(block):
    for seed in range(12 * block, 12 * block + 12):
        assert_agree(any_job(seed))
