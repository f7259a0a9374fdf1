"""How often a slip is found and how often a sound job is doubted, on made-up wings.

    python tests/benchmarks/doubt_rates.py [--jobs N]

Each slip is put into N wings of their own; found means that a doubt of the right kind names the
right place. The last block changes the wings: noisier, more uneven, with gaps, with equal rows.
"""

import argparse
from collections.abc import Iterator
from dataclasses import replace
from typing import NamedTuple

from made_up_wings import MadeUp, Wanted, cell, make
from slips import (
    Slip,
    all_off,
    all_reversed,
    loop_forgotten,
    loop_not_written,
    neighbours_swapped,
    pasted_row,
    pasted_side,
    pasted_time,
    row_off,
    row_reversed,
    row_shifted,
    row_sides_swapped,
    rows_swapped,
    sides_swapped,
    step,
    step_known,
    transposed,
)

from trimscribe.analyse import change, ledger, line_set
from trimscribe.analyse.doubts import analysis
from trimscribe.model.doubts import Doubt, DoubtKind
from trimscribe.model.findings import Findings
from trimscribe.validation.lengths import power_of_ten

USUAL = Wanted()
ONCE = Wanted(measured_again=False, adjusted=0)


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


def alone(slip: Slip, jobs: int, wanted: Wanted = ONCE) -> float:
    """Share of jobs in which the slip is reported and nothing else is."""
    hits = 0
    for number in range(jobs):
        made, right = slip(make(number, wanted))
        reported = doubts(made)
        hits += len(reported) == 1 and right(reported[0])
    return hits / jobs


def doubted(
    jobs: int,
    wanted: Wanted = USUAL,
    kinds: tuple[DoubtKind, ...] = tuple(DoubtKind),
    seed: int = 100_000,
) -> float:
    """Share of sound jobs in which anything of these kinds is doubted."""
    reported = (doubts(make(seed + number, wanted)) for number in range(jobs))
    return sum(any(doubt.kind in kinds for doubt in one) for one in reported) / jobs


def repaired(slip: Slip, jobs: int) -> float:
    """Share of the doubted slips whose suggested repair is right."""
    right = reported = 0
    for number in range(jobs):
        sound = make(number)
        truth = sound.job.before.lengths_mm
        made, is_it = slip(sound)
        for doubt in doubts(made):
            if is_it(doubt):
                reported += 1
                right += doubt.suggested == truth[doubt.lines[0]]
    return right / max(reported, 1)


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
TOGETHER = (DoubtKind.REVERSED, DoubtKind.SHIFTED, DoubtKind.OFF_TOGETHER, DoubtKind.OFFSET)
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
    for what, slip in (
        ("one list from the tip to the centre", row_reversed),
        ("all lists from the tip to the centre", all_reversed),
        ("a reading left out, the row moved up", row_shifted),
        *((f"a row of one side off by {mm} mm", row_off(mm)) for mm in (70, 80, 100, 500)),
        *((f"all lines off by {mm} mm", all_off(mm)) for mm in (-60, -70, 80, 120, 510)),
    ):
        yield Rate(what, found(slip, jobs, ONCE))
        yield Rate("  and nothing else doubted", alone(slip, jobs))
    uneven = replace(ONCE, group_mm=6.0, side_mm=6.0)
    for name, wanted in (("usual", ONCE), ("uneven", uneven), ("short", replace(ONCE, points=5))):
        yield Rate(f"  sound {name} wings doubted: together", doubted(jobs, wanted, TOGETHER))
    yield Rate("  sound jobs doubted: together", doubted(jobs, kinds=TOGETHER))
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
    for mm in (5.5, 22.0):
        alike = replace(USUAL, row_step_mm=mm)
        yield Rate(f"rows {mm} mm apart: swapped", found(rows_swapped, jobs, alike))
        yield Rate(f"  rows {mm} mm apart: sound jobs doubted", doubted(jobs, alike, ORDER))
    for missing in (10, 20):
        gaps = replace(ONCE, missing=missing)
        yield Rate(f"{missing} gaps: off by 100 mm", found(step_known(100), jobs, gaps))
        yield Rate(f"  {missing} gaps: sound jobs doubted", doubted(jobs, gaps, SINGLE))
    yield Rate("  sound jobs doubted at all", doubted(jobs))


def main() -> None:
    """Measure and print."""
    parser = argparse.ArgumentParser(description=__doc__.partition("\n")[0])
    parser.add_argument("--jobs", type=int, default=300, help="made-up jobs per rate (300)")
    for rate in rates(parser.parse_args().jobs):
        print(f"{rate.what:48}{rate.share:6.3f}", flush=True)


if __name__ == "__main__":
    main()
