"""The shelf on a disk that fails, fills up and is pulled out: nothing lost, nothing half."""

import json
import os
import shutil
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from trials import trials

pytestmark = pytest.mark.processes
HERE = Path(__file__).parent
MEMORY = Path("/dev/shm")  # a disk in memory takes syncs at once


@pytest.fixture
def disk() -> Iterator[Path]:
    with tempfile.TemporaryDirectory(dir=MEMORY if MEMORY.is_dir() else None) as name:
        yield Path(os.path.realpath(name))


@pytest.fixture(scope="module")
def faulty(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The disk that fails on order, to be loaded before the C library."""
    compiler = shutil.which("cc")
    if compiler is None or sys.platform != "linux":
        pytest.skip("no C compiler is here to build the disk that fails on order")
    library = tmp_path_factory.mktemp("disk") / "faulty_disk.so"
    source = HERE / "faulty_disk.c"
    subprocess.run([compiler, "-shared", "-fPIC", "-O1", "-o", library, source, "-ldl"], check=True)
    return library


def under_fire(*arguments: object, **environment: str) -> dict[str, Any]:
    script = HERE / "shelf_under_fire.py"
    done = subprocess.run(
        [sys.executable, script, *map(str, arguments)],
        env={**os.environ, **environment},
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stderr
    return json.loads(done.stdout)


@pytest.mark.parametrize("work", ["next", "first", "rebuild"])
def test_any_call_may_fail_or_be_the_last_and_nothing_is_lost_or_half(
    disk: Path, faulty: Path, work: str
) -> None:
    """Each write, sync, rename, link and removal fails with EIO or ENOSPC, and ends by a kill
    before and in the middle of it."""
    reported = under_fire(disk, work, LD_PRELOAD=str(faulty))

    assert reported["wrong"] == []
    assert reported["calls"] > 30
    assert reported["seen"]["killed"] == 2 * reported["calls"]
    assert reported["seen"]["1"] > reported["calls"] / 2  # most failures are reported


def test_the_same_trial_finds_a_shelf_that_only_writes_its_files(disk: Path, faulty: Path) -> None:
    wrong = under_fire(disk, "careless", LD_PRELOAD=str(faulty))["wrong"]

    assert any("a half report stands there" in fault for fault in wrong)


def test_kills_at_random_moments_lose_nothing(disk: Path) -> None:
    reported = under_fire(disk, "killed", trials(200))

    assert reported["wrong"] == []
    assert reported["kills"] > 0.75 * trials(200)
