"""What workers do in the tests of the cell."""

import os
import resource
import signal
import socket
import sys
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
    sys.stdout.flush()
    return 7
