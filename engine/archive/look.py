"""Finished reports read back: as a shelf knows them, and as the other services of a wing.

It reads strangers' bytes, and so it is for a worker.
"""

import hashlib
import json
from collections.abc import Iterator, Sequence
from pathlib import Path

from trimscribe.archive.entry import Entry, KeptReport, ShelfReading, folded
from trimscribe.archive.faults import fault_at
from trimscribe.archive.names import shelf_name
from trimscribe.errors import Fault, ReadbackError, Severity
from trimscribe.model.history import ServiceSummary
from trimscribe.model.job import Job
from trimscribe.model.manifest import Role
from trimscribe.readback.contents import read_back, unreadable


def looked(data: bytes, path: str = "") -> ShelfReading:
    """Read a PDF; `path` empty gives the place where it belongs. Raises ReadbackError."""
    contents = read_back(data)
    differing = [
        *(f"“{file.name}” is another file" for file in contents.altered()),
        *(f"“{name}” is missing" for name in contents.missing()),
    ]
    if differing:
        raise unreadable("attachments-differ", *differing)
    about = contents.manifest.about
    replaced = about.replaces
    entry = Entry(
        path=path or shelf_name(about.done, about.serial_number, about.service),
        sha256=hashlib.sha256(data).hexdigest(),
        service=about.service,
        done=about.done,
        workshop=about.workshop,
        maker=about.maker,
        model=about.model,
        size=about.size,
        serial_number=about.serial_number,
        hours=about.hours,
        pilot=about.pilot,
        verdict=about.outcome,
        replaces=replaced.report if replaced else "",
        replaces_sha256=replaced.sha256 if replaced else "",
    )
    amends = f"{replaced.change} {replaced.reason}" if replaced else ""
    return ShelfReading(entry, redacted=about.redacted, amends=amends)


def earlier_services(kept: Sequence[KeptReport], job: Job) -> Iterator[ServiceSummary]:
    """Yield the services of the job's wing before this one, oldest first; see `Shelf.kept`.

    Left out are reports that another replaces, this one among them, and any that is not what was
    put on the shelf: `Shelf.problems` reports those.
    """
    wing = folded(job.wing.serial_number)
    gone = {folded(job.service.number)}
    gone |= {folded(job.service.replaces.report)} if job.service.replaces else set()
    for report in kept:
        entry = report.entry
        if folded(entry.service) in gone or entry.done >= job.service.done.isoformat():
            continue
        if report.data is None or folded(entry.serial_number) != wing:
            continue
        try:
            findings = json.loads(read_back(report.data).data(Role.FINDINGS) or b"{}")
            yield ServiceSummary.from_plain(findings["summary"], entry.sha256)
        except (ReadbackError, ValueError, TypeError, KeyError):
            continue


def later_service(kept: Sequence[KeptReport], folder: Path, job: Job) -> Iterator[Fault]:
    """Yield a warning where a later service of the wing came to the shelf before this one."""
    wing = folded(job.wing.serial_number)
    entries = [one.entry for one in kept if folded(one.entry.serial_number) == wing]
    if any(folded(entry.service) == folded(job.service.number) for entry in entries):
        return
    later = (entry for entry in entries if entry.done > job.service.done.isoformat())
    if first := next(later, None):
        yield fault_at("later-service", folder / first.path)


def other_line_set(earlier: Sequence[ServiceSummary], job: Job) -> Iterator[Fault]:
    """Yield a warning where the last service judged by another line set, or revision."""
    spec = job.specification
    judged = [summary for summary in earlier if summary.specification]
    if spec is None or not judged:
        return
    own, last = spec.called, judged[-1]
    if last.specification != own:
        yield Fault(
            "line-set-changed",
            f"Service {last.service} judged this wing by “{last.specification}”, this one by "
            f"“{own}”.",
            hint="Deviations of the two services do not compare; both reports name their line set.",
            severity=Severity.WARNING,
        )
