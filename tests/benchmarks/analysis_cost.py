"""What the analysis costs, as a ratio to reading the same job's YAML, within one run.

With gaps, what was not measured is bridged: that is set beside a bare compile too.

    python tests/benchmarks/analysis_cost.py [--rounds N]

The job is a wing of five rows of 60 points per side, measured twice, all of it written in one file.
"""

import os

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")  # as workers have it; before numpy loads

import argparse
import gc
import random
import statistics
import tempfile
import time
from collections.abc import Callable
from dataclasses import replace
from itertools import islice
from pathlib import Path

import yaml
from made_up_wings import Wanted, make
from variants import variants
from warm import Bench

from trimscribe.analyse import analyse
from trimscribe.model.job import Job, Measurement
from trimscribe.model.wing import Side
from trimscribe.read import read
from trimscribe.registry import Registry

LARGE = Wanted(rows=5, points=60, per_group=6, brakes=0, adjusted=10)


def written(job: Job) -> str:
    """The job as YAML, each row of lengths on one line as people write it."""
    spec = job.specification

    def lengths(measurement: Measurement) -> dict:
        sides = {
            side.value: {
                row.name: [measurement.lengths_mm[side, point] for point in row.points]
                for row in spec.rows
            }
            for side in Side
        }
        return {"tension_n": 50, "uncertainty_mm": measurement.uncertainty_mm, **sides}

    wing = {"maker": "Pomeroy Wings", "model": "Medlar", "size": "M"}
    data = {
        "trimscribe": 1,
        "workshop": {"name": "Quarry Hill Canopy Works"},
        "service": {"number": "QH-1", "done": "2026-10-16"},
        "wing": {**wing, "serial_number": "MD-1"},
        "specification": {
            **wing,
            "source": "made up",
            "tension_n": 50,
            "rows": {
                row.name: {
                    "lengths_mm": [*map(float, row.lengths_mm)],
                    "chord_m": [*map(float, row.chord_m)],
                }
                for row in spec.rows
            },
            "cascade": {line.name: [str(p) for p in line.points] for line in spec.cascade},
            "tolerances": {"default_mm": 10},
        },
        "before": lengths(job.before),
        "after": lengths(job.after),
        "adjustments": [
            {"line": a.line, "side": a.side.value, "change_mm": a.change_mm}
            for a in job.adjustments
        ],
    }
    return yaml.safe_dump(data, sort_keys=False, default_flow_style=None, width=100)


def seconds(work: Callable[[], object]) -> float:
    """The processor time of one call: others on the machine do not count."""
    gc.collect()
    start = time.process_time()
    work()
    return time.process_time() - start


def with_gaps(job: Job, share: float = 0.2) -> Job:
    """The job without a fifth of its lengths, the same in both measurings."""
    chance = random.Random(1)
    gone = {key for key in job.before.lengths_mm if chance.random() < share}

    def without(measurement: Measurement) -> Measurement:
        left = {k: mm for k, mm in measurement.lengths_mm.items() if k not in gone}
        return replace(measurement, lengths_mm=left)

    return replace(job, before=without(job.before), after=without(job.after))


def ratios(path: Path, rounds: int) -> dict[str, float]:
    """Seconds that each takes: the least of this many rounds, beside a bare compile the median."""
    registry = Registry.installed()
    job = read(path, registry).job
    gaps, bench = with_gaps(job), Bench()
    compiled = variants(path.parent / "compiled", rounds + 1)
    bench.bare(next(compiled))  # warms fonts
    analyse(gaps, registry)  # warms imports
    reads, analyses = [], []
    for _ in range(rounds):  # by turns, so that a busy moment hits both
        reads.append(seconds(lambda: read(path, registry)))
        # A copy each time: what the analyses of one job share is rebuilt.
        analyses.append(seconds(lambda: analyse(replace(job), registry)))
    beside: dict[str, list[float]] = {"bare": [], "whole": [], "gaps": []}
    for document in islice(compiled, rounds):
        beside["bare"].append(seconds(bench.composed(document)))
        for name, one in (("whole", job), ("gaps", gaps)):
            beside[name].append(seconds(lambda one=one: analyse(replace(one), registry)))
    medians = {name: statistics.median(spent) for name, spent in beside.items()}
    return {"read": min(reads), "analyse": min(analyses)} | medians


def main() -> None:
    """Measure and print."""
    parser = argparse.ArgumentParser(description=__doc__.partition("\n")[0])
    parser.add_argument("--rounds", type=int, default=15, help="times to measure (15)")
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "large.yaml"
        path.write_text(written(make(1, LARGE).job), encoding="utf-8")
        found = ratios(path, parser.parse_args().rounds)
    print(f"Reading five rows of 60 points, twice, takes {found['read'] * 1000:.0f} ms here = 1.00")
    print(f"  analyse                      {found['analyse'] / found['read']:5.2f}")
    print(f"A bare compile of a report takes {found['bare'] * 1000:.0f} ms here = 1.00")
    print(f"  analyse                      {found['whole'] / found['bare']:5.2f}")
    print(f"  analyse, a fifth missing     {found['gaps'] / found['bare']:5.2f}")


if __name__ == "__main__":
    main()
