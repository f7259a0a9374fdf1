"""Which files are jobs: those that were named, and those in folders that look like one."""

import os
import re
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path

from trimscribe.errors import Fault, InputError, Mark
from trimscribe.marked_yaml import LARGEST, load

# What a batch can be stopped by, beside faults of its jobs.
CODES: Mapping[str, str] = {
    "cluster-not-found": "No Dask scheduler answers at the address.",
    "dask-missing": "A Dask cluster was asked for, and the library for it is not installed.",
    "no-jobs": "A folder that was named holds no job.",
    "worker-differs": "A worker of a cluster has another version of what reports depend on.",
    "worker-lost": "The cluster lost every worker that it gave a job to.",
}

_SUFFIXES = (".json", ".yaml", ".yml")
# Every job has a service; this finds it in nearly all of them without reading their YAML.
_SERVICE = re.compile(rb"""^(?:service|[\s{]*"service")\s*:""", re.MULTILINE)
# Keys that no line set, shop file, theme or import map has at its top. One alone may be in
# another program's file.
JOB_KEYS = frozenset(
    {"adjustments", "after", "before", "cloth", "common_offset", "decision", "inspection"}
    | {"loops", "notes", "pilot", "plan", "redacted", "replacements", "report", "service"}
    | {"specification", "strength", "wing", "workshop"}
)


@dataclass(frozen=True)
class FoundJobs:
    """The jobs, each once, and the YAML and JSON files of folders that are none."""

    jobs: tuple[str, ...]
    passed_over: tuple[str, ...] = ()


def find_jobs(named: Iterable[str]) -> FoundJobs:
    """The jobs among files and folders, in the order named and by name in folders.

    A named file is a job whatever it holds, so that its faults are reported. In a folder, and all
    below it, the files are jobs that `is_job` takes for one; names that begin with a dot are left
    out. Raises InputError for a folder without any.
    """
    jobs: dict[str, None] = {}
    others: dict[str, None] = {}
    faults = []
    for name in named:
        path = Path(name)
        if not os.path.isdir(path):
            jobs[name] = None
            continue
        inside = {file.as_posix(): is_job(file) for file in _files(path)}
        jobs |= {file: None for file, job in inside.items() if job}
        others |= {file: None for file, job in inside.items() if not job}
        if not any(inside.values()):
            hint = "A job is a YAML or JSON file with a `service`."
            faults.append(Fault("no-jobs", CODES["no-jobs"], Mark(name), hint))
    if faults:
        raise InputError(faults)
    return FoundJobs(tuple(jobs), tuple(file for file in others if file not in jobs))


def _files(folder: Path) -> Iterator[Path]:
    """All files below a folder that could be jobs by their names."""
    for root, folders, files in os.walk(folder):
        folders[:] = sorted(name for name in folders if not name.startswith("."))
        for name in sorted(files):
            if _named_as_jobs_are(name):
                yield Path(root, name)


def is_job(path: Path) -> bool:
    """Whether a file is named as jobs are and has a `service`, or else two keys of a job.

    One that cannot be read is taken for a job, and reported when it is to be read.
    """
    if not _named_as_jobs_are(path.name):
        return False
    try:
        with path.open("rb") as stream:
            data = stream.read(LARGEST + 1)
    except OSError:
        return True
    if _SERVICE.search(data):
        return True
    top = load(data, path.name).data
    keys = JOB_KEYS.intersection(top) if isinstance(top, dict) else set()
    return top is None or "service" in keys or len(keys) > 1


def _named_as_jobs_are(name: str) -> bool:
    return not name.startswith(".") and name.lower().endswith(_SUFFIXES)
