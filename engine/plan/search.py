"""From the wing's response to the choice of loops, by stages that each keep the ones before.

limits reachable?  ─ yes ▶ hard      ─ no ▶ least excess over limits, then over bands
fewest changes     ▶ least worst share of limit ▶ least mm ▶ a fixed order
room to the limits ▶ least worst share ▶ fewest changes ▶ least mm ▶ a fixed order
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace

import numpy as np

from trimscribe.model.wing import LineKey, Side
from trimscribe.plan.lines import Unit
from trimscribe.plan.programme import INFINITE, NothingFound, Programme, Solution, Terms
from trimscribe.plan.response import Linear, Response

_SHARE = 0.02  # of the limit: room that is not worth a further change
_MOST_TIE = 997


@dataclass(frozen=True)
class RetrimChoice:
    """The change in mm of each unit, with the worst share of limit, and whether it was proven."""

    changes_mm: tuple[float, ...]
    share: float
    proven: bool

    @property
    def touched(self) -> tuple[int, ...]:
        """The units that change."""
        return tuple(n for n, mm in enumerate(self.changes_mm) if mm)


@dataclass
class Search:
    """One wing and its units, as a programme that grows by what was reached.

    `beyond` is what could not be reached: mm over limits, then shares over bands.
    """

    response: Response
    units: Sequence[Unit]
    programme: Programme = field(default_factory=Programme)
    columns: list[dict[float, int]] = field(default_factory=list)
    beyond: tuple[float, float] = (0.0, 0.0)
    proven: bool = True
    share: Terms = field(init=False)
    count: Terms = field(init=False)
    _offset: int | None = None
    _least: tuple[int, bool] | None = None

    def __post_init__(self) -> None:
        """Build what holds for every plan: one change for each unit, never a faster wing."""
        add = self.programme
        for unit in self.units:
            self.columns.append({mm: add.choice() for mm in unit.changes_mm})
            add.row(dict.fromkeys(self.columns[-1].values(), 1.0), 1.0, 1.0)
        if self.response.median_of:
            self._offset = self._median()
        for band in self.response.bands:
            if band.hard_low:
                terms = self._terms(band.quantity, relative=False)
                add.row(terms, low=min(band.low, band.high) - band.quantity.value)
        self.share = self._worst_share()
        self.count = self._changes(lambda unit, _: float(unit.cost))

    def start(self) -> bool:
        """Reach what can be reached of limits and bands; False where no plan is allowed at all.

        Raises NothingFound where even that is not known.
        """
        hard = self.programme.copy()
        self._hold(hard)
        try:
            found = hard.minimise(self.count)
        except NothingFound:
            found, self.proven = None, False
        if found is None:
            return self._soften()
        self.programme, self._least = hard, (round(found.objective), found.proven)
        return True

    def fewest(self) -> RetrimChoice | None:
        """As few changes as can be, then as much room to the limits as they give."""
        programme = self.programme.copy()
        if self._least is None:
            return self._finish(programme, [(self.count, 0.0), (self.share, 0.0)])
        count, proven = self._least
        programme.keep(self.count, count)
        return self._finish(programme, [(self.share, 0.0)], proven=proven)

    def room(self) -> RetrimChoice | None:
        """As much room to the limits as there is, then as few changes as give it."""
        return self._finish(self.programme.copy(), [(self.share, _SHARE), (self.count, 0.0)])

    def within_share(self, share: float) -> RetrimChoice | None:
        """As few changes as leave no line beyond that share of its limit."""
        programme = self.programme.copy()
        programme.row(self.share, high=share)
        return self._finish(programme, [(self.count, 0.0), (self.share, 0.0)])

    def _soften(self) -> bool:
        """Limits first, bands after them: an angle is no reason to leave a line outside."""
        add = self.programme
        lines: dict[int, float] = {}
        self._hold_lines(add, lines)
        bands: dict[int, float] = {}
        self._hold_bands(add, bands)
        reached: list[float] = []
        for objective in (lines, bands):
            found = add.minimise(objective)
            if found is None:
                return False
            self.proven &= found.proven
            reached.append(max(round(found.objective, 4), 0.0))
            add.keep(objective, reached[-1], 1e-4)
        self.beyond = reached[0], reached[1]
        return True

    def _finish(
        self, programme: Programme, goals: list[tuple[Terms, float]], *, proven: bool = True
    ) -> RetrimChoice | None:
        """Reach each goal in turn, then settle by mm and a fixed order what is equal in them."""
        proven, found = proven and self.proven, None
        millimetres = self._changes(lambda unit, mm: abs(mm) * len(unit.members))
        last = ((millimetres, 0.0), (self._tie(), 0.0))
        for number, (objective, slack) in enumerate((*goals, *last)):
            try:
                stage = programme.minimise(objective)
            except NothingFound:
                stage = None
            if stage is None:  # what is kept has a solution, but none was found within the nodes
                proven = proven and number >= len(goals)
                break
            found, proven = stage, proven and (stage.proven or number >= len(goals))
            programme.keep(objective, stage.objective, slack)
        return None if found is None else self._choice(found, proven)

    def _choice(self, found: Solution, proven: bool) -> RetrimChoice:
        changes = tuple(
            max(columns, key=lambda mm: found.values[columns[mm]]) for columns in self.columns
        )
        choice = RetrimChoice(changes, 0.0, proven)
        limits = self.response.limits
        shares = (
            abs(mm) / limit
            for mm, limit in zip(self.relative(choice).values(), limits, strict=True)
        )
        return replace(choice, share=max(shares))

    @property
    def softened(self) -> bool:
        """Whether limits or bands could not be reached."""
        return self.beyond != (0.0, 0.0)

    def quantity(self, quantity: Linear, choice: RetrimChoice) -> float:
        """What a linear quantity would be."""
        return quantity.value + float((quantity.by_unit * np.array(choice.changes_mm)).sum())

    def relative(self, choice: RetrimChoice) -> dict[LineKey, float]:
        """What each line's relative deviation in mm would be."""
        values = [self.quantity(line, choice) for line in self.response.lines]
        offset = float(np.median([values[n] for n in self.response.median_of])) \
            if self.response.median_of else 0.0  # fmt: skip
        return {key: mm - offset for key, mm in zip(self.response.keys, values, strict=True)}

    # What a plan is measured by.

    def _changes(self, weight: Callable[[Unit, float], float]) -> Terms:
        """Every change that can be chosen, by what a unit's change of so many mm weighs."""
        return {
            column: weight(unit, mm)
            for unit, columns in zip(self.units, self.columns, strict=True)
            for mm, column in columns.items()
            if mm
        }

    def _tie(self) -> Terms:
        """A fixed order over plans that are equal in all else: whole numbers, far apart."""
        numbered = [column for columns in self.columns for mm, column in columns.items() if mm]
        return {c: float((n * 7919 + 104729) % _MOST_TIE + 1) for n, c in enumerate(numbered)}

    def _worst_share(self) -> Terms:
        """A column that is no less than any line's share of its limit."""
        share = self.programme.column()
        for highest, lowest, limit in self._extremes():
            self._below(self.programme, highest, 0.0, {share: limit}, relative=True)
            self._above(self.programme, lowest, 0.0, {share: limit}, relative=True)
        return {share: 1.0}

    def _extremes(self) -> list[tuple[Linear, Linear, float]]:
        """The highest and the lowest of lines that move together within one limit."""
        groups: dict[object, list[tuple[Linear, float]]] = {}
        for line, limit in zip(self.response.lines, self.response.limits, strict=True):
            if limit < INFINITE:
                groups.setdefault((line.by_unit.tobytes(), limit), []).append((line, limit))
        found = []
        for group in groups.values():
            lines = [line for line, _ in group]
            highest = max(lines, key=lambda line: line.value)
            found.append((highest, min(lines, key=lambda line: line.value), group[0][1]))
        return found

    # What a plan is held to.

    def _hold(self, add: Programme) -> None:
        self._hold_lines(add, None)
        self._hold_bands(add, None)

    def _hold_lines(self, add: Programme, excess: dict[int, float] | None) -> None:
        """Limits of lines, between the sides, and of the maker's rules."""
        if excess is None:
            for highest, lowest, limit in self._extremes():
                self._below(add, highest, limit, {}, relative=True)
                self._above(add, lowest, -limit, {}, relative=True)
        else:
            for line, limit in zip(self.response.lines, self.response.limits, strict=True):
                if limit < INFINITE:
                    self._soft(add, line, -limit, limit, excess, relative=True)
        for item in self.response.rules:
            rule = item.rule
            low, high = rule.target_mm - rule.within_mm, rule.target_mm + rule.within_mm
            self._soft(add, item.quantity, low, high, excess, relative=item.relative)
        if (limit_mm := self.response.left_right_mm) is not None:
            for pair in self._pairs():
                self._soft(add, pair, -limit_mm, limit_mm, excess, relative=False)

    def _hold_bands(self, add: Programme, excess: dict[int, float] | None) -> None:
        for band in self.response.bands:
            weight = 10.0 / (band.high - band.low)
            self._soft(add, band.quantity, band.low, band.high, excess, weight, relative=False)

    def _soft(
        self,
        add: Programme,
        quantity: Linear,
        low: float,
        high: float,
        excess: dict[int, float] | None,
        weight: float = 1.0,
        *,
        relative: bool,
    ) -> None:
        """Hold a quantity between two values; with `excess` a further column may let it go."""
        slack: dict[int, float] = {}
        if excess is not None:
            column = add.column()
            excess[column] = weight
            slack = {column: 1.0}
        self._below(add, quantity, high, slack, relative=relative)
        self._above(add, quantity, low, slack, relative=relative)

    def _below(
        self, add: Programme, quantity: Linear, high: float, slack: Terms, *, relative: bool
    ) -> None:
        terms = self._terms(quantity, relative=relative)
        over = {column: -value for column, value in slack.items()}
        add.row({**terms, **over}, high=high - quantity.value)

    def _above(
        self, add: Programme, quantity: Linear, low: float, slack: Terms, *, relative: bool
    ) -> None:
        terms = self._terms(quantity, relative=relative)
        add.row({**terms, **slack}, low=low - quantity.value)

    def _terms(self, quantity: Linear, *, relative: bool) -> dict[int, float]:
        """What the chosen changes add; a median offset is taken from what is relative to it."""
        terms = {
            column: float(per_mm) * mm
            for columns, per_mm in zip(self.columns, quantity.by_unit, strict=True)
            if per_mm
            for mm, column in columns.items()
            if mm
        }
        if relative and self._offset is not None:
            terms[self._offset] = -1.0
        return terms

    def _pairs(self) -> list[Linear]:
        """Right minus left of each line measured on both sides."""
        at = {key: n for n, key in enumerate(self.response.keys)}
        lines = self.response.lines
        pairs = []
        for (side, point), number in at.items():
            other = at.get((Side.LEFT, point))
            if side is Side.RIGHT and other is not None:
                left, right = lines[other], lines[number]
                pairs.append(Linear(right.value - left.value, right.by_unit - left.by_unit))
        return pairs

    def _median(self) -> int:
        """The median as a column: three choices for each line say on which side of it that lies.

        `a` is the largest of the lower half and `b` the smallest of the upper half; of an odd
        number the one in the middle is both.
        """
        add, rows = self.programme, self.response.median_of
        values = [self.response.lines[number].value for number in rows]
        # A point hangs on one main line and at most as many others as it moves with.
        reach = float(max(sum(line.by_unit != 0.0) for line in self.response.lines)) * max(
            (abs(mm) for unit in self.units for mm in unit.changes_mm), default=0.0
        )
        lowest, highest = min(values) - reach, max(values) + reach
        big = highest - lowest
        a, b, offset = (add.column(lowest, highest) for _ in range(3))
        lower: dict[int, float] = {}
        is_a: dict[int, float] = {}
        is_b: dict[int, float] = {}
        odd = len(rows) % 2
        for number in rows:
            line = self.response.lines[number]
            terms, value = self._terms(line, relative=False), line.value
            low, at_a, at_b = add.choice(), add.choice(), add.choice()
            lower[low] = is_a[at_a] = is_b[at_b] = 1.0
            add.row({**terms, a: -1.0, low: big}, high=big - value)
            add.row({**terms, b: -1.0, low: big}, low=-value)
            add.row({**terms, a: -1.0, at_a: -big}, low=-big - value)
            add.row({**terms, b: -1.0, at_b: big}, high=big - value)
            add.row({at_a: 1.0, low: -1.0}, high=0.0)
            add.row({at_b: 1.0, low: 1.0}, high=1.0)
        half = float((len(rows) + odd) // 2)
        add.row(lower, half, half)
        add.row(is_a, 1.0, 1.0)
        if odd:
            add.row({offset: 1.0, a: -1.0}, 0.0, 0.0)
        else:
            add.row(is_b, 1.0, 1.0)
            add.row({offset: 2.0, a: -1.0, b: -1.0}, 0.0, 0.0)
        add.row({a: 1.0, b: -1.0}, high=0.0)
        return offset
