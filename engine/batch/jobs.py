"""Which files are jobs: those that were named, and those in folders that look like one."""

import os
import re
from collections.abc import Iterable, Iterator
from pathlib import Path

from trimscribe.batch.codes import CODES
from trimscribe.errors import Fault, InputError, Mark

__all__ = ["find_jobs", "is_job"]

_SUFFIXES = (".json", ".yaml", ".yml")
# Every job has a service; line sets, shop files, themes and import maps have none.
_JOB = re.compile(rb"""^(?:service|[\s{]*"service")\s*:""", re.MULTILINE)
_FAR = 1_000_000  # bytes that are looked at


def find_jobs(named: Iterable[str]) -> list[str]:
    """The jobs among files and folders, each once, in the order named and by name in folders.

    A named file is a job whatever it holds, so that its faults are told. In a folder, and all
    below it, files that tell of a service are jobs; names that begin with a dot are passed over.
    Raises InputError for a folder without any.
    """
    found: dict[str, None] = {}
    faults = []
    for name in named:
        path = Path(name)
        if not path.is_dir():
            found[name] = None
            continue
        inside = [job.as_posix() for job in _inside(path)]
        found |= dict.fromkeys(inside)
        if not inside:
            hint = "A job is a YAML or JSON file with a `service`."
            faults.append(Fault("no-jobs", CODES["no-jobs"], Mark(name), hint))
    if faults:
        raise InputError(faults)
    return [*found]


def _inside(folder: Path) -> Iterator[Path]:
    for root, folders, files in os.walk(folder):
        folders[:] = sorted(name for name in folders if not name.startswith("."))
        for name in sorted(files):
            path = Path(root, name)
            if is_job(path):
                yield path


def is_job(path: Path) -> bool:
    """Whether a file is named as jobs are and tells of a service.

    One that cannot be read is taken for a job, and told when it is to be read.
    """
    if path.name[0] == "." or not path.name.lower().endswith(_SUFFIXES):
        return False
    try:
        with path.open("rb") as stream:
            return bool(_JOB.search(stream.read(_FAR)))
    except OSError:
        return True
