"""What workers do in the tests of the cell."""

import os
import resource
import signal
import socket
import subprocess
import sys
import tempfile
import threading
from collections.abc import Callable
from pathlib import Path
from typing import Any

from trimscribe.errors import Fault, InputError, Mark
from trimscribe.whereabouts import at


def limits() -> dict[str, int]:
    return {name: resource.getrlimit(getattr(resource, name))[0] for name in dir(resource)
            if name.startswith("RLIMIT_")}  # fmt: skip


def environment() -> dict[str, str]:
    return dict(os.environ)


def privileges() -> str:
    return Path("/proc/self/status").read_text()


def networks() -> list[str]:
    return [name for _, name in socket.if_nameindex()]


def connect(port: int) -> str:
    try:
        socket.create_connection(("127.0.0.1", port), timeout=2).close()
    except OSError as error:
        return type(error).__name__
    return "connected"


def read(path: str) -> str:
    return _tried(lambda: Path(path).read_text())


def listed(path: str) -> str:
    return _tried(lambda: " ".join(sorted(os.listdir(path))))


def read_by_a_thread(path: str) -> str:
    found: list[str] = []
    thread = threading.Thread(target=lambda: found.append(read(path)))
    thread.start()
    thread.join()
    return found[0]


def written(path: str) -> str:
    return _tried(lambda: str(Path(path).write_text("x")))


def written_in_its_place() -> str:
    return written(f"{tempfile.mkdtemp()}/mine")


def removed(path: str) -> str:
    return _tried(lambda: str(Path(path).unlink()))


def run(path: str) -> str:
    return _tried(lambda: str(subprocess.run([path], capture_output=True).returncode))


def reported(process: int) -> str:
    return _tried(lambda: str(os.kill(process, 0)))


def imported() -> list[str]:
    import sqlite3  # of the installation, and with a library of its own
    import wave

    return [sqlite3.__name__, wave.__name__]


def session() -> int:
    return os.getsid(0)


def threads() -> int:
    return len(os.listdir("/proc/self/task"))


def _tried(work: Callable[[], str]) -> str:
    try:
        return work()
    except OSError as error:
        return type(error).__name__


def raises() -> None:
    raise InputError(Fault("not-a-date", "This is no date.", Mark("a.yaml", 3)))


def stumbles() -> None:
    raise ZeroDivisionError("at /home/somebody")


def blamed(name: str) -> None:
    at(name)
    while True:
        pass


def grows() -> int:
    return len(bytearray(3_000_000_000))


def dies() -> None:
    os.kill(os.getpid(), signal.SIGKILL)


def says_code() -> Any:
    return Path.unlink  # a function is not data


def prints() -> int:
    print("noise")
    print("trouble", file=sys.stderr)
    os.write(2, b"memory allocation failed\n")  # as libraries do
    sys.stdout.flush()
    return 7
