"""Reports made in the threads of one process, as a web server would make them."""

import functools
import sys
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import pytest
from trials import trials

from trimscribe.pipeline import prepare, render
from trimscribe.registry import Registry
from trimscribe.world import World

JOB = """\
trimscribe: 1
workshop: {{name: Quarry Hill Canopy Works, paper: {paper}}}
service: {{number: "QH-{number}", done: 2026-04-01}}
pilot: {{name: "Pilot {number}", all_up_weight_kg: 92}}
notes: {notes}
wing: {{maker: Pomeroy Wings, model: Damson, size: S, serial_number: DM-{number}}}
{measured}"""
MEASURED = """\
specification:
  maker: Pomeroy Wings
  model: Damson
  size: S
  source: made up for this test
  tension_n: 50
  rows:
    A: {{chord_m: [0.2, 0.2, 0.2, 0.2], lengths_mm: [7000, 6990, 6950, 6900]}}
    B: {{chord_m: [1.1, 1.1, 1.1, 1.1], lengths_mm: [6950, 6940, 6900, 6850]}}
before:
  tension_n: 50
  left: {{A: [{a}, 6990, 6950, 6900], B: [6950, 6940, {b}, 6850]}}
  right: {{A: [7000, {b}, 6950, 6900], B: [{c}, 6940, 6900, 6850]}}
"""
THREADS = 8
JOBS = trials(24)
OFTEN_S = 1e-5  # threads give way five hundred times as often as they usually do


@pytest.fixture
def jobs(tmp_path: Path) -> list[tuple[Path, str]]:
    """Jobs and themes; any two jobs differ in numbers, words or look."""
    theme = tmp_path / "mine"
    theme.mkdir()
    (theme / "theme.yaml").write_text(
        'trimscribe: 1\nname: mine\nextends: base\ntokens: {accent: "#7a3b10", size_pt: 10}\n'
    )
    made = []
    for number in range(JOBS):
        lengths = {"a": 7000 + number % 23 - 11, "b": 6920 + number % 17, "c": 6950 - number % 13}
        paper, notes = ("a4", "us-letter")[number % 2], f"A note. {'word ' * (number % 7)}"
        measured = MEASURED.format(**lengths) if number % 4 == 0 else ""  # these take longest
        path = tmp_path / f"{number}.yaml"
        path.write_text(JOB.format(number=number, paper=paper, notes=notes, measured=measured))
        made.append((path, str(theme) if number % 3 == 0 else ""))
    return made


@pytest.mark.slow
def test_reports_from_many_threads_are_those_made_one_after_another(
    jobs: list[tuple[Path, str]], request: pytest.FixtureRequest
) -> None:
    registry, world = Registry.installed(), World.real()

    def make(job: tuple[Path, str]) -> bytes:
        path, theme = job
        return render(prepare(path, registry), registry, world, theme=theme).data

    request.addfinalizer(functools.partial(sys.setswitchinterval, sys.getswitchinterval()))
    sys.setswitchinterval(OFTEN_S)
    # Threads first, so that nothing has been loaded, scanned or remembered before they meet.
    with ThreadPoolExecutor(THREADS) as threads:
        together = [*threads.map(make, jobs)]
    alone = [make(job) for job in jobs]

    assert len(set(alone)) == JOBS
    assert together == alone
