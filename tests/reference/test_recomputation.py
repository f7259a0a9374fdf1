"""Two independent ways to the same numbers: the analysis, and plain Python from the formulas."""

import dataclasses
import math
from pathlib import Path

import numpy as np
import pytest
from made_up_wings import Wanted, make
from plain_findings import plain_findings

from trimscribe.analyse import analyse
from trimscribe.errors import InputError
from trimscribe.model.decision import Acceptance, DecisionRule
from trimscribe.model.job import (
    OffsetMethod,
    Porosity,
    PorosityReading,
    PorosityUnit,
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
    try:
        read(path, REGISTRY)
    except InputError:
        return False
    return True


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


def assert_agree(job):
    found = to_plain(analyse(job, REGISTRY))
    anew = plain_findings(job)
    assert_equal({key: found[key] for key in found.keys() - HEURISTIC}, anew)


@pytest.mark.parametrize("path", [p for p in JOBS if is_job(p)], ids=lambda p: p.stem)
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
        risers={"A": RiserLengths(520.0, 385.0), "B": RiserLengths(520.0)},
        strength_rules=(StrengthRule(("A", "B"), 8.0, 12), StrengthRule(("C",), 6.0, 10, 9.81)),
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
    for when in ("before", "after"):
        if measurement := getattr(job, when):
            changes[when] = dataclasses.replace(
                measurement,
                tension_n=random.choice([None, 50.0, 50.0, 50.0, 80.0]),
                uncertainty_mm=random.choice([None, 1.5]),
                free_travel_mm={Side.LEFT: 66.0} if random.random() < 0.3 else {},
                risers={(Side.LEFT, "A"): RiserLengths(float(random.integers(512, 528)), 386.0)},
            )
    return dataclasses.replace(job, **changes)


@pytest.mark.parametrize(
    "block", [0, *(pytest.param(block, marks=pytest.mark.thorough) for block in range(1, 10))]
)
def test_two_hundred_random_wings_give_the_same_numbers_both_ways(block):
    for seed in range(20 * block, 20 * block + 20):
        assert_agree(any_job(seed))
