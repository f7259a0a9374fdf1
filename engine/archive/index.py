"""The index of a shelf: a table that answers quickly, and can be thrown away at any time.

Whatever it holds is in the PDFs as well. SQLite keeps each change whole through crashes; an index
that is damaged, or of another version, is thrown away and rebuilt. One with other words for what
reports come to is read anew from the PDFs, and keeps what it knows of those lost or changed.
"""

import contextlib
import sqlite3
import zlib
from collections.abc import Iterable, Iterator
from dataclasses import astuple, fields
from pathlib import Path

from trimscribe.archive.entry import Entry, folded
from trimscribe.model.manifest import OUTCOMES

FORMAT = 1  # of the table; another number rebuilds the index
_WORDS = zlib.crc32("\n".join(OUTCOMES).encode()) & 0x7FFF_FFFF  # as SQLite has room for
_COLUMNS = tuple(f.name for f in fields(Entry))
_TABLE = f"""
CREATE TABLE reports ({", ".join(_COLUMNS)}, service_key, serial_key, PRIMARY KEY (path));
CREATE INDEX by_service ON reports (service_key);
CREATE INDEX by_serial ON reports (serial_key, done);
CREATE INDEX by_done ON reports (done);
PRAGMA user_version = {FORMAT};
PRAGMA application_id = {_WORDS};
"""
_WAIT_S = 30.0


class Index:
    """One open index; use it as a context, which closes it."""

    def __init__(self, path: Path) -> None:
        """Open the index, made new where there is none that can be used; raises sqlite3.Error."""
        self._path = path
        self._base = self._open()

    def __enter__(self) -> "Index":
        """Hand itself on."""
        return self

    def __exit__(self, *_: object) -> None:
        """Close it."""
        self._base.close()

    def _open(self) -> sqlite3.Connection:
        base = self._connected()
        try:
            (version,) = base.execute("PRAGMA user_version").fetchone()
            if version == FORMAT and _is_ours(base):
                base.execute("SELECT path FROM reports LIMIT 1").fetchone()
                return base
            unknown = bool(base.execute("SELECT name FROM sqlite_master LIMIT 1").fetchone())
        except sqlite3.OperationalError:  # the disk or a lock; the index itself may be fine
            base.close()
            raise
        except sqlite3.DatabaseError:
            unknown = True
        if unknown:
            base.close()
            self._throw_away()
            base = self._connected()
        base.executescript(f"BEGIN;{_TABLE}COMMIT;")
        return base

    def _connected(self) -> sqlite3.Connection:
        base = sqlite3.connect(self._path, timeout=_WAIT_S, isolation_level=None)
        with contextlib.suppress(sqlite3.DatabaseError):  # a broken file shows itself in `_open`
            base.execute("PRAGMA synchronous = EXTRA")
        return base

    def _throw_away(self) -> None:
        """What cannot be read is of no use to anybody: the PDFs have it all."""
        for ending in ("", "-journal"):
            Path(f"{self._path}{ending}").unlink(missing_ok=True)

    def add(self, entries: Iterable[Entry]) -> None:
        """Take reports in, all of them or none."""
        rows = [(*astuple(e), folded(e.service), folded(e.serial_number)) for e in entries]
        marks = ", ".join("?" * (len(_COLUMNS) + 2))
        with self._whole():
            self._base.executemany(f"INSERT OR REPLACE INTO reports VALUES ({marks})", rows)
            self._base.execute(f"PRAGMA application_id = {_WORDS}")

    @contextlib.contextmanager
    def _whole(self) -> Iterator[None]:
        self._base.execute("BEGIN IMMEDIATE")
        try:
            yield
            self._base.execute("COMMIT")
        except BaseException:
            with contextlib.suppress(sqlite3.Error):
                self._base.execute("ROLLBACK")
            raise

    @property
    def outdated(self) -> bool:
        """Whether its verdicts are in other words; adding all reports again mends that."""
        return bool(self._base.execute("PRAGMA application_id").fetchone() != (_WORDS,))

    def hashes(self) -> dict[str, str]:
        """The path of every report that is known, with the hash of its file."""
        return dict(self._base.execute("SELECT path, sha256 FROM reports"))

    def all(self) -> tuple[Entry, ...]:
        """Every report, oldest first."""
        return self._entries("1")

    def service(self, number: str) -> tuple[Entry, ...]:
        """The reports with a service number, which should be one at most."""
        return self._entries("service_key = ?", folded(number))

    def wing(self, serial_number: str) -> tuple[Entry, ...]:
        """Every report of one wing, oldest first."""
        return self._entries("serial_key = ?", folded(serial_number))

    def corrections(self) -> tuple[Entry, ...]:
        """Every report that replaces another, of whatever wing: a serial number may be what was
        corrected."""
        return self._entries("replaces <> ''")

    def _entries(self, where: str, *values: str) -> tuple[Entry, ...]:
        columns = ", ".join(_COLUMNS)
        query = f"SELECT {columns} FROM reports WHERE {where} ORDER BY done, service_key, path"
        return tuple(Entry(*row) for row in self._base.execute(query, values))


def _is_ours(base: sqlite3.Connection) -> bool:
    """Whether it holds our table and nothing else: a stranger's may compute without end."""
    found = {sql for (sql,) in base.execute("SELECT sql FROM sqlite_master LIMIT 99") if sql}
    return found == {line for line in map(str.strip, _TABLE.split(";")) if line[:6] == "CREATE"}
