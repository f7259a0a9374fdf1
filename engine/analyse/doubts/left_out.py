"""Which lines are left out of all that others depend on, because their values are in doubt.

One wrong length moves the mean of all lines, the angle and the brakes behind it: a digit turned in
one specified length once put every line of a wing outside its limits. So a doubted value counts in
nothing but its own entry in the table; the rest is judged as if it had not been measured, with
the uncertainty that this costs.
"""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from trimscribe.model.doubts import Doubt, DoubtKind
from trimscribe.model.wing import GroupKind, LineKey, Point, Side, Specification

_CELLS = (DoubtKind.LENGTH, DoubtKind.NEIGHBOURS_SWAPPED, DoubtKind.REPEATED)
_ROWS = (DoubtKind.ROWS_SWAPPED, DoubtKind.ROWS_EQUAL)
_LISTS = (DoubtKind.REVERSED, DoubtKind.OFF_TOGETHER)
_SPECIFIED = (DoubtKind.SPECIFIED_LENGTH, DoubtKind.SPECIFIED_UNLIKE, DoubtKind.SPECIFIED_ROW)


@dataclass(frozen=True)
class InDoubt:
    """Lines in doubt: `specified` those whose specified length is, whenever they were measured.

    `before` and `after` are lines whose length in that measuring is.
    """

    specified: frozenset[LineKey] = frozenset()
    before: frozenset[LineKey] = frozenset()
    after: frozenset[LineKey] = frozenset()


NOTHING = InDoubt()


def left_out(doubts: Iterable[Doubt], specification: Specification) -> InDoubt:
    """The lines of all doubts that nobody confirmed.

    What a doubt says of two measurings, or of two sides that are alike, leaves no line out: either
    of them may be right, and it is said beside what follows from both.
    """
    found: dict[str, set[LineKey]] = {"specification": set(), "before": set(), "after": set()}
    for doubt in doubts:
        if doubt.confirmed is None:
            when = str(doubt.at[0])
            found.setdefault(when, set()).update(_lines(doubt, specification))
    return InDoubt(
        frozenset(found["specification"]), frozenset(found["before"]), frozenset(found["after"])
    )


def _lines(doubt: Doubt, specification: Specification) -> Iterator[LineKey]:
    if doubt.kind in _SPECIFIED:
        yield from _specified(doubt, specification)
    elif doubt.kind in _CELLS:
        _, side, group, number = doubt.at
        count = doubt.count if doubt.kind is DoubtKind.REPEATED else 1
        count += doubt.kind is DoubtKind.NEIGHBOURS_SWAPPED
        for step in range(count):
            yield Side(str(side)), Point(str(group), int(number) + step)
    elif doubt.kind in _ROWS:
        _, side, group, _ = doubt.at
        for name in (str(group), doubt.other):
            yield from _lists(specification, [str(side), name])
    elif doubt.kind in _LISTS:
        yield from _lists(specification, doubt.name.split(".")[1:])
    elif doubt.kind is DoubtKind.OFFSET:
        yield from _lists(specification, [])


def _specified(doubt: Doubt, specification: Specification) -> Iterator[LineKey]:
    """Both sides of the point, or of the row where it is not clear which of its points."""
    row = str(doubt.at[2])
    if doubt.kind is DoubtKind.SPECIFIED_ROW:
        yield from _lists(specification, [row])
        return
    for side in Side:
        yield side, Point(row, int(doubt.at[4]) + 1)


def _lists(specification: Specification, parts: list[str]) -> Iterator[LineKey]:
    """The lists of a side, of a row, of both; all rows where none is named."""
    rows = [g for g in specification.groups if g.kind is GroupKind.ROW]
    groups = [g for g in specification.groups if g.name in parts] or rows
    for side in [side for side in Side if side.value in parts] or Side:
        for group in groups:
            for point in group.points:
                yield side, point
