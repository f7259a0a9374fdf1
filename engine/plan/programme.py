"""An integer programme that is solved in stages: each stage keeps what those before it reached.

Solved by HiGHS through SciPy, bounded by nodes and never by seconds, so that a faster machine does
not find another plan.
"""

import contextlib
import os
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field

import numpy as np
from scipy.optimize import Bounds, LinearConstraint, milp
from scipy.sparse import csr_matrix

INFINITE = float("inf")
Terms = Mapping[int, float]

_NODES = 4000
_INFEASIBLE = 2  # of SciPy's codes
_HAIR = 1e-6  # HiGHS holds constraints to 1e-7; a stage may not lose to rounding what it won


class NothingFound(Exception):  # noqa: N818 (says what happened)
    """The node limit came before any solution: whether there is one is not known."""


@dataclass(frozen=True)
class Solution:
    """Values of all columns, the objective, and whether nothing better exists."""

    values: tuple[float, ...]
    objective: float
    proven: bool


@dataclass
class Programme:
    """Columns with bounds, rows with limits. Everything is minimised."""

    low: list[float] = field(default_factory=list)
    high: list[float] = field(default_factory=list)
    whole: list[int] = field(default_factory=list)
    rows: list[tuple[Terms, float, float]] = field(default_factory=list)

    def copy(self) -> "Programme":
        """The same programme, to go on with in two ways."""
        return Programme([*self.low], [*self.high], [*self.whole], [*self.rows])

    def column(self, low: float = 0.0, high: float = INFINITE) -> int:
        """Add a number that may take any value between two bounds."""
        return self._add(low, high, 0)

    def choice(self) -> int:
        """Add a number that is 0 or 1."""
        return self._add(0.0, 1.0, 1)

    def _add(self, low: float, high: float, whole: int) -> int:
        self.low.append(low)
        self.high.append(high)
        self.whole.append(whole)
        return len(self.low) - 1

    def row(self, terms: Terms, low: float = -INFINITE, high: float = INFINITE) -> None:
        """Hold a sum of columns between two limits."""
        self.rows.append((terms, low, high))

    def minimise(self, objective: Terms, nodes: int = _NODES) -> Solution | None:
        """The best values found; None when no values keep all rows. May raise NothingFound."""
        costs = np.zeros(len(self.low))
        for column, cost in objective.items():
            costs[column] = cost
        entries = [
            (number, column, value)
            for number, (terms, _, _) in enumerate(self.rows)
            for column, value in terms.items()
            if value
        ]
        at, columns, values = zip(*entries, strict=True)
        matrix = csr_matrix((values, (at, columns)), shape=(len(self.rows), len(self.low)))
        lows, highs = [low for _, low, _ in self.rows], [high for _, _, high in self.rows]
        with quiet_descriptor():
            found = milp(
                costs,
                constraints=LinearConstraint(matrix, lows, highs),
                integrality=self.whole,
                bounds=Bounds(self.low, self.high),
                options={"node_limit": nodes, "mip_rel_gap": 0.0, "disp": False},
            )
        if found.x is None and found.status != _INFEASIBLE:
            raise NothingFound
        if found.x is None:
            return None
        return Solution(tuple(map(float, found.x)), float(found.fun), found.status == 0)

    def keep(self, objective: Terms, reached: float, slack: float = 0.0) -> None:
        """Let later stages not lose what this one reached, but for `slack`."""
        self.row(objective, high=reached + slack + _HAIR)


@contextlib.contextmanager
def quiet_descriptor() -> Iterator[None]:
    """Lead the descriptor of standard output to nowhere for a while.

    HiGHS prints from C, which redirection within Python does not reach. Nothing that Python has
    buffered is lost: it is written when its own stream is flushed, after the descriptor is back.
    The descriptor belongs to the whole process, so this is for one thread at a time.
    """
    try:
        kept = os.dup(1)
    except OSError:  # closed: there is nothing to print to
        yield
        return
    try:
        nowhere = os.open(os.devnull, os.O_WRONLY)
        try:
            os.dup2(nowhere, 1)
        finally:
            os.close(nowhere)
        yield
    finally:
        os.dup2(kept, 1)
        os.close(kept)
