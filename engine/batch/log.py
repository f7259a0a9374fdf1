"""`batch.jsonl` beside the reports: one line for each finished job, added as it is finished.

A line has `job` (its path as typed), `status`, `exit_code`, `seconds`, `report` (`path` below the
folder, `pages` and `sha256`, or null), `faults` as in the JSON of other commands, `inputs` and
`made_with` (the hashes of all that the report depends on). The last line of a job counts.
"""

import json
import os
import stat
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from trimscribe.archive import disk_error, refusal
from trimscribe.batch.fingerprint import digest
from trimscribe.batch.run import BatchOutcome, PreviousResult
from trimscribe.model.plain import Plain

NAME = "batch.jsonl"


def line_of(outcome: BatchOutcome, faults: list[Plain], made_with: str) -> Plain:
    """One line as data; `faults` as the caller words them for programs."""
    record = outcome.record
    report: Plain = None
    if record:
        report = {"path": record.path.name, "pages": outcome.pages, "sha256": record.sha256}
    return {
        "job": outcome.job,
        "status": str(outcome.status),
        "exit_code": int(outcome.exit_code),
        "seconds": round(outcome.seconds, 3),
        "report": report,
        "faults": faults,
        "inputs": outcome.inputs,
        "made_with": made_with,
    }


class Log:
    """The log of one folder; raises ArchiveError when the disk refuses."""

    def __init__(self, folder: Path) -> None:
        """Name the folder that the reports are put into; nothing is touched yet."""
        self._folder, self._path = folder, folder / NAME
        self._looked = False

    def add(self, line: Plain) -> None:
        """Write one line at the end, in one piece, so that runs at the same time do not mix."""
        written = json.dumps(line, allow_nan=False) + "\n"
        try:
            if not self._looked:
                self._folder.mkdir(parents=True, exist_ok=True)
                self._refuse_other_things()
                written = self._missing_end() + written
                self._looked = True
            with self._path.open("ab", buffering=0) as stream:
                stream.write(written.encode())
        except (OSError, ValueError) as error:
            raise disk_error(error, self._path) from error

    def known(self) -> "Known":
        """What the log says of jobs so far; empty when there is none."""
        lines = {}
        self._refuse_other_things()
        try:
            with self._path.open(encoding="utf-8", errors="replace") as stream:
                for text in stream:
                    line = _parsed(text)
                    if line is not None:
                        lines[line["job"]] = line
        except FileNotFoundError:
            pass
        except OSError as error:
            raise disk_error(error, self._path) from error
        return Known(self._folder, lines)

    def _refuse_other_things(self) -> None:
        """A link would lead out of the folder, and a pipe would be waited for."""
        if os.path.lexists(self._path) and not stat.S_ISREG(os.lstat(self._path).st_mode):
            raise refusal("report-in-the-way", self._path)

    def _missing_end(self) -> str:
        """The end of a line that a killed run may have left half written."""
        if not self._path.exists() or self._path.stat().st_size == 0:
            return ""
        with self._path.open("rb") as stream:
            stream.seek(-1, 2)
            return "" if stream.read() == b"\n" else "\n"


class Known:
    """What earlier runs have finished."""

    def __init__(self, folder: Path, lines: Mapping[str, Mapping[str, Any]]) -> None:
        """Take the last line of each job."""
        self._folder, self._lines = folder, lines

    def standing(self, job: str, made_with: str) -> PreviousResult | None:
        """The report of a job, if it is there whole and the same software made it."""
        line = self._lines.get(job)
        try:
            if line is None or line["made_with"] != made_with:
                return None
            report = line["report"]
            found = PreviousResult(
                report["path"], report["pages"], report["sha256"], line["inputs"]
            )
            return found if digest(self._folder / found.name) == found.sha256 else None
        except (KeyError, TypeError):
            return None  # it failed, or others wrote the line


def _parsed(text: str) -> Mapping[str, Any] | None:
    try:
        line = json.loads(text)
    except ValueError:
        return None
    return line if isinstance(line, dict) and isinstance(line.get("job"), str) else None
