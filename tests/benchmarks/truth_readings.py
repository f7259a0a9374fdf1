"""Lengths as somebody reads them off a true wing: the whole budget of errors, drawn.

Per line and occasion: reading (as stated), hook-up, tension; the writing in whole mm adds the
rounding. Per row: a part that stays and one per occasion, for both sides and for each side alone,
such that the mean of a row errs by 1.5 mm, a side against the other by 1.0 mm, and the change of a
row's mean by hypot(1.0, 0.7). Per job: scale. Per occasion: all lines together. Sizes: our own
study of the error model, judgement for the most part; reading, hook-up, tension and scale are the
engine's documented defaults.
"""

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from truth_kinds import Kind
from truth_states import FREE_TRAVEL_MM, Layout, State
from truth_wings import TrueWing

__all__ = ["Errors", "Measured", "measured", "relative_u_mm", "repeat_u_mm"]

Key = tuple[int, int, int]  # side, row, number

HOOK_UP_MM, TENSION_MM, ROUNDING_MM = 1.14, 0.6, 0.29
ROW_MM, ROW_SIDE_MM, OCCASION_MM = 1.5, 1.0, 0.7
SCALE_MM_PER_M = 0.12
SESSION_MM = 1.5
RISER_MM = 1.0
TRAVEL_MM = 4.0
_READ_SHARE = 0.9  # of brakes, where free travel was read at all


@dataclass(frozen=True)
class Measured:
    """One measuring: mm by side, row and number; brakes by side; risers by side and row.

    Free travel is by side, of those brakes of which it was read.
    """

    lines_mm: dict[Key, float]
    brakes_mm: tuple[tuple[float, ...], ...]
    risers_mm: dict[tuple[int, int], float]
    travel_mm: dict[int, int]


class Errors:
    """What goes wrong at every measuring of one job."""

    def __init__(self, random: np.random.Generator, layout: Layout, u_mm: float) -> None:
        """Draw what stays the same from one occasion to the next."""
        rows = len(layout.names)
        row = math.sqrt(ROW_MM**2 - ROW_SIDE_MM**2 / 2.0 - OCCASION_MM**2)
        side = math.sqrt(ROW_SIDE_MM**2 - OCCASION_MM**2)
        self.random, self.layout = random, layout
        self.line_mm = math.sqrt(u_mm**2 + HOOK_UP_MM**2 + TENSION_MM**2)
        self.rows_mm = random.normal(0.0, row, rows) + random.normal(0.0, side, (2, rows))
        self.scale = float(random.normal(0.0, SCALE_MM_PER_M))
        self.first = True

    def read(self, state: State) -> tuple[NDArray[np.float64], tuple[tuple[float, ...], ...]]:
        """Lengths of all lines in whole mm, and of the brakes' fans, at one more occasion."""
        random, layout = self.random, self.layout
        rows = len(layout.names)
        occasion = random.normal(0.0, OCCASION_MM, rows) + random.normal(
            0.0, OCCASION_MM, (2, rows)
        )
        session = 0.0 if self.first else float(random.normal(0.0, SESSION_MM))
        self.first = False
        side = layout.right.astype(int)
        true = layout.specified_mm + state.lines_mm
        lines = (
            true
            + (self.rows_mm + occasion)[side, layout.row]
            + self.scale * true / 1000.0
            + session
            + random.normal(0.0, self.line_mm, len(true))
        )
        brakes = tuple(
            tuple(
                float(
                    round(
                        mm
                        + state.brakes_mm[s]
                        + self.scale * mm / 1000.0
                        + session
                        + random.normal(0.0, self.line_mm)
                    )
                )
                for mm in layout.brake_mm
            )
            for s in (0, 1)
        )
        return np.round(lines), brakes


def measured(random: np.random.Generator, wing: TrueWing) -> dict[str, Measured]:
    """The measurings of the job, by `before` and `after`."""
    kind, layout = wing.kind, wing.layout
    aside = random.spawn(1)[0]
    errors = Errors(random, layout, float(kind.u))
    known = _known(random, kind, layout)
    again = known
    if kind.occasions == "part":
        again = known & (_touched(wing) | _controls(random, wing))
    found: dict[str, Measured] = {}
    for when, state, chosen in (("before", wing.before, known), ("after", wing.after, again)):
        if when == "after" and kind.occasions == "before":
            continue
        if when == "before" and kind.occasions == "after":
            continue
        lengths, brakes = errors.read(state)
        keys = zip(layout.right.astype(int), layout.row, layout.number, strict=True)
        lines = {
            (int(s), int(r), int(n)): float(mm)
            for (s, r, n), mm, known_one in zip(keys, lengths, chosen, strict=True)
            if known_one
        }
        whole = when == "before" or kind.occasions != "part"
        found[when] = Measured(
            lines,
            brakes
            if whole
            and kind.measured not in ("one row", "one line")
            and kind.travel != "read alone"
            else (),
            _risers(random, kind, state) if whole else {},
            _travel(aside, state) if kind.travel != "not read" else {},
        )
    return found


