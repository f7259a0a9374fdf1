"""The same job, theme and versions give the same bytes: over processes, hash seeds, time zones.

And on other processors: there, or with more threads, BLAS adds in another order.
"""

import hashlib
import os
import subprocess
import sys
from pathlib import Path

import pytest

pytestmark = [pytest.mark.processes, pytest.mark.cold]
ROOT = Path(__file__).parents[1]
MAKE = """
import hashlib, sys, time
from trimscribe.pipeline import prepare, render
from trimscribe.registry import Registry
from trimscribe.world import World
registry = Registry.installed()
for job in sys.argv[1:]:
    report = render(prepare(job, registry), registry, World.real())
    print(hashlib.sha256(report.data).hexdigest())
"""
JOBS = ["examples/demo.yaml", "examples/four-row.yaml", "tests/jobs/missing-data.yaml"]


def make(jobs: list[str], **environment: str) -> list[str]:
    done = subprocess.run(
        [sys.executable, "-W", "error", "-c", MAKE, *jobs],
        env=os.environ | environment,
        cwd=ROOT,
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stderr
    return done.stdout.split()


@pytest.fixture(scope="module")
def first() -> list[str]:
    return make(JOBS, PYTHONHASHSEED="0", TZ="UTC")


@pytest.mark.parametrize(
    ("turn", "environment"),
    [
        (
            1,
            {
                "PYTHONHASHSEED": "4711",
                "TZ": "Pacific/Kiritimati",
                "OPENBLAS_CORETYPE": "Prescott",
                "OPENBLAS_NUM_THREADS": "1",
            },
        ),
        (
            -1,
            {
                "PYTHONHASHSEED": "1",
                "TZ": "America/St_Johns",
                "LANG": "de_DE.UTF-8",
                "LC_ALL": "C",
                "OPENBLAS_NUM_THREADS": "3",
            },
        ),
    ],
)
def test_another_process_makes_the_same_bytes_in_another_order_too(
    first: list[str], turn: int, environment: dict[str, str]
) -> None:
    assert make(JOBS[::turn], **environment) == first[::turn]


def test_different_jobs_make_different_bytes(first: list[str]) -> None:
    assert len(set(first)) == len(JOBS)
    assert hashlib.sha256(b"").hexdigest() not in first
