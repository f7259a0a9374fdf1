"""The cell itself: what a worker has given up, what it may answer, and how it ends."""

import ctypes
import os
import pickle
import socket
import sys
import tempfile
import time
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import psutil
import pytest

from trimscribe.cell import Limits, SerialWorker
from trimscribe.cell.frames import data_of, plain
from trimscribe.errors import Fault, InputError, Mark, StoppedError, TrimscribeError

pytestmark = [pytest.mark.processes, pytest.mark.cold]

WORK = "cell_work_of_tests"
LINUX = pytest.mark.skipif(sys.platform != "linux", reason="of Linux")


@pytest.fixture(scope="module")
def cell() -> Iterator[SerialWorker]:
    with pytest.MonkeyPatch.context() as patch:
        patch.syspath_prepend(Path(__file__).parent)
        made = SerialWorker(Limits(seconds=1.5, memory_mb=500))
        yield made
        made.close()


def asked(cell: SerialWorker, name: str, *given: Any) -> Any:
    return cell.call("job.yaml", f"{WORK}:{name}", *given)


def test_it_has_no_environment(cell: SerialWorker, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("SECRET", "of the bank")
    cell.close()

    assert "SECRET" not in asked(cell, "environment")
    assert "PATH" not in asked(cell, "environment")


@LINUX
def test_it_has_limits_and_gains_no_rights(cell: SerialWorker) -> None:
    found = asked(cell, "limits")

    assert found["RLIMIT_CORE"] == 0
    assert found["RLIMIT_DATA"] == 750 * 2**20
    assert 0 < found["RLIMIT_FSIZE"] < 10**9
    assert 0 < found["RLIMIT_CPU"] < 60
    assert "NoNewPrivs:\t1" in asked(cell, "privileges")


def test_it_reaches_no_network(cell: SerialWorker) -> None:
    with socket.create_server(("127.0.0.1", 0)) as here:
        assert asked(cell, "connect", here.getsockname()[1]) != "connected"


@LINUX
def test_it_sees_no_network_but_its_own(cell: SerialWorker) -> None:
    found = asked(cell, "networks")
    if found == [name for _, name in socket.if_nameindex()]:
        pytest.skip("this system lets nobody have a network of their own")
    assert "lo" in found
    assert not [name for name in found if name.startswith(("eth", "en", "wl"))]


@pytest.fixture
def shut(cell: SerialWorker, tmp_path: Path) -> Callable[..., Any]:
    """Asks a worker that may read below `world`; beside it lies a file with a secret."""
    # Nothing is known to forbid files but Landlock, which the kernel of the tests may lack.
    if ctypes.CDLL(None).syscall(444, None, 0, 1) < 1:
        pytest.skip("this kernel has no Landlock")
    (tmp_path / "world" / "below").mkdir(parents=True)
    (tmp_path / "world" / "below" / "job.yaml").write_text("job")
    (tmp_path / "secret").write_text("of the bank")
    cell.close()
    return lambda name, *given: cell.call(
        "job.yaml", f"{WORK}:{name}", *map(str, given), reads=[str(tmp_path / "world")]
    )


@LINUX
def test_it_reads_what_belongs_to_the_task_and_nothing_else(
    shut: Callable[..., Any], tmp_path: Path
) -> None:
    world, secret = tmp_path / "world", tmp_path / "secret"
    (world / "link").symlink_to(secret)

    assert shut("read", world / "below" / "job.yaml") == "job"
    assert shut("listed", world) == "below link"
    assert shut("read", secret) == "PermissionError"
    assert shut("read", world / ".." / "secret") == "PermissionError"
    assert shut("read", world / "link") == "PermissionError"
    assert shut("read_by_a_thread", secret) == "PermissionError"
    assert shut("read", "/etc/passwd") == "PermissionError"
    assert shut("listed", tmp_path) == "PermissionError"
    assert shut("listed", Path.home()) == "PermissionError"


@LINUX
def test_it_writes_in_its_own_place_alone(shut: Callable[..., Any], tmp_path: Path) -> None:
    job = tmp_path / "world" / "below" / "job.yaml"

    assert shut("written_in_its_place") == "1"
    assert shut("written", tmp_path / "world" / "new") == "PermissionError"
    assert shut("written", job) == "PermissionError"
    assert shut("removed", job) == "PermissionError"
    assert shut("written", tmp_path / "new") == "PermissionError"
    assert shut("written", Path(tempfile.gettempdir()) / "new-of-a-worker") == "PermissionError"
    assert job.read_text() == "job"


@LINUX
def test_it_starts_no_program(shut: Callable[..., Any]) -> None:
    assert shut("run", "/bin/true") == "PermissionError"
    assert shut("run", sys.executable) == "PermissionError"


@LINUX
def test_what_is_installed_still_loads(shut: Callable[..., Any]) -> None:
    assert shut("imported") == ["sqlite3", "wave"]
    assert shut("read", "/proc/self/status") != "PermissionError"


@LINUX
def test_a_worker_that_may_not_read_what_the_next_task_needs_is_replaced(
    cell: SerialWorker, shut: Callable[..., Any], tmp_path: Path
) -> None:
    secret = tmp_path / "secret"
    assert shut("read", secret) == "PermissionError"
    first = cell._crew._workers[0].process.pid

    assert asked(cell, "prints") == 7  # needs nothing
    assert cell._crew._workers[0].process.pid == first
    found = cell.call("job.yaml", f"{WORK}:read", str(secret), reads=[str(secret)])
    assert found == "of the bank"
    assert cell._crew._workers[0].process.pid != first


@LINUX
def test_a_worker_that_is_ready_for_reports_has_one_thread_when_it_is_shut_in() -> None:
    """Threads that run already would keep what the others give up."""
    with pytest.MonkeyPatch.context() as patch:
        patch.syspath_prepend(Path(__file__).parent)
        made = SerialWorker()
        made.warm("trimscribe.desk.work:get_ready")
        # The other one asks whether the owner is there, and was started after that.
        assert made.call("", f"{WORK}:threads") == 2
        made.close()


def test_what_the_work_raises_comes_back_as_it_is(cell: SerialWorker) -> None:
    with pytest.raises(InputError) as caught:
        asked(cell, "raises")

    assert caught.value.faults == (Fault("not-a-date", "This is no date.", Mark("a.yaml", 3)),)


def test_a_bug_is_reported_without_the_folders_of_this_machine(cell: SerialWorker) -> None:
    with pytest.raises(TrimscribeError) as caught:
        asked(cell, "stumbles")

    assert caught.value.faults[0].code == "bug"
    assert "/home" not in caught.value.faults[0].message
    assert "ZeroDivisionError" in caught.value.__notes__[0]


def test_work_that_never_ends_is_stopped_and_the_file_it_was_at_is_blamed(
    cell: SerialWorker,
) -> None:
    with pytest.raises(StoppedError) as caught:
        asked(cell, "blamed", "coast/theme.yaml")

    (fault,) = caught.value.faults
    assert (fault.code, fault.mark) == ("job-too-slow", Mark("coast/theme.yaml"))
    assert asked(cell, "prints") == 7  # another worker is there at once


def test_work_that_grows_is_stopped_before_it_has_grown(cell: SerialWorker) -> None:
    with pytest.raises(StoppedError) as caught:
        asked(cell, "grows")

    assert caught.value.faults[0].code == "job-too-large"


def test_a_worker_that_dies_twice_is_reported_with_the_file(cell: SerialWorker) -> None:
    with pytest.raises(StoppedError) as caught:
        asked(cell, "dies")

    assert caught.value.faults[0].code == "worker-died"
    assert caught.value.faults[0].mark == Mark("job.yaml")


def test_what_is_printed_is_no_answer(
    cell: SerialWorker, capfd: pytest.CaptureFixture[str]
) -> None:
    cell.close()  # the next worker writes where this test reads
    assert asked(cell, "prints") == 7
    written = capfd.readouterr()
    assert written.out == ""
    assert sorted(written.err.split()) == [
        "noise",
        "trouble",
    ]  # what libraries say is put into a fault


def test_no_process_is_left(cell: SerialWorker) -> None:
    asked(cell, "prints")
    (worker,) = [
        p for p in psutil.Process().children() if p.pid == cell._crew._workers[0].process.pid
    ]
    cell.close()

    assert not worker.is_running()


def test_a_worker_ends_with_its_owner(tmp_path: Path) -> None:
    import subprocess

    code = (
        "import sys, time\nfrom trimscribe.cell import SerialWorker\nc = SerialWorker()\n"
        "c.warm()\nprint(c._crew._workers[0].process.pid, flush=True)\ntime.sleep(60)\n"
    )
    owner = subprocess.Popen([sys.executable, "-c", code], stdout=subprocess.PIPE, text=True)
    assert owner.stdout
    worker = psutil.Process(int(owner.stdout.readline()))
    owner.kill()
    owner.communicate()

    worker.wait(timeout=30)


@pytest.mark.skipif(os.name == "nt", reason="needs pipes")
def test_a_worker_that_waits_for_ever_ends_with_its_owner(tmp_path: Path) -> None:
    import subprocess

    pipe = tmp_path / "pipe"
    os.mkfifo(pipe)
    code = (
        "import sys, threading, time\nfrom trimscribe.cell import SerialWorker\n"
        "c = SerialWorker()\n"
        f"given = ('job.yaml', '{WORK}:read', {str(pipe)!r})\n"
        f"reads = {{'reads': ({str(tmp_path)!r},)}}\n"
        "threading.Thread(target=c.call, args=given, kwargs=reads, daemon=True).start()\n"
        "ready = lambda: c._crew and c._crew._workers and c._crew._workers[0].ready\n"
        "while not ready(): time.sleep(0.1)\n"
        "time.sleep(2)\nprint(c._crew._workers[0].process.pid, flush=True)\ntime.sleep(60)\n"
    )
    paths = os.pathsep.join([str(Path(__file__).parent), *filter(None, sys.path)])
    owner = subprocess.Popen(
        [sys.executable, "-c", code],
        stdout=subprocess.PIPE,
        text=True,
        env={**os.environ, "PYTHONPATH": paths},
    )
    assert owner.stdout
    worker = psutil.Process(int(owner.stdout.readline()))
    owner.kill()
    owner.communicate()

    worker.wait(timeout=30)


class Harmful:
    """What a worker that was taken over would send."""

    def __init__(self, call: Any, *given: Any) -> None:
        self.call, self.given = call, given

    def __reduce__(self) -> Any:
        return self.call, self.given


@pytest.mark.parametrize(
    "value",
    [
        Harmful(os.system, "touch harmed"),
        Harmful(eval, "1 + 1"),
        Harmful(getattr, Path, "unlink"),
        Harmful(__import__, "os"),
        Harmful(SerialWorker),
        Harmful(bytearray, 3_000_000_000),  # would be the owner's memory
        Harmful(Limits),  # data, but called: harmless
    ],
)
def test_an_answer_is_data_and_nothing_is_called_for_it(
    value: Harmful, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)

    if value.call is Limits:
        assert data_of(pickle.dumps(value)) == Limits()
        return
    with pytest.raises(EOFError):
        data_of(pickle.dumps(value))
    assert not [*tmp_path.iterdir()]


@LINUX
def test_it_has_no_terminal_to_type_into(cell: SerialWorker) -> None:
    assert asked(cell, "session") != os.getsid(0)


def test_data_come_back_equal() -> None:
    value = {"a": (1, 2.5, None, True), "b": [Mark("x", 1)], "c": Path("a/b"), "d": b"bytes"}

    assert data_of(plain(value)) == value


def test_nothing_waits_for_a_worker_that_is_warm(cell: SerialWorker) -> None:
    asked(cell, "prints")
    start = time.monotonic()
    for _ in range(20):
        asked(cell, "prints")

    assert time.monotonic() - start < 2


@LINUX
def test_from_a_folder_that_was_deleted_nothing_is_started(
    cell: SerialWorker, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (tmp_path / "gone").mkdir()
    monkeypatch.chdir(tmp_path / "gone")
    (tmp_path / "gone").rmdir()

    with pytest.raises(InputError) as caught:
        asked(cell, "environment")

    assert [fault.code for fault in caught.value.faults] == ["file-not-found"]
