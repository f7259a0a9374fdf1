"""Slips to put into a made-up wing, each with how to know the doubt that finds it."""

import itertools
from collections.abc import Callable
from dataclasses import replace

from made_up_wings import SIDES, MadeUp, cell

from trimscribe.model.doubts import Doubt, DoubtKind
from trimscribe.model.wing import Point, Side

Slip = Callable[[MadeUp], tuple[MadeUp, Callable[[Doubt], bool]]]


def step(mm: float) -> Slip:
    """One length too long or too short by so much."""

    def slip(made: MadeUp) -> tuple[MadeUp, Callable[[Doubt], bool]]:
        side, point = cell(made)
        sign = 1 if made.random.random() < 0.5 else -1

        def change(lengths: dict) -> None:
            lengths[side, point] += sign * mm

        at = ("before", side.value, point.group, point.number)
        return made.with_lengths(
            "before", change
        ), lambda d: d.kind is DoubtKind.LENGTH and d.at == at

    return slip


def transposed(first: int | None) -> Slip:
    """Two digits in the wrong order: from that place, or any (None)."""

    def slip(made: MadeUp) -> tuple[MadeUp, Callable[[Doubt], bool]]:
        while True:
            key = cell(made)
            if key not in made.job.before.lengths_mm:
                continue
            digits = f"{made.job.before.lengths_mm[key]:.0f}"
            i = int(made.random.integers(3)) if first is None else first
            if digits[i] != digits[i + 1]:
                break
        wrong = float(digits[:i] + digits[i + 1] + digits[i] + digits[i + 2 :])
        side, point = key
        at = ("before", side.value, point.group, point.number)
        changed = made.with_lengths("before", lambda lengths: lengths.update({key: wrong}))
        return changed, lambda d: d.kind is DoubtKind.LENGTH and d.at == at

    return slip


def step_known(mm: float) -> Slip:
    """One measured length off by so much, where others are missing."""

    def slip(made: MadeUp) -> tuple[MadeUp, Callable[[Doubt], bool]]:
        keys = [key for key in made.job.before.lengths_mm if key[1].group != "brake"]
        side, point = keys[made.random.integers(len(keys))]

        def change(lengths: dict) -> None:
            lengths[side, point] += mm

        at = ("before", side.value, point.group, point.number)
        return made.with_lengths(
            "before", change
        ), lambda d: d.kind is DoubtKind.LENGTH and d.at == at

    return slip


def rows_swapped(made: MadeUp) -> tuple[MadeUp, Callable[[Doubt], bool]]:
    """Two rows of one side in each other's place."""
    side = SIDES[made.random.integers(2)]
    names = [row.name for row in made.job.specification.rows]
    one, other = sorted(made.random.permutation(names)[:2].tolist())

    def change(lengths: dict) -> None:
        for n in range(1, made.wanted.points + 1):
            a, b = (side, Point(one, n)), (side, Point(other, n))
            lengths[a], lengths[b] = lengths[b], lengths[a]

    return made.with_lengths("before", change), (
        lambda d: (
            d.kind is DoubtKind.ROWS_SWAPPED and d.at[1:3] == (side.value, one) and d.other == other
        )
    )


def neighbours_swapped(low: int, high: int) -> Slip:
    """Two neighbours of a row in the wrong order, the first of them between two points."""

    def slip(made: MadeUp) -> tuple[MadeUp, Callable[[Doubt], bool]]:
        side, point = cell(made, low, high)
        a, b = (side, point), (side, Point(point.group, point.number + 1))

        def change(lengths: dict) -> None:
            lengths[a], lengths[b] = lengths[b], lengths[a]

        at = ("before", side.value, point.group, point.number)
        return made.with_lengths("before", change), (
            lambda d: d.kind is DoubtKind.NEIGHBOURS_SWAPPED and d.at == at
        )

    return slip


def pasted_side(made: MadeUp) -> tuple[MadeUp, Callable[[Doubt], bool]]:
    """One row of the right side copied from the left."""
    _, point = cell(made)

    def change(lengths: dict) -> None:
        for n in range(1, made.wanted.points + 1):
            lengths[SIDES[1], Point(point.group, n)] = lengths[SIDES[0], Point(point.group, n)]

    return made.with_lengths("before", change), (
        lambda d: d.kind is DoubtKind.SIDES_EQUAL and d.at[2] == point.group
    )


def pasted_row(made: MadeUp) -> tuple[MadeUp, Callable[[Doubt], bool]]:
    """One row copied over the next."""
    side, _ = cell(made)

    def change(lengths: dict) -> None:
        for n in range(1, made.wanted.points + 1):
            lengths[side, Point("B", n)] = lengths[side, Point("A", n)]

    return made.with_lengths("before", change), (
        lambda d: d.kind is DoubtKind.ROWS_EQUAL and d.at[1:3] == (side.value, "B")
    )


def pasted_time(made: MadeUp) -> tuple[MadeUp, Callable[[Doubt], bool]]:
    """One row after the work copied from before it."""
    side, point = cell(made)
    before = made.job.before.lengths_mm

    def change(lengths: dict) -> None:
        for n in range(1, made.wanted.points + 1):
            lengths[side, Point(point.group, n)] = before[side, Point(point.group, n)]

    return made.with_lengths("after", change), (
        lambda d: d.kind is DoubtKind.TIMES_EQUAL and d.at[1:3] == (side.value, point.group)
    )


