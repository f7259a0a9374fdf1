"""A shelf: all reports of a workshop in plain folders, and an index that can be rebuilt.

    shelf/2026/md-00731/qh-2026-041.pdf     year, wing, service
    shelf/index.sqlite                      may be deleted at any time
    shelf/.lock                             held while a report is put there

Reports are only ever added. A report counts as soon as it has its name; the index follows, and
where a crash came between the two it is brought in step when the shelf is next used.
"""

import contextlib
import hashlib
import os
import sqlite3
from collections.abc import Callable, Iterator
from dataclasses import replace
from pathlib import Path
from typing import TypeVar

from trimscribe.archive.entry import Entry, KeptReport, PdfReader, ShelfReading, folded
from trimscribe.archive.faults import disk_error, fault_at, refusal
from trimscribe.archive.index import Index
from trimscribe.archive.lock import locked
from trimscribe.archive.names import ENDING, shelf_name
from trimscribe.archive.store import UNFINISHED, put, sync_folder
from trimscribe.errors import Fault, ReadbackError, StoppedError
from trimscribe.model.report import LARGEST_PDF, Record, Report
from trimscribe.resources.file_access import plain_bytes

INDEX = "index.sqlite"
_LOCK = ".lock"

T = TypeVar("T")


class Shelf:
    """The shelf in one folder, which is made when the first report is put there."""

    def __init__(self, folder: Path, look: PdfReader | None = None) -> None:
        """Take the folder; nothing is read or written yet.

        `look` reads a PDF; left out, it is read in this process.
        """
        self.folder = folder
        self._look = look or _looked_here

    def put(self, report: Report) -> Record:
        """Add one report; the same one again is left alone.

        Raises ReadbackError for a file that is not a report, and ArchiveError when the disk
        refuses, the service number is taken, or what it replaces is not as it says.
        """
        found = self._look(report.data, "")
        entry = _placed(found.entry)
        path = self.folder / entry.path
        if found.redacted:
            raise refusal("redacted-report", path)
        with self._in_step() as index:
            if standing := self._same(index, entry):
                return Record(self.folder / standing.path, standing.sha256, unchanged=True)
            self._refuse_doubles(index, entry, found.amends)
            self._make_folders(path.parent)
            record = put(report, path)
            _indexed("index-failed", self.folder, lambda: index.add([entry]))
        return record

    def reports(self) -> tuple[Entry, ...]:
        """Every report, oldest first."""
        if not os.path.isdir(self.folder):
            return ()
        with self._in_step() as index:
            return index.all()

    def wing(self, serial_number: str) -> tuple[Entry, ...]:
        """Every report of one wing that no other replaces, each once, oldest first."""
        if not os.path.isdir(self.folder):
            return ()
        with self._in_step() as index:
            replaced = {folded(entry.replaces) for entry in index.corrections()}
            found = index.wing(serial_number)
        valid = (entry for entry in found if folded(entry.service) not in replaced)
        return tuple({entry.sha256: entry for entry in valid}.values())  # one may be copied by hand

    def kept(self, serial_number: str) -> tuple[KeptReport, ...]:
        """The same with their bytes, to look into; none for a report that is lost or changed."""
        return tuple(KeptReport(entry, self._bytes(entry)) for entry in self.wing(serial_number))

    def _bytes(self, entry: Entry) -> bytes | None:
        try:
            data = plain_bytes(self.folder / entry.path, LARGEST_PDF + 1)
        except OSError:
            return None
        same = data is not None and hashlib.sha256(data).hexdigest() == entry.sha256
        return data if same else None

    def rebuild(self) -> None:
        """Throw the index away and make it from the PDFs alone."""
        with self._held():
            for name in (INDEX, f"{INDEX}-journal"):
                (self.folder / name).unlink(missing_ok=True)
        with self._in_step():
            pass

    def problems(self) -> Iterator[Fault]:
        """Read every report again: lost, changed or there twice; and what is not a report."""
        entries = {entry.path: entry for entry in self.reports()}
        taken: set[str] = set()
        for path, entry in entries.items():
            place = self.folder / path
            if (number := folded(entry.service)) in taken:
                yield fault_at("service-twice", place)
            taken.add(number)
            try:
                data = plain_bytes(place, LARGEST_PDF + 1)
            except OSError:
                yield fault_at("report-lost", place)
                continue
            if data is None or hashlib.sha256(data).hexdigest() != entry.sha256:
                yield fault_at("report-changed", place)
        for path in sorted(self._standing() - entries.keys()):
            yield fault_at("stray-file", self.folder / path)

    @contextlib.contextmanager
    def _held(self) -> Iterator[None]:
        try:
            self.folder.mkdir(parents=True, exist_ok=True)
            for name in (_LOCK, INDEX, f"{INDEX}-journal"):  # these are written to
                if (self.folder / name).is_symlink():
                    raise refusal("shelf-link", self.folder / name)
            with locked(self.folder / _LOCK):
                yield
        except (OSError, ValueError) as error:
            raise disk_error(error, self.folder) from error

    @contextlib.contextmanager
    def _in_step(self) -> Iterator[Index]:
        """The index with every report that stands on the shelf, held against other processes."""
        with (
            self._held(),
            _indexed("index-unusable", self.folder, lambda: Index(self.folder / INDEX)) as index,
        ):
            known, outdated = index.hashes(), index.outdated
            new = sorted(self._standing() - (set() if outdated else known.keys()))
            found = (e for path in new if (e := self._entry(path)))
            entries = [e for e in found if known.get(e.path, e.sha256) == e.sha256]
            if entries or outdated:
                _indexed("index-unusable", self.folder, lambda: index.add(entries))
            yield index

    def _standing(self) -> set[str]:
        """The path of every PDF; what a killed run left unfinished is cleared away.

        A link is refused: it could have reports written, or read, anywhere.
        """
        found = set()
        waiting = [self.folder]
        for folder in waiting:
            with os.scandir(folder) as entries:
                there = [*entries]
            for entry in there:
                path = Path(entry.path)
                if entry.is_symlink():
                    raise refusal("shelf-link", path)
                if entry.is_dir():
                    waiting.append(path)
                elif entry.name.endswith(UNFINISHED) and entry.name.startswith("."):
                    path.unlink(missing_ok=True)  # the lock is held: nobody is writing it
                elif entry.name.endswith(ENDING) and entry.is_file():
                    found.add(path.relative_to(self.folder).as_posix())
        return found

    def _entry(self, path: str) -> Entry | None:
        try:
            data = plain_bytes(self.folder / path, LARGEST_PDF + 1)
            return replace(self._look(data, path).entry, path=path) if data is not None else None
        except (ReadbackError, StoppedError):
            return None

    def _same(self, index: Index, entry: Entry) -> Entry | None:
        """The very report, where it is already."""
        for known in index.service(entry.service):
            path = self.folder / known.path
            if known.sha256 == entry.sha256 and os.path.isfile(path):
                sync_folder(path.parent)  # a run before may have failed at just this
                return known
        return None

    def _refuse_doubles(self, index: Index, entry: Entry, amends: str) -> None:
        if taken := index.service(entry.service):
            raise refusal("service-exists", self.folder / taken[0].path)
        if os.path.lexists(self.folder / entry.path):  # numbers apart, but not as names of files
            raise refusal("service-exists", self.folder / entry.path)
        if not entry.replaces:
            return
        found = index.service(entry.replaces)
        place = self.folder / (found[0].path if found else entry.path)
        if not found:
            raise refusal("not-on-shelf", place)
        wing = folded(found[0].serial_number)  # a mistyped number would void a stranger's report
        if wing != folded(entry.serial_number) and wing not in folded(amends):
            raise refusal("replaced-other-wing", place)
        if found[0].sha256 != entry.replaces_sha256:
            raise refusal("replaced-differs", place)
        for other in index.corrections():
            if folded(other.replaces) == folded(entry.replaces):
                raise refusal("already-replaced", self.folder / other.path)

    def _make_folders(self, folder: Path) -> None:
        """Make the year's and the wing's folder, each safe on the disk before it is used."""
        for place in (folder.parent, folder):
            if not os.path.isdir(place):
                place.mkdir(exist_ok=True)
                sync_folder(place.parent)


def _placed(entry: Entry) -> Entry:
    """A report where it belongs, whatever a worker says of that."""
    return replace(entry, path=shelf_name(entry.done, entry.serial_number, entry.service))


def _looked_here(data: bytes, path: str) -> ShelfReading:
    # It reads PDFs: what that takes is loaded where it is done.
    from trimscribe.archive.look import looked

    return looked(data, path)


def _indexed(code: str, folder: Path, work: Callable[[], T]) -> T:
    try:
        return work()
    except sqlite3.Error as error:
        raise refusal(code, folder / INDEX) from error