def _travel(random: np.random.Generator, state: State) -> dict[int, int]:
    """Free travel of the brakes in whole mm; none reads less than nothing."""
    return {
        side: max(0, round(FREE_TRAVEL_MM + state.travel(side) + random.normal(0.0, TRAVEL_MM)))
        for side in (0, 1)
        if random.random() < _READ_SHARE
    }


def _risers(random: np.random.Generator, kind: Kind, state: State) -> dict[tuple[int, int], float]:
    if kind.risers != "measured":
        return {}
    rows = state.risers_mm.shape[1]
    return {
        (s, r): float(round(520.0 + state.risers_mm[s, r] + random.normal(0.0, RISER_MM)))
        for s in (0, 1)
        for r in range(rows)
    }


def _known(random: np.random.Generator, kind: Kind, layout: Layout) -> NDArray[np.bool_]:
    """Which lines were measured at all."""
    everything = np.ones(len(layout.row), dtype=bool)
    last = len(layout.names) - 1
    if kind.measured == "gaps":
        return np.asarray(random.random(len(layout.row)) > random.choice((0.05, 0.1, 0.2, 0.4)))
    if kind.measured == "one side":
        return layout.right == bool(random.integers(2))
    if kind.measured == "no end row":
        return np.asarray(layout.row != random.choice((0, last)))
    if kind.measured == "one row":
        return np.asarray(layout.row == random.integers(last + 1))
    if kind.measured == "one line":
        return np.asarray(np.arange(len(layout.row)) == random.integers(len(layout.row)))
    return everything


def _touched(wing: TrueWing) -> NDArray[np.bool_]:
    """Lines on a main line that the job says was changed."""
    layout = wing.layout
    touched = np.zeros(len(layout.row), dtype=bool)
    for side, main in wing.planned:
        touched |= (layout.main == main) & (layout.right == bool(side))
    return touched


def _controls(random: np.random.Generator, wing: TrueWing) -> NDArray[np.bool_]:
    """Untouched lines that are measured again, on each side in as many rows as there are."""
    layout, touched = wing.layout, _touched(wing)
    chosen = np.zeros(len(layout.row), dtype=bool)
    per_side = {"none": 0, "one": 1, "three": 3}[wing.kind.controls]
    for right in (False, True):
        turns: list[tuple[int, int]] = []
        for i in random.permutation(np.flatnonzero(~touched & (layout.right == right))):
            turns.append((sum(layout.row[j] == layout.row[i] for _, j in turns), int(i)))
        chosen[[i for _, i in sorted(turns, key=lambda turn: turn[0])[:per_side]]] = True
    return chosen


def repeat_u_mm(u_mm: float) -> float:
    """Scatter of one line measured twice with new hook-up, each time."""
    return math.sqrt(u_mm**2 + HOOK_UP_MM**2 + TENSION_MM**2)


def relative_u_mm(kind: Kind, layout: Layout) -> NDArray[np.float64]:
    """Standard uncertainty of each line less the common offset, all lines measured.

    Every part of the budget with the offset's own error: the formulas of our own study, section 8.
    """
    u = math.hypot(repeat_u_mm(float(kind.u)), ROUNDING_MM)
    count, rows = len(layout.row), len(layout.names)
    metres = layout.specified_mm / 1000.0
    scale = SCALE_MM_PER_M * (metres - (0.0 if kind.offset == "none" else metres.mean()))
    own = np.full(count, u**2 + ROW_MM**2)
    if kind.offset == "mean":
        own = np.full(count, u**2 * (1 - 1 / count) + ROW_MM**2 * (1 - 1 / rows))
    elif kind.offset == "median":
        less = (2 - math.pi / 2) / count
        own = np.full(count, u**2 * (1 - less) + ROW_MM**2 * (1 - 1 / rows))
    elif kind.offset == "row":
        n = 2 * layout.counts[0]
        own = np.where(layout.row == 0, u**2 * (1 - 1 / n), u**2 * (1 + 1 / n) + 2.0 * ROW_MM**2)
    return np.asarray(np.sqrt(own + scale**2))
