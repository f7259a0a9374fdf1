"""A Dask cluster that is there already, whose workers make reports: no scheduler of our own.

A job travels as it was read, its files as bytes, to a machine that has none of them. So what a
person wrote wrongly is reported before anything is sent, and faults show places as the person typed
them.

Dask gives a job whose worker was lost to another one. Memory is limited by the cluster's own
settings; a job that takes too long ends its worker process, which the cluster starts again, and
counts as lost there. Dask blames every job that a lost worker held, also those that only waited:
such a job is sent once more, alone, after all others. Workers with one thread each are quickest,
because one report keeps Python's lock most of the time.
"""

import atexit
import faulthandler
import functools
import hashlib
import os
import shutil
import tempfile
from collections import deque
from collections.abc import Mapping, Sequence
from concurrent.futures import FIRST_COMPLETED, CancelledError, Future, wait
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from trimscribe.batch.fingerprint import inputs_of
from trimscribe.batch.jobs import CODES
from trimscribe.batch.run import JobResult, Task
from trimscribe.batch.worker import attempted, get_ready, made_of
from trimscribe.cell import Limits, SerialWorker
from trimscribe.errors import Fault, Mark, PluginError, StoppedError
from trimscribe.model.job import Reading
from trimscribe.model.workshop import names_folder
from trimscribe.read import read
from trimscribe.registry import installed
from trimscribe.resources.worlds import world_of
from trimscribe.world import World

_PATIENCE_S = 10
_TOGETHER = 2  # jobs for each thread of the cluster, so that none waits for the next

_FolderFiles = tuple[tuple[str, bytes], ...]  # of one folder, by name below it


class Cluster:
    """A crew made of a cluster's workers."""

    def __init__(self, address: str, seconds: float) -> None:
        """Connect to the scheduler at `HOST:PORT`; raises PluginError when that cannot be.

        A job that takes longer than `seconds` ends its worker process.
        """
        try:
            import distributed
        except ImportError as error:
            hint = "Install it with: pip install 'trimscribe[dask]'"
            raise PluginError.of("dask-missing", CODES["dask-missing"], hint=hint) from error
        try:
            connect: Any = distributed.Client  # it publishes no types
            self._client = connect(address, timeout=_PATIENCE_S, set_as_default=False)
        except (OSError, ValueError) as error:
            message = f"No Dask scheduler answers at {address}."
            hint = "Check that the scheduler runs and that its address is HOST:PORT."
            raise PluginError.of("cluster-not-found", message, hint=hint) from error
        self._reader = SerialWorker(Limits(seconds))
        self._executor = self._client.get_executor(pure=False)
        self._seconds = seconds
        self._sent: dict[Future[JobResult], Task] = {}
        self._settled: list[tuple[Task, JobResult]] = []  # without travelling
        self._blamed: type[Exception] = distributed.KilledWorker
        self._suspects: deque[Task] = deque()  # blamed once, perhaps for another's doing

    @property
    def busy(self) -> int:
        """How many tasks are on their way or wait to be sent once more."""
        return len(self._sent) + len(self._settled) + len(self._suspects)

    @property
    def free(self) -> int:
        """How many more tasks may be given, which grows and shrinks with the cluster."""
        threads: int = sum(self._client.nthreads().values())
        return max(threads, 1) * _TOGETHER - len(self._sent) - len(self._settled)

    def give(self, task: Task) -> None:
        """Have a job read by a worker here, and send it with all its files."""
        try:
            world = world_of([task.job], root=task.root, shop=task.shop, theme=task.theme)
            bundle: JobBundle | JobResult = self._reader.call(task.job, pack, task, reads=world)
        except StoppedError as error:
            bundle = JobResult.failed(error)
        if isinstance(bundle, JobBundle):
            self._sent[self._executor.submit(_unpack_within, bundle, self._seconds)] = task
        else:
            self._settled.append((task, bundle))

    def take(self) -> Sequence[tuple[Task, JobResult]]:
        """Wait until at least one task has come back or is given up."""
        back: list[tuple[Task, JobResult]] = []
        while not back:
            alone = not self._sent and not self._settled
            if alone:
                self.give(self._suspects.popleft())
            if self._settled:
                back, self._settled = self._settled, []
                return back
            done, _ = wait(self._sent, return_when=FIRST_COMPLETED)
            for future in done:
                task, lost = self._sent.pop(future), _loss(future)
                if isinstance(lost, self._blamed) and not alone:
                    self._suspects.append(task)
                else:
                    back.append((task, _given_up(task, lost) if lost else future.result()))
        return back

    def stop(self) -> None:
        """Cancel what is on its way, and leave the cluster."""
        self._reader.close()
        self._executor.shutdown(wait=False)
        self._client.close()


