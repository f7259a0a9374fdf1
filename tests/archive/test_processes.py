"""Processes that are killed, and processes that race."""

import signal
import subprocess
import sys
from pathlib import Path

import pytest

from trimscribe.archive import put
from trimscribe.model.report import Report

pytestmark = pytest.mark.processes
START = """
import os, sys, time
from pathlib import Path
from trimscribe.archive import put, store
from trimscribe.errors import ArchiveError
from trimscribe.model.report import Report

def report(data):
    return Report(data=data, suffix=".pdf", media_type="application/pdf", pages=1)

def wait_to_be_killed():
    print("ready", flush=True)
    time.sleep(60)
"""
KILLED_BEFORE_ALL_IS_WRITTEN = """
def fsync(handle):
    os.ftruncate(handle, 1000)  # as if the system had written only so much
    wait_to_be_killed()
store.os.fsync = fsync
put(report(bytes(100_000)), Path(sys.argv[1]))
"""
KILLED_BEFORE_THE_NAME_IS_GIVEN = """
store.os.link = lambda *_: wait_to_be_killed()
put(report(bytes(100_000)), Path(sys.argv[1]))
"""
KILLED_AFTER_THE_NAME_IS_GIVEN = """
real = os.link
def link(*paths):
    real(*paths)
    wait_to_be_killed()
store.os.link = link
put(report(bytes(100_000)), Path(sys.argv[1]))
"""
RACE = """
folder, me = Path(sys.argv[1]), sys.argv[2]
print("ready", flush=True)
sys.stdin.readline()
for number in range(60):
    try:
        put(report(me.encode() * 10_000), folder / f"{number}.pdf")
        print("won", flush=True)
    except ArchiveError as error:
        print(error.faults[0].code, flush=True)
"""


def started(script: str, *arguments: object) -> subprocess.Popen[str]:
    """A process that has got as far as to say "ready"."""
    process = subprocess.Popen(
        [sys.executable, "-c", START + script, *map(str, arguments)],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        text=True,
    )
    assert process.stdout is not None
    assert process.stdout.readline() == "ready\n"
    return process


def killed(script: str, target: Path) -> None:
    process = started(script, target)
    process.kill()
    process.communicate()
    assert process.returncode == -signal.SIGKILL


def test_a_kill_while_writing_leaves_no_report_and_does_not_disturb_the_next_run(
    tmp_path: Path, report: Report
) -> None:
    target = tmp_path / "qh-1.pdf"

    for script in (KILLED_BEFORE_ALL_IS_WRITTEN, KILLED_BEFORE_THE_NAME_IS_GIVEN):
        killed(script, target)
        assert not target.exists()
    left = sorted(tmp_path.iterdir())
    assert len(left) == 2

    assert not put(report, target).unchanged
    assert target.read_bytes() == report.data
    assert sorted(tmp_path.iterdir()) == sorted([*left, target])


def test_a_kill_after_the_name_is_given_leaves_the_whole_report(tmp_path: Path) -> None:
    target = tmp_path / "qh-1.pdf"

    killed(KILLED_AFTER_THE_NAME_IS_GIVEN, target)

    assert target.read_bytes() == bytes(100_000)
    assert put(
        Report(data=bytes(100_000), suffix=".pdf", media_type="application/pdf", pages=1), target
    ).unchanged


def test_of_two_runs_at_once_one_wins_and_the_other_is_reported(tmp_path: Path) -> None:
    racers = {me: started(RACE, tmp_path, me) for me in "AB"}
    for racer in racers.values():
        assert racer.stdin is not None
        racer.stdin.write("go\n")
        racer.stdin.flush()
    reported = {me: racer.communicate()[0].split() for me, racer in racers.items()}

    for number in range(60):
        results = {me: reported[me][number] for me in racers}
        assert sorted(results.values()) == ["report-exists", "won"]
        winner = next(me for me, result in results.items() if result == "won")
        assert (tmp_path / f"{number}.pdf").read_bytes() == winner.encode() * 10_000
    assert len(list(tmp_path.iterdir())) == 60
