"""How often a slip is found and how often a sound job is doubted, on made-up wings.

    python tests/benchmarks/doubt_rates.py [--jobs N]

Each slip is put into N wings of their own; found means that a doubt of the right kind names the
right place. The last block changes the wings: noisier, more uneven, with gaps, with equal rows.
"""

import argparse
from collections.abc import Callable, Iterator
from dataclasses import replace
from typing import NamedTuple

from made_up_wings import SIDES, MadeUp, Wanted, cell, make

from trimscribe.analyse import change, ledger, line_set
from trimscribe.analyse.doubts import analysis
from trimscribe.model.doubts import Doubt, DoubtKind
from trimscribe.model.findings import Findings
from trimscribe.model.wing import Point
from trimscribe.read.slip_checks import power_of_ten

USUAL = Wanted()
ONCE = Wanted(measured_again=False, adjusted=0)
Slip = Callable[[MadeUp], tuple[MadeUp, Callable[[Doubt], bool]]]


class Rate(NamedTuple):
    """A share of jobs."""

    what: str
    share: float


def doubts(made: MadeUp) -> tuple[Doubt, ...]:
    """What the analysis doubts in one job."""
    findings = Findings()
    for one in (line_set.analysis, change.analysis, ledger.analysis, analysis):
        findings = one.analyse(made.job, findings)
    return findings.doubts


def found(slip: Slip, jobs: int, wanted: Wanted = USUAL, seed: int = 0) -> float:
    """Share of jobs in which the slip is found at its place."""
    hits = 0
    for number in range(jobs):
        made, right = slip(make(seed + number, wanted))
        hits += any(right(doubt) for doubt in doubts(made))
    return hits / jobs


def doubted(
    jobs: int,
    wanted: Wanted = USUAL,
    kinds: tuple[DoubtKind, ...] = tuple(DoubtKind),
    seed: int = 100_000,
) -> float:
    """Share of sound jobs in which anything of these kinds is doubted."""
    told = (doubts(make(seed + number, wanted)) for number in range(jobs))
    return sum(any(doubt.kind in kinds for doubt in one) for one in told) / jobs


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
            i = int(made.random.integers(1, 3)) if first is None else first
            if digits[i] != digits[i + 1]:
                break
        wrong = float(digits[:i] + digits[i + 1] + digits[i] + digits[i + 2 :])
        side, point = key
        at = ("before", side.value, point.group, point.number)
        changed = made.with_lengths("before", lambda lengths: lengths.update({key: wrong}))
        return changed, lambda d: d.kind is DoubtKind.LENGTH and d.at == at

    return slip


def repaired(slip: Slip, jobs: int) -> float:
    """Share of the doubted slips whose suggested repair is right."""
    right = told = 0
    for number in range(jobs):
        sound = make(number)
        truth = sound.job.before.lengths_mm
        made, is_it = slip(sound)
        for doubt in doubts(made):
            if is_it(doubt):
                told += 1
                _, side, group, point = doubt.at
                key = next(k for k in truth if k == (side, Point(group, point)))
                right += doubt.suggested == truth[key]
    return right / max(told, 1)


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
    """An entry of so many mm that nobody carried out."""

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


def unit_slips(jobs: int) -> tuple[float, float]:
    """Lengths in another unit by the check of the reading: found, and sound ones called slips."""
    right = wrong = count = 0
    for number in range(jobs):
        made = make(number)
        side, point = cell(made)
        length = made.job.before.lengths_mm[side, point]
        specified = made.job.specification.specified_mm(point)
        power = (-3, -1, 1)[made.random.integers(3)]
        right += power_of_ten(length * 10.0**power, specified) == power
        for (_, p), mm in made.job.before.lengths_mm.items():
            wrong += power_of_ten(mm, made.job.specification.specified_mm(p)) != 0
            count += 1
    return right / jobs, wrong / count


SINGLE = (DoubtKind.LENGTH,)
ORDER = (DoubtKind.ROWS_SWAPPED, DoubtKind.NEIGHBOURS_SWAPPED)
COPIES = (DoubtKind.SIDES_EQUAL, DoubtKind.ROWS_EQUAL, DoubtKind.TIMES_EQUAL, DoubtKind.REPEATED)
MOVES = (DoubtKind.MOVED, DoubtKind.MOVED_UNLIKE)
SIDE_SWAPS = (DoubtKind.SIDES_SWAPPED,)