def _loss(future: "Future[JobResult]") -> BaseException | None:
    """What Dask raises instead of a result, which means that the job's workers were lost."""
    try:
        return future.exception()
    except CancelledError as error:
        return error


def _given_up(task: Task, lost: BaseException) -> JobResult:
    message = f"{CODES['worker-lost']} Dask says: {type(lost).__name__}."
    hint = "See the logs of the cluster; a time limit or one of memory may have ended workers."
    return JobResult.failed(StoppedError.of("worker-lost", message, Mark(task.job), hint))


@dataclass(frozen=True)
class JobBundle:
    """All that a report is made of; `theme_files` is empty where the theme is an installed one.

    `font_files` are those that the workshop brings.
    """

    reading: Reading
    theme: str
    theme_files: _FolderFiles
    font_files: _FolderFiles
    inputs: str
    versions: Mapping[str, str]


def pack(task: Task) -> JobBundle | JobResult:
    """Read a job and pack it; where nothing needs to travel, the result instead."""
    bundles: list[JobBundle] = []

    def work() -> JobResult:
        reading = read(task.job, installed(), task.shop, task.root)
        inputs = inputs_of(reading, task.theme)
        if task.standing and task.standing.inputs == inputs:
            return JobResult(current=True, inputs=inputs)
        workshop = reading.job.workshop
        theme = task.theme or workshop.theme
        look = _files(Path(theme)) if names_folder(theme) and os.path.isdir(theme) else ()
        fonts = _files(workshop.fonts) if workshop.fonts else ()
        bundles.append(JobBundle(reading, theme, look, fonts, inputs, _versions()))
        return JobResult()

    made = attempted(work)
    return bundles[0] if bundles else made


def _unpack_within(bundle: JobBundle, seconds: float) -> JobResult:
    """Make a report, or end this process: nothing else stops a library that does not return."""
    get_ready()
    with open(os.devnull, "w") as nowhere:
        faulthandler.dump_traceback_later(seconds, exit=True, file=nowhere)
        try:
            return unpack(bundle)
        finally:
            faulthandler.cancel_dump_traceback_later()


def unpack(bundle: JobBundle) -> JobResult:
    """Make the report of a bundle, on whatever machine it has come to."""

    def work() -> JobResult:
        theme = str(_laid_out(bundle.theme_files)) if bundle.theme_files else bundle.theme
        here = _versions()
        for name, version in bundle.versions.items():
            if here.get(name) != version:
                raise PluginError(_differs(name, here.get(name, "none"), version))
        return made_of(_with_fonts(bundle), theme)

    made = attempted(work)
    faults = tuple(_as_typed(fault, bundle) for fault in made.faults)
    return replace(made, faults=faults, inputs=bundle.inputs)


def _with_fonts(bundle: JobBundle) -> Reading:
    """What was read, with the workshop's fonts where they are laid out here."""
    if not bundle.font_files:
        return bundle.reading
    job = bundle.reading.job
    workshop = replace(job.workshop, fonts=_laid_out(bundle.font_files))
    return replace(bundle.reading, job=replace(job, workshop=workshop))


def _as_typed(fault: Fault, bundle: JobBundle) -> Fault:
    """A fault of the theme, with its place where the person has it."""
    if not bundle.theme_files or fault.mark is None:
        return fault
    here = Path(_laid_out(bundle.theme_files)).as_posix()
    file = fault.mark.file.replace(here, Path(bundle.theme).as_posix())
    return replace(fault, mark=replace(fault.mark, file=file))


def _versions() -> dict[str, str]:
    """Of the software, and of each plugin as `kind/name`."""
    return {**World.real().versions, **installed().builds()}


def _differs(name: str, here: str, version: str) -> Fault:
    return Fault(
        "worker-differs",
        f"A worker has {name} {here}, and the batch was started with {version}.",
        hint="Reports are the same only with the same versions: install those on all machines.",
    )


def _files(folder: Path) -> _FolderFiles:
    paths = [path for path in sorted(folder.rglob("*")) if "__pycache__" not in path.parts]
    return tuple((p.relative_to(folder).as_posix(), p.read_bytes()) for p in paths if p.is_file())


@functools.lru_cache(maxsize=8)
def _laid_out(files: _FolderFiles) -> Path:
    """The files in a folder of this process's own, laid out once and gone with the process."""
    folder = Path(_shelter(), hashlib.sha256(repr(files).encode()).hexdigest()[:16])
    for name, data in files:
        path = folder / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(data)
    return folder


@functools.cache
def _shelter() -> str:
    folder = tempfile.mkdtemp(prefix="trimscribe-")
    atexit.register(shutil.rmtree, folder, ignore_errors=True)
    return folder
