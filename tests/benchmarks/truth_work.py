"""The work on a wing: what the job says was changed, and what truly was."""

import math

import numpy as np
from truth_kinds import Kind
from truth_states import State

__all__ = ["Work", "work_on"]

Work = dict[tuple[int, int], float]  # mm by side and main line, + is longer
_SHORTFALL_MM = 10.0


def work_on(random: np.random.Generator, kind: Kind, before: State) -> tuple[Work, Work]:
    """What the job says was changed, and what truly was, by side and main line, in mm."""
    layout = before.layout
    if kind.work == "none":
        return {}, {}
    mains = [(side, main) for side in (0, 1) for main in range(int(layout.main.max()) + 1)]
    relative = before.relative("mean")
    level = {
        (side, main): float(relative[(layout.main == main) & (layout.right == bool(side))].mean())
        for side, main in mains
    }
    if kind.work == "all lines":
        planned = dict.fromkeys(mains, 10.0)
    else:
        worst = sorted(mains, key=lambda key: -abs(level[key]))[: int(random.integers(3, 9))]
        planned = {
            key: -math.copysign(max(10.0, float(round(abs(level[key])))), level[key])
            for key in sorted(worst)
        }
    done = {key: mm + float(random.normal(0.0, 0.5)) for key, mm in planned.items()}
    some = list(planned)[random.integers(len(planned))]
    if kind.carried_out == "all short":
        done = {key: mm - math.copysign(_SHORTFALL_MM, planned[key]) for key, mm in done.items()}
    elif kind.carried_out == "one short":
        done[some] -= math.copysign(_SHORTFALL_MM, planned[some])
    elif kind.carried_out == "one not written":
        planned = {key: mm for key, mm in planned.items() if key != some}
    return planned, done
