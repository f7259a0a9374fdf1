"""Large wings against another solver, CP-SAT of OR-tools: same fewest changes, same room."""

import warnings

import pytest
from worn_wings import job, specification, worn

from trimscribe.model.job import OffsetMethod
from trimscribe.plan.lines import hanging_lines, units_of
from trimscribe.plan.response import FoundWing, Response
from trimscribe.plan.search import Search

with warnings.catch_warnings():
    warnings.simplefilter("ignore")
    cp_model = pytest.importorskip(
        "ortools.sat.python.cp_model", reason="pip install trimscribe[solver]"
    )

_SCALE = 100_000  # CP-SAT takes whole numbers alone
_SHARE = 10_000


def whole(value: float) -> int:
    return round(value * _SCALE)


class Other:
    """The same wing as a constraint programme of whole numbers."""

    def __init__(self, response: Response, units) -> None:
        self.model = cp_model.CpModel()
        self.columns = [
            {mm: self.model.new_bool_var("") for mm in unit.changes_mm} for unit in units
        ]
        for columns in self.columns:
            self.model.add_exactly_one(columns.values())
        self.count = sum(
            unit.cost * column
            for unit, columns in zip(units, self.columns, strict=True)
            for mm, column in columns.items()
            if mm
        )
        self.share = self.model.new_int_var(0, _SHARE, "")
        for line, limit in zip(response.lines, response.limits, strict=True):
            moved = self._moved(line) * _SHARE
            value = whole(line.value) * _SHARE
            self.model.add(moved + value <= whole(limit) * self.share)
            self.model.add(moved + value >= -whole(limit) * self.share)
        for band in response.bands:
            moved = self._moved(band.quantity)
            self.model.add(moved <= whole(band.high - band.quantity.value))
            self.model.add(moved >= whole(band.low - band.quantity.value))

    def _moved(self, quantity):
        return sum(
            whole(float(per_mm) * mm) * column
            for per_mm, columns in zip(quantity.by_unit, self.columns, strict=True)
            for mm, column in columns.items()
            if mm and per_mm
        )

    def least(self, objective) -> int | None:
        self.model.minimize(objective)
        solver = cp_model.CpSolver()
        solver.parameters.num_workers = 1
        if solver.solve(self.model) != cp_model.OPTIMAL:
            return None
        return round(solver.objective_value)


@pytest.mark.parametrize(("rows", "seed"), [(3, 1), (3, 9), (4, 2), (4, 6), (5, 3), (5, 7)])
@pytest.mark.parametrize("offset", [OffsetMethod.MEAN, OffsetMethod.ROW])
def test_fewest_changes_and_their_room_are_the_same(
    rows: int, seed: int, offset: OffsetMethod, ask
) -> None:
    spec = specification(rows)
    one = job(spec, worn(seed, spec), offset=offset)
    units = units_of(hanging_lines(one, spec), alike=True)
    response = Response.of(FoundWing(one, spec, ask(one).before), units, ask)
    search = Search(response, units)
    assert search.start()
    other = Other(response, units)

    count = other.least(other.count)

    assert search.softened == (count is None)
    if count is None:
        return
    fewest = search.fewest()
    assert fewest is not None
    assert fewest.proven
    assert sum(units[n].cost for n in fewest.touched) == count
    other.model.add(other.count <= count)
    share = other.least(other.share)
    assert share is not None
    assert fewest.share == pytest.approx(share / _SHARE, abs=2 / _SHARE)