def rates(jobs: int) -> Iterator[Rate]:
    """All rates, in the order that DEVELOPERS.md has them."""
    hit, wrong = unit_slips(jobs)
    yield Rate("a length in another unit (an error when reading)", hit)
    yield Rate("  sound lengths taken for that", wrong)
    for mm in (100, 50, 30, 20, 15, 10):
        yield Rate(f"one length off by {mm} mm", found(step(mm), jobs))
    yield Rate("hundreds and tens transposed", found(transposed(1), jobs))
    yield Rate("tens and units transposed", found(transposed(2), jobs))
    yield Rate("either transposed", found(transposed(None), jobs))
    yield Rate("  repair right: off by 100 mm", repaired(step(100), jobs))
    yield Rate("  repair right: transposed", repaired(transposed(None), jobs))
    yield Rate("  sound measurings doubted: lengths", doubted(jobs, ONCE, SINGLE))
    yield Rate("  sound jobs doubted: lengths", doubted(jobs, kinds=SINGLE))
    yield Rate("two rows swapped", found(rows_swapped, jobs))
    yield Rate("two neighbours swapped", found(neighbours_swapped(1, 13), jobs))
    yield Rate("two neighbours swapped, outer half", found(neighbours_swapped(7, 13), jobs))
    yield Rate("  sound jobs doubted: order", doubted(jobs, kinds=ORDER))
    yield Rate("right side of a row pasted from the left", found(pasted_side, jobs))
    yield Rate("a row pasted over another", found(pasted_row, jobs))
    yield Rate("a row after the work pasted from before", found(pasted_time, jobs))
    yield Rate("  sound jobs doubted: copies", doubted(jobs, kinds=COPIES))
    for u in (1.0, 1.5, 2.0):
        for mm in (5.0, 7.0, 10.0, 12.0):
            wanted = replace(USUAL, u_mm=u, loop_mm=mm)
            yield Rate(
                f"u {u}: loop of {mm:.0f} mm not tied", found(loop_forgotten(mm), jobs, wanted)
            )
            yield Rate(
                f"u {u}: loop of {mm:.0f} mm not written", found(loop_not_written, jobs, wanted)
            )
        wanted = replace(USUAL, u_mm=u)
        yield Rate(f"  u {u}: sound jobs doubted: moves", doubted(jobs, wanted, MOVES))
    yield Rate("left and right swapped after the work", found(sides_swapped, jobs))
    yield Rate("left and right of one row swapped after", found(row_sides_swapped, jobs))
    yield Rate("  sound jobs doubted: sides", doubted(jobs, kinds=SIDE_SWAPS))
    noisy = replace(ONCE, u_mm=2.5)
    yield Rate("u 2.5: off by 20 mm", found(step(20), jobs, noisy))
    yield Rate("  u 2.5: sound jobs doubted", doubted(jobs, noisy, SINGLE))
    uneven = replace(ONCE, group_mm=6.0)
    yield Rate("groups 6 mm: off by 20 mm", found(step(20), jobs, uneven))
    yield Rate("groups 6 mm: off by 100 mm", found(step(100), jobs, uneven))
    yield Rate("  groups 6 mm: sound jobs doubted", doubted(jobs, uneven, SINGLE))
    alike = replace(USUAL, row_step_mm=5.5)
    yield Rate("rows 10 times more alike: swapped", found(rows_swapped, jobs, alike))
    for missing in (10, 20):
        gaps = replace(ONCE, missing=missing)
        yield Rate(f"{missing} gaps: off by 100 mm", found(step_known(100), jobs, gaps))
        yield Rate(f"  {missing} gaps: sound jobs doubted", doubted(jobs, gaps, SINGLE))
    yield Rate("  sound jobs doubted at all", doubted(jobs))


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


def main() -> None:
    """Measure and print."""
    parser = argparse.ArgumentParser(description=__doc__.partition("\n")[0])
    parser.add_argument("--jobs", type=int, default=300, help="made-up jobs per rate (300)")
    for rate in rates(parser.parse_args().jobs):
        print(f"{rate.what:48}{rate.share:6.3f}", flush=True)


if __name__ == "__main__":
    main()
