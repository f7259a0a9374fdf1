"""The command line, within this process and as a process of its own."""

import os
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner, Result

from trimscribe.cell import once
from trimscribe.cli import main
from trimscribe.cli.program import TRACEBACK

ROOT = Path(__file__).parents[2]
JOB = """\
trimscribe: 1
workshop: {name: Quarry Hill Canopy Works}
service: {number: QH-1, done: 2026-04-01}
wing: {maker: Pomeroy Wings, model: Damson, size: S, serial_number: DM-0001}
"""
# A job with one warning and nothing else to say.
HEAVY = JOB.replace("DM-0001", "DM-0001, weight_min_kg: 60, weight_max_kg: 80") + (
    "pilot: {name: Robin Hale, all_up_weight_kg: 92}\n"
)
FAULTY = JOB.replace("2026-04-01", "01.04.2026")

Run = Callable[..., Result]


@pytest.fixture(autouse=True)
def plain_environment(monkeypatch: pytest.MonkeyPatch) -> None:
    """Whoever runs the tests may have wishes of their own for colours and tracebacks."""
    for name in ("NO_COLOR", "FORCE_COLOR", "TTY_COMPATIBLE", "TTY_INTERACTIVE", TRACEBACK):
        monkeypatch.delenv(name, raising=False)


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Where the person is, with three jobs: fine, with a warning, faulty."""
    monkeypatch.chdir(tmp_path)
    for name, text in {"fine": JOB, "heavy": HEAVY, "faulty": FAULTY}.items():
        (tmp_path / f"{name}.yaml").write_text(text, encoding="utf-8")
    return tmp_path


@pytest.fixture
def run(folder: Path) -> Run:
    """Run a command in this process."""

    def invoke(*arguments: object) -> Result:
        return CliRunner().invoke(main, [str(argument) for argument in arguments])

    return invoke


@pytest.fixture
def here(monkeypatch: pytest.MonkeyPatch) -> None:
    """Do the work in this process, so that a test may change a part of it."""

    def call(_: object, place: str, function: str, *given: Any, reads: Any = ()) -> Any:
        found = once.call(once.Call(function, given, place))
        if isinstance(found, once.Raised):
            raise once.error_of(found)
        return found

    monkeypatch.setattr(once.SerialWorker, "call", call)


@pytest.fixture
def start(folder: Path) -> Callable[..., subprocess.Popen[str]]:
    """Start a command as a process of its own; its streams are pipes unless given."""

    def popen(*arguments: object, env: dict[str, str] | None = None, **extra: Any) -> Any:
        streams = {"stdout": subprocess.PIPE, "stderr": subprocess.PIPE, "encoding": "utf-8"}
        return subprocess.Popen(
            [sys.executable, "-m", "trimscribe", *map(str, arguments)],
            env={**os.environ, **(env or {})},
            **{**streams, **extra},
        )

    return popen
