"""Brakes last: what is left to set once the planned rows have moved the line set behind them."""

import math

from trimscribe.model.findings import State
from trimscribe.model.plan import BrakeChange
from trimscribe.model.thresholds import Thresholds
from trimscribe.model.wing import Side, Specification

# A brake this near to its free travel, and to the other side's, is left as it is. Judgement, the
# same as the analysis calls "none expected" of a brake and of a difference between the sides.
_NEAR_MM = 10.0
_EVEN_MM = 7.0
_EXPANDED = 2.0


def brake_changes(
    now: State, rows: State, specification: Specification, thresholds: Thresholds
) -> tuple[BrakeChange, ...]:
    """The main brake lines with their change in whole mm, 0 where both may stay.

    Empty where free travel is not known.

    `now` is the wing as found, `rows` with the planned rows and the brakes as they were. Free
    travel goes to what the specification says, never to less than the minimum plus its expanded
    uncertainty.
    """
    found = {side: _travel(side, now, rows) for side in Side}
    if any(travel is None for travel in found.values()):
        return ()
    u = {side: rows.brakes[side].travel_change.u for side in Side}
    floor = thresholds.brake_free_travel_min_mm + _EXPANDED * max(u.values())
    wanted = max(specification.brake_free_travel_mm or 0.0, floor)
    travel = {side: known for side, known in found.items() if known is not None}
    after = {side: after_rows for side, (_, after_rows, _) in travel.items()}
    if specification.brake_free_travel_mm is None:
        changes = {side: max(0.0, math.ceil(floor - mm)) for side, mm in after.items()}
    elif _may_stay(after, wanted, floor):
        changes = dict.fromkeys(Side, 0.0)
    else:
        changes = {side: float(math.ceil(round(wanted - mm, 6))) for side, mm in after.items()}
    return tuple(
        BrakeChange(
            side, now_mm, rows_mm, changes[side], rows_mm + changes[side], u[side], measured
        )
        for side, (now_mm, rows_mm, measured) in travel.items()
    )


def _may_stay(after: dict[Side, float], wanted: float, floor: float) -> bool:
    return (
        all(abs(mm - wanted) <= _NEAR_MM and mm >= floor for mm in after.values())
        and abs(after[Side.RIGHT] - after[Side.LEFT]) <= _EVEN_MM
    )


def _travel(side: Side, now: State, rows: State) -> tuple[float, float, bool] | None:
    """Free travel as found and after the rows, and whether the first was measured."""
    before, after = now.brakes.get(side), rows.brakes.get(side)
    if before is None or after is None or before.free_travel_mm is None:
        return None
    if before.estimated:
        if after.free_travel_mm is None:
            return None
        return before.free_travel_mm, after.free_travel_mm, False
    if before.line_set_mm is None or after.line_set_mm is None:
        return None
    moved = after.line_set_mm - before.line_set_mm
    return before.free_travel_mm, before.free_travel_mm - moved, True
