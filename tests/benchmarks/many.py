"""Many reports: how much memory stays, and what a second process brings."""

import statistics
import subprocess
import sys
import time
from collections.abc import Iterator
from itertools import pairwise
from pathlib import Path

import psutil
from variants import variants

from trimscribe.batch.run import Task, run
from trimscribe.batch.worker import Local, make
from trimscribe.cell import Limits

EARLY = 100  # reports after which memory is first looked at
SHARE = 60  # reports of each turn with one or two processes
TURNS = 4


def measure(folder: Path, reports: int) -> Iterator[tuple[str, float]]:
    """Memory after 100 and after `reports` reports; rates with one process and with two."""
    command = [sys.executable, __file__, str(folder / "memory"), str(reports)]
    lines = subprocess.run(command, check=True, capture_output=True, text=True).stdout.split()
    early, late = map(float, lines)
    yield f"rss_after_{EARLY}_mb", early
    yield f"rss_after_{reports}_mb", late
    yield f"rss_{reports}_over_{EARLY}", late / early
    one, two = rates(folder / "rates")
    yield "reports_a_second_with_one_process", one
    yield "reports_a_second_with_two_processes", two
    yield "two_processes_over_one", two / one


def memory(folder: Path, reports: int) -> None:
    """Make reports in this process, as a worker does; print its memory in MB twice."""
    for number, job in enumerate(variants(folder, reports), 1):
        made = make(Task(str(job)))
        assert made.report, made.faults
        if number in (EARLY, reports):
            print(psutil.Process().memory_info().rss / 1e6, flush=True)


def rates(folder: Path) -> tuple[float, float]:
    """Reports a second with one worker process and with two, medians of turns by turns.

    The time runs from the first reports, when all workers have started, to the last.
    """
    jobs = variants(folder / "jobs", 3 * TURNS * SHARE)
    found: dict[int, list[float]] = {1: [], 2: []}
    for turn in range(TURNS):
        for size in found:
            tasks = [Task(str(next(jobs))) for _ in range(size * SHARE)]
            made = run(tasks, Local(size, Limits(), reads=[str(folder)]), folder / f"{turn}-{size}")
            times = [time.perf_counter() for _ in made][size:]
            found[size].append(len([*pairwise(times)]) / (times[-1] - times[0]))
    return statistics.median(found[1]), statistics.median(found[2])


if __name__ == "__main__":
    memory(Path(sys.argv[1]), int(sys.argv[2]))
