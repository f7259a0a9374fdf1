"""What runs in a worker, which `trimscribe.cell.crew` starts.

Tasks come on standard input and answers go to what was standard output; whatever a plugin prints
goes to standard error. It ends when its owner closes the pipe or dies.
"""

import contextlib
import gc
import importlib
import os
import pickle
import signal
import sys
import tempfile
import threading
import time
from collections.abc import Callable
from typing import Any, BinaryIO

from trimscribe import whereabouts
from trimscribe.cell.confine import confine, limit_time, shut_in
from trimscribe.cell.frames import plain, read_frame, write_frame

_LOOK_S = 2.0  # how often a worker asks whether its owner is there
READY, AT, ANSWER, TOO_LARGE, BROKEN = b"R", b"A", b"D", b"M", b"B"


def main() -> None:
    """Serve tasks until there are no more."""
    gc.disable()  # nothing of what loading makes is garbage
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # Ctrl-C is for the owner
    tasks, answers = sys.stdin.buffer, os.fdopen(os.dup(1), "wb")
    os.dup2(2, 1)
    _hush_libraries()
    try:
        _serve(tasks, answers)
    except (EOFError, BrokenPipeError):
        pass
    except MemoryError:
        _last_word(answers)
    finally:
        sys.stdout.flush()
        sys.stderr.flush()
        os._exit(0)  # what libraries would tidy up is gone with the process


def _hush_libraries() -> None:
    """Keep what Python prints; what libraries say of their own, such as when memory ends, is lost.

    The owner words it, with the file to blame.
    """
    sys.stderr = os.fdopen(os.dup(2), "w", buffering=1, encoding="utf-8", errors="backslashreplace")
    with open(os.devnull, "wb") as nowhere:
        os.dup2(nowhere.fileno(), 2)


def _end_with(owner: int) -> None:
    """End when the owner is gone, also where the work waits for something that never comes."""
    while os.getppid() == owner:
        time.sleep(_LOOK_S)
    os._exit(0)


def _serve(tasks: BinaryIO, answers: BinaryIO) -> None:
    owner = os.getppid()
    set_up = pickle.loads(read_frame(tasks))
    sys.path[:] = set_up["path"]
    tempfile.tempdir = set_up["place"]
    confine(set_up["memory_mb"])
    if set_up["prepare"]:
        _named(set_up["prepare"])()
    write_frame(answers, READY)
    whereabouts.listen(lambda place: write_frame(answers, AT + place.encode("utf-8", "replace")))
    first = True
    while True:
        task = pickle.loads(read_frame(tasks))
        work = _named(task["work"])
        if first:
            for module in task["loads"]:  # what is compiled now, is not each time
                with contextlib.suppress(Exception):  # told when it is called
                    importlib.import_module(module)
            shut_in(task["reads"], [*task["writes"], set_up["place"]])
            # After that, since what was started before keeps its files.
            threading.Thread(target=_end_with, args=(owner,), daemon=True).start()
        limit_time(task["seconds"])
        os.chdir(task["here"])
        answer = work(*task["given"])
        try:
            data = plain(answer)
        except (pickle.PicklingError, TypeError, AttributeError) as error:
            write_frame(answers, BROKEN + str(error).encode("utf-8", "replace"))
            continue
        write_frame(answers, ANSWER + data)
        del answer, data, task
        if first:
            first = False
            gc.freeze()
            gc.enable()


def _last_word(answers: BinaryIO) -> None:
    try:
        write_frame(answers, TOO_LARGE)
    except OSError:
        return


def _named(name: str) -> Callable[..., Any]:
    module, _, function = name.partition(":")
    found: Callable[..., Any] = getattr(importlib.import_module(module), function)
    return found
