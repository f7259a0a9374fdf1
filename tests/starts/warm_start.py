"""Processes of Trimscribe that start warm: real ones, which have loaded it when they begin.

Most of what a command or a worker computes in a test is loading, and understanding our own rules,
phrases and templates. Within `installed` a process that has done this, and set nothing, stands by
and splits: `python -m trimscribe …` and the workers of `trimscribe.cell` begin as copies of it,
with streams, folder, variables and session as asked for. They are children of whoever started them,
so that signals, limits, exit codes and what a worker gives up are the real thing; commands split
their workers off themselves. Whatever is started in any other way starts as ever, and so does all
within `cold`, and where the system is no Linux.
"""

import atexit
import ctypes
import gc
import os
import pickle
import platform
import runpy
import signal
import socket
import subprocess
import sys
import threading
import time
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import contextmanager, suppress
from typing import Any

from trimscribe.cell.crew import _CHILD

_COMMAND = [sys.executable, "-m", "trimscribe"]
_WORKER = [sys.executable, "-P", "-c", _CHILD]
# From <linux/sched.h> and <asm/unistd.h>: a child of the same parent as ours, as clone makes it.
_CLONE_PARENT = 0x8000
_CLONE = {"x86_64": 56, "aarch64": 220}.get(platform.machine(), 0)
_HOME = os.path.dirname(os.path.abspath(__file__))
_STAND_BY = f"""
import sys
sys.path.insert(0, {_HOME!r})
import warm_start
exec(warm_start.stand_by())
"""
_COLD = subprocess.Popen
_NOBODY_ELSE = [None, None, None, -1]  # no other group, groups, user or mask for new files

Split = Callable[[bytes, Sequence[int]], int]


@contextmanager
def installed() -> Iterator[None]:
    """Let this process start commands and workers warm; ends the one that stands by."""
    if sys.platform != "linux" or not _CLONE:
        yield
        return
    stand_by = _StandBy()
    subprocess.Popen = _warm(stand_by.split)  # type: ignore[misc]
    try:
        yield
    finally:
        subprocess.Popen = _COLD  # type: ignore[misc]
        stand_by.close()


@contextmanager
def cold() -> Iterator[None]:
    """Let this process start all as anybody does."""
    warm, subprocess.Popen = subprocess.Popen, _COLD  # type: ignore[misc]
    try:
        yield
    finally:
        subprocess.Popen = warm  # type: ignore[misc]


def _warm(split: Split) -> type["subprocess.Popen[Any]"]:
    """subprocess.Popen, which leaves the start of what can be warm to `split`."""

    class Warm(subprocess.Popen):  # type: ignore[type-arg]
        def _execute_child(self, args: Any, *more: Any) -> None:
            _, preexec, close, passed, cwd, env, _, _, shell, *streams = more
            given, asked = streams[:6], streams[6:]
            usual = close and not (preexec or passed or shell) and asked[1:5] == _NOBODY_ELSE
            kind = _kind(args, env) if usual else ""
            if not kind:
                super()._execute_child(args, *more)
                return
            wish = {
                "kind": kind,
                "words": [os.fspath(word) for word in args[3:]],
                "folder": os.fspath(cwd) if cwd else os.getcwd(),
                "variables": dict(os.environ if env is None else env),
                "session": asked[5],
            }
            theirs = (given[0], given[3], given[5])
            self.pid = split(pickle.dumps(wish), [n if o < 0 else o for n, o in enumerate(theirs)])
            self._child_created = True
            self._close_pipe_fds(*given)

    return Warm


def _kind(args: Any, env: Mapping[str, str] | None) -> str:
    """What a process is to become, if it can be warm: not where Python itself is told otherwise."""
    if not isinstance(args, list | tuple):
        return ""
    if list(args) == _WORKER:
        return "worker"
    told = _python(os.environ if env is None else env)
    return "command" if list(args[:3]) == _COMMAND and told == _python(os.environ) else ""


def _python(variables: Mapping[str, str]) -> dict[str, str]:
    """What Python looks at once, when it starts, and a copy therefore cannot take over."""
    names = [name for name in variables if name.startswith(("PYTHON", "LC_", "LANG"))]
    taken_over = ("PYTHONPATH", "PYTHONIOENCODING")
    return {name: variables[name] for name in names if name not in taken_over}


class _StandBy:
    """The process that stands by, started when it is first asked to split."""

    def __init__(self) -> None:
        self._turn = threading.Lock()
        self._line: socket.socket | None = None
        self._process: Any = None

    def split(self, wish: bytes, streams: Sequence[int]) -> int:
        with self._turn:
            line = self._line = self._line or self._started()
            socket.send_fds(line, [len(wish).to_bytes(4, "big")], streams)
            line.sendall(wish)
            pid = int.from_bytes(line.recv(4, socket.MSG_WAITALL), "big")
            if not pid:
                raise RuntimeError("the process that stands by has gone")
            return pid

    def _started(self) -> socket.socket:
        ours, theirs = socket.socketpair()
        self._process = _COLD(
            [sys.executable, "-P", "-c", _STAND_BY, str(theirs.fileno())],
            pass_fds=[theirs.fileno()],
            start_new_session=True,
            # No thread, for none would be copied; and no path of the test that happens to be first.
            env={**os.environ, "OPENBLAS_NUM_THREADS": "1", "PYTHONPATH": ""},
        )
        theirs.close()
        return ours

    def close(self) -> None:
        if self._line:
            self._line.close()
            self._process.wait()


