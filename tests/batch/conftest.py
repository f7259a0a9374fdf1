"""Small jobs, and worker functions in a module that spawned processes find."""

import importlib
from collections.abc import Callable, Iterator
from pathlib import Path
from types import ModuleType
from typing import Any

import pytest

from trimscribe.batch.run import JobResult
from trimscribe.batch.worker import Local
from trimscribe.cell import Limits
from trimscribe.model.report import Report

JOB = """\
trimscribe: 1
workshop: {{name: Quarry Hill Canopy Works}}
service: {{number: {number}, done: 2026-04-01}}
wing: {{maker: Pomeroy Wings, model: Damson, size: S, serial_number: DM-0001}}
"""
# What a task does is in the place of its job's path: "kill", "sleep 60", "grow" and so on.
WORK = """
import os, re, signal, tempfile, time
from pathlib import Path
from trimscribe.batch.run import JobResult, Task
from trimscribe.model.report import Report

def prepare():
    time.sleep(0.2)

def made(text):
    report = Report(data=text.encode(), suffix=".pdf", media_type="application/pdf", pages=1)
    return JobResult(report=report, name=f"{text}.pdf")

def work(task: Task) -> JobResult:
    what, _, detail = task.job.partition(" ")
    if what == "pid":
        return made(str(os.getpid()))
    if what == "litter":
        return made(tempfile.mkdtemp())
    if what == "kill":
        os.kill(os.getpid(), signal.SIGKILL)
    if what == "kill-once" and not Path(detail).exists():
        Path(detail).touch()
        os.kill(os.getpid(), signal.SIGKILL)
    if what == "sleep":
        time.sleep(float(detail))
    if what == "hang":  # in C, with the interpreter's lock held
        re.fullmatch(r"(a+)+b", "a" * 60)
    if what == "grow":
        held = []
        while True:
            held.append(bytearray(b"x" * 1_000_000))
            time.sleep(0.001)
    if what == "print":
        print("noise on standard output", flush=True)
    if what == "large":
        return made("x" * 5_000_000)
    return made(what)
"""


@pytest.fixture(scope="session")
def work(tmp_path_factory: pytest.TempPathFactory) -> Iterator[ModuleType]:
    """The module of `WORK`, on a path that spawned processes take over."""
    home = tmp_path_factory.mktemp("work")
    (home / "batch_work_of_tests.py").write_text(WORK, encoding="utf-8")
    with pytest.MonkeyPatch.context() as patch:
        patch.syspath_prepend(home)
        yield importlib.import_module("batch_work_of_tests")


@pytest.fixture
def crew(work: ModuleType, tmp_path: Path) -> Iterator[Callable[..., Local]]:
    """Make a crew that does what its tasks are called; it is stopped at the end."""
    crews: list[Local] = []

    def make(size: int = 1, **limits: float) -> Local:
        crews.append(Local(size, Limits(**limits), work.work, work.prepare, writes=[str(tmp_path)]))
        return crews[-1]

    yield make
    for made in crews:
        made.stop()


@pytest.fixture
def jobs(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Callable[..., list[str]]:
    """Write small jobs into the folder `jobs` where the person is; return their paths."""
    monkeypatch.chdir(tmp_path)
    (tmp_path / "jobs").mkdir()

    def write(count: int, start: int = 1) -> list[str]:
        paths = [f"jobs/{number:04}.yaml" for number in range(start, start + count)]
        for number, path in enumerate(paths, start):
            Path(path).write_text(JOB.format(number=f"QH-{number}"), encoding="utf-8")
        return paths

    return write


@pytest.fixture
def made() -> Callable[..., JobResult]:
    """A finished report with some bytes."""

    def make(name: str = "a.pdf", data: bytes = b"report", **more: Any) -> JobResult:
        return JobResult(
            report=Report(data=data, suffix=".pdf", media_type="application/pdf", pages=2),
            name=name,
            **more,
        )

    return make
