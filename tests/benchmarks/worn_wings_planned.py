"""Plans for made-up worn wings: disagreements with the analysis, unproven ones, processor time.

    .venv/…/bin/python tests/benchmarks/worn_wings_planned.py [200]

A plan that the analysis sees otherwise than the programme raises, so that each one which comes back
agrees with it. Every seventh wing is crooked; offsets take turns.
"""

import sys
import time
from collections import Counter
from dataclasses import replace
from pathlib import Path
from statistics import median

sys.path.insert(0, str(Path(__file__).parents[1] / "plan"))

from worn_wings import job, specification, worn

from trimscribe.analyse import analyse
from trimscribe.errors import PlanError
from trimscribe.model.findings import Findings
from trimscribe.model.job import Job, OffsetMethod
from trimscribe.plan import propose
from trimscribe.registry import Registry

_CROOKED_MM = 8.0
_OFFSETS = (OffsetMethod.MEAN, OffsetMethod.ROW, OffsetMethod.NONE)


def main(count: int) -> int:
    """Return 1 when a plan and the analysis differ."""
    registry = Registry.installed()

    def ask(one: Job) -> Findings:
        # Scatter drawn by a generator may look like a slip, which would refuse the plan.
        return replace(analyse(one, registry), doubts=())

    tally: Counter[str] = Counter()
    seconds = []
    for seed in range(count):
        spec = specification(2 + seed % 4)
        offset = _OFFSETS[seed // 4 % 3] if seed % 20 else OffsetMethod.MEDIAN
        deviations = worn(seed, spec, crooked=_CROOKED_MM * (seed % 7 == 0))
        start = time.process_time()
        try:
            plan = propose(job(spec, deviations, offset=offset), ask)
        except PlanError as refused:
            tally[refused.faults[0].code] += 1
            continue
        except RuntimeError as difference:
            tally["disagreements"] += 1
            print(seed, difference)
            continue
        seconds.append(time.process_time() - start)
        tally["planned"] += 1
        tally["within limits"] += not plan.proposals[0].outlook.outside
        tally["not proven"] += not plan.proposals[0].proven
    print(dict(tally), f"median {median(seconds):.2f} s, most {max(seconds):.2f} s")
    return 1 if tally["disagreements"] else 0


if __name__ == "__main__":
    sys.exit(main(int(sys.argv[1]) if len(sys.argv) > 1 else 200))
