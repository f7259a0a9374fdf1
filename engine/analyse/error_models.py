"""How the deviations of one measuring err, and how those of a change between two.

Three models for one measuring: of lines against their limits, of the wing's angle, where risers
count, and of differences between its sides, where a row's error cancels but for the part of one
side. One model for a change: the same line was hooked up and read twice.
"""

import math
from dataclasses import dataclass, replace

import numpy as np

from trimscribe.analyse.carry_over import CarriedLines
from trimscribe.analyse.line_table import LineTable
from trimscribe.analyse.riser_effect import RiserEffect
from trimscribe.analyse.uncertainty import ErrorModel, Shared, UncertaintyComponents
from trimscribe.model.thresholds import Thresholds


@dataclass(frozen=True, eq=False)
class StateErrors:
    """`lines` as hooked up at the risers' ends, `wing` with the risers, `sides` right to left."""

    lines: ErrorModel
    wing: ErrorModel
    sides: ErrorModel


def state_errors(
    table: LineTable,
    spread: UncertaintyComponents,
    risers: RiserEffect,
    carried: CarriedLines | None,
    thresholds: Thresholds,
) -> StateErrors:
    """The models of one measuring; lines carried over from an earlier one err together besides."""
    every = np.arange(len(table.row))
    tie = _tie(table, carried, thresholds)
    lines = ErrorModel(
        (Shared(spread.line_mm, every), Shared(spread.row_mm, table.row), *tie),
        spread.scale_mm_per_m,
        table.length_m,
    )
    wing = replace(lines, sources=(*lines.sources, *risers.errors(table)))
    sides = replace(
        lines,
        sources=(
            Shared(spread.repeat_mm, every),
            Shared(thresholds.u_row_side_mm, table.row_and_side),
            *risers.errors_between_sides(table),
            *tie,
        ),
    )
    return StateErrors(lines, wing, sides)


def _tie(
    table: LineTable, carried: CarriedLines | None, thresholds: Thresholds
) -> tuple[Shared, ...]:
    """What lines that were measured earlier share against those measured now."""
    if carried is None:
        return ()
    over = np.array([key in carried.keys for key in table.line_keys], dtype=np.bool_)
    return _occasion(table, np.asarray(over), carried.u_mm, thresholds)


def _occasion(
    table: LineTable, chosen: np.ndarray, u_all_mm: float, thresholds: Thresholds
) -> tuple[Shared, ...]:
    """The difference between two sessions on one bench, over the chosen lines."""
    here = np.where(chosen, 0, -1)
    root = math.sqrt(2.0)
    return (
        Shared(u_all_mm, np.asarray(here)),
        Shared(thresholds.u_row_change_mm, np.where(chosen, table.row, -1)),
        Shared(root * thresholds.u_row_side_occasion_mm, np.where(chosen, table.row_and_side, -1)),
    )


def change_errors(
    table: LineTable,
    repeat_mm: float,
    risers: RiserEffect,
    moved: frozenset[object] | None,
    tie_u_mm: float,
    correction_mm: float,
    thresholds: Thresholds,
) -> ErrorModel:
    """The model of after minus before.

    `repeat_mm` is the scatter of one difference, `correction_mm` what the corrections for load
    leave. With `moved`, the other lines are known not to have changed, and the moved ones share
    the error of the tie, `tie_u_mm`.
    """
    keys = table.line_keys
    chosen = np.array([moved is None or key in moved for key in keys], dtype=np.bool_)
    sources = (
        Shared(repeat_mm, np.where(chosen, np.arange(len(keys)), -1)),
        *_occasion(table, chosen, tie_u_mm, thresholds),
        Shared(correction_mm, table.row),
        *risers.errors(table),
    )
    return ErrorModel(sources, 0.0, table.length_m)
