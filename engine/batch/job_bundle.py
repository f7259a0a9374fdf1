"""A job that was read, with all files that its report needs, for a machine that has none of them.

The job travels as it was read, its files as bytes. So what a person wrote wrongly is reported
before anything is sent, and faults show places as the person typed them.
"""

import atexit
import functools
import hashlib
import shutil
import tempfile
from collections.abc import Mapping
from dataclasses import dataclass, replace
from pathlib import Path

from trimscribe.batch.fingerprint import inputs_of
from trimscribe.batch.run import JobResult, Task
from trimscribe.batch.worker import attempted, made_of
from trimscribe.errors import Fault, PluginError
from trimscribe.model.job import Reading
from trimscribe.model.workshop import names_folder
from trimscribe.read import read
from trimscribe.registry import installed
from trimscribe.world import World

FolderFiles = tuple[tuple[str, bytes], ...]  # of one folder, by name below it


@dataclass(frozen=True)
class JobBundle:
    """All that a report is made of; `theme_files` is empty where the theme is an installed one.

    `font_files` are those that the workshop brings.
    """

    reading: Reading
    theme: str
    theme_files: FolderFiles
    font_files: FolderFiles
    inputs: str
    versions: Mapping[str, str]


def pack(task: Task) -> JobBundle | JobResult:
    """Read a job and pack it; where nothing needs to travel, the result instead."""
    parcels: list[JobBundle] = []

    def work() -> JobResult:
        reading = read(task.job, installed(), task.shop, task.root)
        inputs = inputs_of(reading, task.theme)
        if task.standing and task.standing.inputs == inputs:
            return JobResult(current=True, inputs=inputs)
        workshop = reading.job.workshop
        theme = task.theme or workshop.theme
        look = _files(Path(theme)) if names_folder(theme) and Path(theme).is_dir() else ()
        fonts = _files(workshop.fonts) if workshop.fonts else ()
        parcels.append(JobBundle(reading, theme, look, fonts, inputs, dict(World.real().versions)))
        return JobResult()

    made = attempted(work)
    return parcels[0] if parcels else made


def unpack(bundle: JobBundle) -> JobResult:
    """Make the report of a bundle, on whatever machine it has come to."""

    def work() -> JobResult:
        theme = str(_laid_out(bundle.theme_files)) if bundle.theme_files else bundle.theme
        if different := [
            n for n, v in bundle.versions.items() if World.real().versions.get(n) != v
        ]:
            raise PluginError(_differs(different[0], bundle.versions[different[0]]))
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


def _differs(name: str, version: str) -> Fault:
    here = World.real().versions.get(name, "none")
    return Fault(
        "worker-differs",
        f"A worker has {name} {here}, and the batch was started with {version}.",
        hint="Reports are the same only with the same versions: install those on all machines.",
    )


def _files(folder: Path) -> FolderFiles:
    paths = [path for path in sorted(folder.rglob("*")) if "__pycache__" not in path.parts]
    return tuple((p.relative_to(folder).as_posix(), p.read_bytes()) for p in paths if p.is_file())


@functools.lru_cache(maxsize=8)
def _laid_out(files: FolderFiles) -> Path:
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
