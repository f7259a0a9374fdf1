"""One piece of work in a worker that stays warm for the next: for commands on single files."""

import atexit
import functools
import sys
import threading
import traceback
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, replace
from importlib import import_module
from typing import Any, TypeVar

from trimscribe import errors
from trimscribe.cell.crew import Crew, Limits, Stop, Why, name_of
from trimscribe.errors import Fault, Mark, StoppedError, TrimscribeError, bug

# What work in a cell can be stopped with.
CODES: Mapping[str, str] = {
    "job-too-large": "A job was stopped because it took more memory than its limit.",
    "job-too-slow": "A job was stopped because it took longer than its limit.",
    "worker-died": "The process that worked on a job died, and so did the next one.",
}

A = TypeVar("A")
# Ten times what the hardest report there is takes, and a wait that a person still bears.
SINGLE = Limits(seconds=8.0, memory_mb=700.0)


@dataclass(frozen=True)
class Raised:
    """What the work has raised instead of an answer: the name of the error, and its faults."""

    kind: str
    faults: tuple[Fault, ...]
    traceback: str = ""


@dataclass(frozen=True)
class Call:
    """A function by its name, and what it is called with."""

    function: str
    given: tuple[Any, ...]
    place: str = ""
    limits: Limits = SINGLE


class SerialWorker:
    """One worker for many calls, one at a time; it is replaced when it was stopped."""

    def __init__(self, limits: Limits = SINGLE) -> None:
        """Nothing is started yet."""
        self._path: list[str] = []
        self._turn = threading.Lock()
        self._limits = limits
        self._crew: Crew[Call, Any] = Crew(1, limits, call, _stopped)

    def warm(self, prepare: str = "") -> None:
        """Start the worker, so that the first call waits less; it calls `module:function` first."""
        self._start_anew()
        self._crew.warm(prepare)

    def _start_anew(self) -> None:
        """A worker finds the plugins that this process would find now."""
        if self._path != sys.path:
            self.close()
            self._path = list(sys.path)

    def call(
        self,
        place: str,
        function: Callable[..., A] | str,
        *given: Any,
        reads: Iterable[str] = (),
        seconds: float = 0.0,
    ) -> A:
        """What a function of a module (or `module:function`) returns there.

        `place` is the file that it is about; below `reads` it may read, and nowhere else but in
        what is installed. `seconds` limits this call alone. One thread at a time is served.
        Raises what the function raises of Trimscribe's errors, and StoppedError.
        """
        with self._turn:
            self._start_anew()
            self._crew.let_read(reads)
            limits = replace(self._limits, seconds=seconds) if seconds else self._limits
            self._crew.hold_to(limits)
            try:
                self._crew.give(Call(name_of(function), given, place, limits))
                ((_, answer),) = self._crew.take()
            except BaseException:
                self.close()  # interrupted: what is being done is dropped at once
                raise
        if isinstance(answer, Raised):
            raise error_of(answer)
        found: A = answer
        return found

    def close(self) -> None:
        """Kill the worker; the next call starts another."""
        self._crew.stop()


def in_cell(
    place: str, function: Callable[..., A] | str, *given: Any, reads: Iterable[str] = ()
) -> A:
    """`SerialWorker.call` in a worker that this process shares."""
    return shared().call(place, function, *given, reads=reads)


@functools.cache
def shared() -> SerialWorker:
    """The worker of this process, which ends with it."""
    cell = SerialWorker()
    atexit.register(cell.close)
    return cell


def call(task: Call) -> Any:
    """Do one call in a worker: what it returns, or what it has raised, as data."""
    module, _, name = task.function.partition(":")
    try:
        return getattr(import_module(module), name)(*task.given)
    except TrimscribeError as error:
        return Raised(type(error).__name__, error.faults)
    except MemoryError:
        raise
    except Exception as error:
        reported = "".join(traceback.format_exception(error))
        return Raised("", (bug(error),), reported)


def fault_of(stop: Stop, place: str, limits: Limits = SINGLE) -> Fault:
    """The fault of work that was stopped, at the file to blame."""
    code, words = {
        Why.TIME: ("job-too-slow", f"took longer than {limits.seconds:g} s"),
        Why.MEMORY: ("job-too-large", f"took more than {limits.memory_mb:g} MB of memory"),
        Why.DIED: ("worker-died", ""),
    }[stop.why]
    mark = Mark(stop.place or place)
    if stop.why is Why.DIED:
        hint = "A plugin may have crashed it, or the system stopped it for want of memory."
        return Fault(code, CODES[code], mark, hint)
    hint = "Look at what this file asks for: something in it repeats, or is larger than it seems."
    return Fault(code, f"What this file asks for {words} and was stopped.", mark, hint)


def _stopped(task: Call, stop: Stop) -> Raised:
    return Raised("StoppedError", (fault_of(stop, task.place, task.limits),))


def error_of(raised: Raised) -> TrimscribeError:
    """The error that a worker has reported."""
    found = getattr(errors, raised.kind, None) if raised.kind.endswith("Error") else None
    kind = found if isinstance(found, type) and issubclass(found, TrimscribeError) else None
    error = (kind or TrimscribeError)(raised.faults)
    if raised.traceback:
        error.add_note(raised.traceback)
    return error if kind or not raised.kind else StoppedError(raised.faults)
