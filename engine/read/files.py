"""The files of one job: itself and those that it names, each read once through the one door.

And the order of several jobs, before any of them is read as a whole.
"""

from collections.abc import Iterable
from dataclasses import dataclass, field, replace
from functools import cached_property
from pathlib import Path, PurePath, PurePosixPath

from trimscribe.errors import Fault, Mark
from trimscribe.exports.files import as_text
from trimscribe.marked_yaml import load
from trimscribe.model.workshop import InputFile
from trimscribe.resources.file_access import DATA, EXPORT, Kind, fetch, read_typed
from trimscribe.resources.worlds import root_of
from trimscribe.whereabouts import at

_MEDIA = {
    ".csv": "text/csv",
    ".json": "application/json",
    ".ods": "application/vnd.oasis.opendocument.spreadsheet",
    ".tsv": "text/tab-separated-values",
    ".txt": "text/plain",
    ".xls": "application/vnd.ms-excel",
    ".xlsx": "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet",
    ".yaml": "application/yaml",  # RFC 9512
    ".yml": "application/yaml",
}


@dataclass
class JobFolder:
    """The folder of one job, and the files read from it in order.

    Nothing that the job names is read but below `root`; empty, it is the folder of the nearest shop
    file above the job, else the job's own.
    """

    job: Path
    root: Path | None = None
    files: dict[str, InputFile] = field(default_factory=dict)

    @property
    def typed(self) -> str:
        """The job's path as the person typed it."""
        return self.job.as_posix()

    def shown(self, name: str) -> str:
        """How a named file is shown: from where the job was typed."""
        return (PurePosixPath(self.typed).parent / name).as_posix()

    def open_job(self) -> bytes | Fault:
        """The bytes of the job, or why not."""
        return self._kept(read_typed(self.job), self.job.name)

    def open(self, name: str, mark: Mark) -> bytes | Fault:
        """The bytes of a YAML file that the job names at `mark`, or why not."""
        return self._fetched(name, DATA, mark)

    def open_export(self, name: str, mark: Mark, suffixes: Iterable[str]) -> bytes | Fault:
        """The bytes of an export with one of these endings that the job names, or why not."""
        endings = tuple(sorted(set(suffixes)))
        kind = replace(EXPORT, belongs=f"an export ({', '.join(endings)})", suffixes=endings)
        return self._fetched(name, kind, mark)

    def _fetched(self, name: str, kind: Kind, mark: Mark) -> bytes | Fault:
        if name in self.files:
            return self.files[name].data
        return self._kept(fetch(self.job.parent, name, kind, mark, self.widest), name)

    @cached_property
    def widest(self) -> Path:
        """The folder that all that the job names lies below."""
        return root_of(self.job.parent) if self.root is None else self.root

    def open_typed(self, path: Path) -> bytes | Fault:
        """The bytes of a file that the person named beside the job, or why not."""
        # Kept by its bare name: where it stands on this machine is nothing for the record.
        return self._kept(read_typed(path), path.name)

    def keep(self, file: InputFile) -> None:
        """Take a file that was read elsewhere, such as a picture, among those of the job."""
        self.files[file.name] = file

    def _kept(self, data: bytes | Fault, name: str) -> bytes | Fault:
        if isinstance(data, bytes):
            at(self.shown(name))
            suffix = PurePath(name).suffix.lower()
            media = _MEDIA.get(suffix, "application/octet-stream")
            self.files[name] = InputFile(as_text(name), data, media)
        return data


def oldest_first(jobs: Iterable[str]) -> list[tuple[str, str]]:
    """The jobs by date of service, each with its wing's serial number.

    Those of one day stay in order, those without a date lead. Nothing is checked, and no fault
    reported: that is for `read`.
    """
    found = [(job, *_outline(job)) for job in jobs]
    return [(job, serial) for job, _, serial in sorted(found, key=lambda one: one[1])]


def _outline(job: str) -> tuple[str, str]:
    """Date of service and serial number as written; empty where there is none."""
    data = JobFolder(Path(job)).open_job()
    found = load(data, job).data if isinstance(data, bytes) else None
    return _text(found, "service", "done"), _text(found, "wing", "serial_number")


def _text(found: object, part: str, key: str) -> str:
    inner = found.get(part) if isinstance(found, dict) else None
    value = inner.get(key) if isinstance(inner, dict) else None
    return value if isinstance(value, str) else ""
