"""What runs in a worker process: one job to the bytes of its report, whatever goes wrong."""

import functools
import hashlib
import os
import signal
import time
import traceback
from collections.abc import Callable
from multiprocessing.connection import Connection

from trimscribe.archive import file_name
from trimscribe.batch.task import Made, Task
from trimscribe.errors import TrimscribeError, bug
from trimscribe.pipeline import prepare, render
from trimscribe.registry import Registry
from trimscribe.world import World

__all__ = ["make", "serve"]


def make(task: Task) -> Made:
    """Make one report in memory; whatever goes wrong becomes faults of this job alone."""
    start = time.perf_counter()
    try:
        content = prepare(task.job, _registry())
        report = render(content, _registry(), _world(), theme=task.theme)
    except TrimscribeError as error:
        return Made.failed(error, time.perf_counter() - start)
    except Exception as error:
        told = "".join(traceback.format_exception(error))
        return Made(70, (bug(error),), seconds=time.perf_counter() - start, traceback=told)
    job, files = content.reading.job, content.reading.files
    return Made(
        faults=(*content.reading.warnings, *report.warnings),
        report=report,
        name=file_name(job, report.suffix),
        inputs={file.name: hashlib.sha256(file.data).hexdigest() for file in files},
        theme=task.theme or job.workshop.theme,
        seconds=time.perf_counter() - start,
    )


def serve(pipe: Connection, work: Callable[[Task], Made]) -> None:
    """Do the tasks that come through a pipe until it closes, which is also when its owner died."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # Ctrl-C is for the process that hands out
    os.dup2(2, 1)  # a plugin that prints must not get into the results
    _registry(), _world()
    try:
        pipe.send(None)
        while True:
            task: Task = pipe.recv()
            pipe.send(work(task))
    except (EOFError, OSError):
        return


@functools.cache
def _registry() -> Registry:
    return Registry.installed()


@functools.cache
def _world() -> World:
    return World.real()