def loop_forgotten(mm: float) -> Slip:
    """An entry of this many mm that nobody carried out."""

    def slip(made: MadeUp) -> tuple[MadeUp, Callable[[Doubt], bool]]:
        entry = made.job.adjustments[made.random.integers(len(made.job.adjustments))]
        lines = {line.name: line.points for line in made.job.specification.cascade}

        def change(lengths: dict) -> None:
            for point in lines[entry.line]:
                lengths[entry.side, point] -= made.wanted.loop_mm

        name = f"adjustments.{entry.line}.{entry.side.value}"
        return made.with_lengths("after", change), (
            lambda d: d.kind is DoubtKind.MOVED_UNLIKE and d.name == name
        )

    return slip


def loop_not_written(made: MadeUp) -> tuple[MadeUp, Callable[[Doubt], bool]]:
    """A change that was carried out and not written down."""
    entry = made.job.adjustments[made.random.integers(len(made.job.adjustments))]
    kept = tuple(one for one in made.job.adjustments if one is not entry)
    name = f"after.{entry.side.value}.{entry.line}"
    return replace(made, job=replace(made.job, adjustments=kept)), (
        lambda d: d.kind is DoubtKind.MOVED and d.name == name
    )


def _mirror(lengths: dict, groups: tuple[str, ...]) -> None:
    for side, point in [key for key in lengths if key[0] is SIDES[0]]:
        if point.group in groups:
            a, b = (side, point), (SIDES[1], point)
            lengths[a], lengths[b] = lengths[b], lengths[a]


def sides_swapped(made: MadeUp) -> tuple[MadeUp, Callable[[Doubt], bool]]:
    """Left and right of the whole second measuring."""
    groups = tuple(group.name for group in made.job.specification.groups)
    return made.with_lengths("after", lambda lengths: _mirror(lengths, groups)), (
        lambda d: d.kind is DoubtKind.SIDES_SWAPPED and d.name == "after"
    )


def row_sides_swapped(made: MadeUp) -> tuple[MadeUp, Callable[[Doubt], bool]]:
    """Left and right of one row of the second measuring."""
    _, point = cell(made)
    return made.with_lengths("after", lambda lengths: _mirror(lengths, (point.group,))), (
        lambda d: d.kind is DoubtKind.SIDES_SWAPPED and d.at[2:3] == (point.group,)
    )


def _column(made: MadeUp) -> tuple[Side, str]:
    side, point = cell(made)
    return side, point.group


def turned(made: MadeUp, chosen: Callable[[Side, str], bool]) -> MadeUp:
    """Lists of the first measuring written from the tip to the centre."""

    def change(lengths: dict) -> None:
        for group in made.job.specification.groups:
            for side in SIDES:
                if chosen(side, group.name):
                    there = {p: lengths.pop((side, p), None) for p in group.points}
                    for point, mm in zip(group.points, reversed(there.values()), strict=True):
                        if mm is not None:
                            lengths[side, point] = mm

    return made.with_lengths("before", change)


def row_reversed(made: MadeUp) -> tuple[MadeUp, Callable[[Doubt], bool]]:
    """One row of one side written from the tip to the centre."""
    side, row = _column(made)
    name = f"before.{side.value}.{row}"
    return turned(made, lambda *column: column == (side, row)), (
        lambda d: d.kind is DoubtKind.REVERSED and d.name == name
    )


def row_shifted(made: MadeUp) -> tuple[MadeUp, Callable[[Doubt], bool]]:
    """A reading of one row of one side left out: all that follow are one point too far in."""
    side, row = _column(made)
    group = next(g for g in made.job.specification.groups if g.name == row)
    start = int(made.random.integers(len(group.points) // 2))

    def change(lengths: dict) -> None:
        for here, there in itertools.pairwise(group.points[start:]):
            lengths[side, here] = lengths[side, there]
        del lengths[side, group.points[-1]]

    name = f"before.{side.value}.{row}"
    return made.with_lengths("before", change), (
        lambda d: d.kind is DoubtKind.SHIFTED and d.name == name
    )


def all_reversed(made: MadeUp) -> tuple[MadeUp, Callable[[Doubt], bool]]:
    """Every list written from the tip to the centre."""
    return turned(made, lambda *_: True), (
        lambda d: d.kind is DoubtKind.REVERSED and d.name == "before"
    )


def row_off(mm: float) -> Slip:
    """One row of one side too long or too short by so much."""

    def slip(made: MadeUp) -> tuple[MadeUp, Callable[[Doubt], bool]]:
        side, row = _column(made)
        by = mm if made.random.random() < 0.5 else -mm

        def change(lengths: dict) -> None:
            for key in lengths:
                if key[0] is side and key[1].group == row:
                    lengths[key] += by

        name = f"before.{side.value}.{row}"
        return made.with_lengths("before", change), (
            lambda d: d.kind is DoubtKind.OFF_TOGETHER and d.name == name
        )

    return slip


def all_off(mm: float) -> Slip:
    """Every length longer by so much, such as a riser's."""

    def slip(made: MadeUp) -> tuple[MadeUp, Callable[[Doubt], bool]]:
        def change(lengths: dict) -> None:
            for key in lengths:
                lengths[key] += mm

        return made.with_lengths("before", change), (
            lambda d: d.kind is DoubtKind.OFFSET and d.name == "before.offset"
        )

    return slip
