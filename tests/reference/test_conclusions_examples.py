"""Examples through the plain rules for what may be concluded."""

import math
from pathlib import Path

import plain_completion as completion
import pytest
from plain_cells import Budget
from plain_cells_of_job import cells_of
from plain_model import State

from trimscribe.errors import InputError
from trimscribe.read import read
from trimscribe.registry import Registry

ROOT = Path(__file__).parents[2]
JOBS = sorted([*ROOT.glob("examples/*.yaml"), *ROOT.glob("tests/jobs/*.yaml")])


@pytest.fixture(scope="module")
def measurings():
    """(name, state, cells) that have rows with chord positions, at the specification's load."""
    return [*_measurings()]


def _measurings():
    for path in JOBS:
        try:
            job = read(path, Registry.installed()).job
        except InputError:
            continue
        for when in ("before", "after"):
            measuring = getattr(job, when)
            if job.specification and measuring and cells_of(job.specification, measuring):
                state = State(job, measuring)
                plane = state.table.plane(lambda c: True)
                if not state.load.by and not isinstance(plane, str):
                    yield f"{path.stem} {when}", state, cells_of(job.specification, measuring)


def whole_of(measurings):
    return [m for m in measurings if all(c.mm is not None for c in m[2])]


def u_one_by_one(weights, cells, bench):
    """u of a weighted sum, source of error by source of error and not as a matrix."""
    rows = {}
    for w, c in zip(weights, cells, strict=True):
        rows[c.row] = rows.get(c.row, 0.0) + w
    metres = sum(w * c.length / 1000 for w, c in zip(weights, cells, strict=True))
    return math.hypot(
        *(w * bench.line for w in weights),
        *(w * bench.row for w in rows.values()),
        bench.scale * metres,
    )


def test_there_are_examples_of_both_kinds(measurings):
    assert len(whole_of(measurings)) >= 5
    assert len(measurings) > len(whole_of(measurings))


def test_a_whole_wing_has_the_slope_and_u_of_the_model(measurings):
    """Least squares of the model, errors added up one by one; here M is a matrix (section 0)."""
    for name, state, cells in whole_of(measurings):
        bench = state.bench
        error = completion.error_covariance(cells, bench.line, bench.row, bench.scale)

        slope, u, _ = completion.target(cells, completion.slope_weights(cells), error=error)

        weights = state.table.plane(lambda c: True)[0]
        assert slope == pytest.approx(
            sum(w * c.mm for w, c in zip(weights, cells, strict=True)), abs=1e-9
        ), name
        assert u == pytest.approx(u_one_by_one(weights, cells, bench), abs=1e-9), name


def test_gaps_are_filled_and_cost_something(measurings):
    for name, _, cells in measurings:
        budget = Budget()
        error = completion.error_covariance(cells, budget.line, budget.row, budget.scale)
        whole = [c._replace(mm=0.0) for c in cells]

        filled = completion.complete(cells, error=error)
        found = completion.angle(cells, error=error)

        assert filled is not None, name
        assert all(a == c.mm for a, c in zip(filled, cells, strict=True) if c.mm is not None), name
        least = completion.angle(whole, error=error)[1]
        if all(c.mm is not None for c in cells):
            assert found[1] == pytest.approx(least), name
        else:
            assert found[1] > 0.98 * least, name