def stand_by() -> str:
    """Load all and split as asked for, in the process that stands by, to the end of its owner.

    Returns in each copy, with what it is to run.
    """
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    line = socket.socket(fileno=int(sys.argv[1]))
    _load()
    while True:
        head, streams, _, _ = socket.recv_fds(line, 4, 3)
        if not head:
            os._exit(0)
        wish = pickle.loads(line.recv(int.from_bytes(head, "big"), socket.MSG_WAITALL))
        pid = _sibling()
        if pid == 0:
            line.close()
            return _become(wish, streams)
        for stream in streams:
            os.close(stream)
        line.sendall(pid.to_bytes(4, "big"))


def _load() -> None:
    import psutil  # noqa: F401 (loading is all)
    import strangers

    import trimscribe.batch.worker
    import trimscribe.cli
    import trimscribe.desk.work
    import trimscribe.preview.look
    import trimscribe.typeset.pdf
    import trimscribe.typeset.pictures
    import trimscribe.verification.check  # noqa: F401 (loading is all)
    from trimscribe.compose import compose
    from trimscribe.model.plain import _converter
    from trimscribe.pipeline import load_stages, prepare
    from trimscribe.registry import Registry
    from trimscribe.world import World

    strangers.hide()
    load_stages()
    registry = Registry.installed()
    kinds = ("importers", "analyses", "languages", "themes", "sections", "figures", "outputs")
    for kind in kinds:
        for name in registry.names(kind):
            registry.get(kind, name)
    content = prepare(os.path.join(_HOME, "..", "..", "examples", "demo.yaml"), registry)
    compose(content, registry, World.real())
    _converter()
    gc.collect()
    gc.freeze()


def _sibling() -> int:
    """As os.fork(), but the child is one of whoever has started us."""
    python = ctypes.pythonapi
    python.PyOS_BeforeFork()
    pid = int(ctypes.PyDLL(None).syscall(_CLONE, _CLONE_PARENT | signal.SIGCHLD, 0, 0, 0, 0))
    if pid == 0:
        python.PyOS_AfterFork_Child()
    else:
        python.PyOS_AfterFork_Parent()
    return pid


def _become(wish: Mapping[str, Any], streams: Sequence[int]) -> str:
    """Take over what the process was to be started with; returns the program that it runs."""
    for number, stream in enumerate(streams):
        os.dup2(stream, number)
    os.closerange(3, 65_536)
    if wish["session"]:
        os.setsid()
    os.chdir(wish["folder"])
    os.environ.clear()
    os.environ.update(wish["variables"])
    time.tzset()
    signal.signal(signal.SIGINT, signal.default_int_handler)
    names = ("stdin", "stdout", "stderr")
    for number, (name, mode) in enumerate(zip(names, "rww", strict=True)):
        encoding, _, errors = os.environ.get("PYTHONIOENCODING", "utf-8").partition(":")
        errors = errors or ("backslashreplace" if name == "stderr" else "strict")
        stream = open(number, mode, encoding=encoding, errors=errors, closefd=False)  # noqa: SIM115
        if name == "stderr" or stream.isatty():
            stream.reconfigure(line_buffering=True)
        setattr(sys, name, stream)
        setattr(sys, f"__{name}__", stream)
    if wish["kind"] == "worker":
        return _CHILD
    found = [entry for entry in os.environ.get("PYTHONPATH", "").split(os.pathsep) if entry]
    sys.path[:] = [wish["folder"], *found, *(one for one in sys.path if one != _HOME)]
    sys.argv[:] = ["trimscribe", *wish["words"]]
    subprocess.Popen = _warm(_of_ours)  # type: ignore[misc]
    return "warm_start.command()"


def command() -> None:
    """Run a command; what it has loaded is not taken apart at the end, which takes a while."""
    try:
        runpy.run_module("trimscribe", run_name="__main__", alter_sys=True)
    except SystemExit as end:
        if not isinstance(end.code, int):
            raise
        threading._shutdown()  # type: ignore[attr-defined]
        atexit._run_exitfuncs()
        try:
            sys.stdout.flush()
            sys.stderr.flush()
        except OSError:
            raise end from None  # Python has a code and words of its own for that
        os._exit(end.code)


def _of_ours(wish: bytes, streams: Sequence[int]) -> int:
    """Split a worker off a command."""
    pid = os.fork()
    if pid == 0:
        try:
            exec(_become(pickle.loads(wish), [os.dup(stream) for stream in streams]), {})
        finally:
            with suppress(BaseException):
                sys.stderr.flush()
            os._exit(1)
    return pid
