"""The other services of a wing, out of the reports on a shelf."""

import hashlib
import json
from collections.abc import Iterator, Sequence

from trimscribe.archive.entry import folded
from trimscribe.archive.faults import fault_at
from trimscribe.archive.shelf import Shelf
from trimscribe.errors import Fault, ReadbackError, Severity
from trimscribe.model.history import ServiceSummary
from trimscribe.model.job import Job
from trimscribe.model.manifest import Role
from trimscribe.readback import read_back

__all__ = ["earlier_services", "later_service", "other_line_set"]


def earlier_services(shelf: Shelf, job: Job) -> Iterator[ServiceSummary]:
    """Yield the services of the job's wing before this one, oldest first.

    Left out are reports that another replaces, this one among them, and any that is not what was
    put on the shelf: `Shelf.problems` tells of those.
    """
    gone = {folded(job.service.number)}
    gone |= {folded(job.service.replaces.report)} if job.service.replaces else set()
    for entry in shelf.wing(job.wing.serial_number):
        if folded(entry.service) in gone or entry.done >= job.service.done.isoformat():
            continue
        try:
            data = (shelf.folder / entry.path).read_bytes()
            if hashlib.sha256(data).hexdigest() != entry.sha256:
                continue
            findings = json.loads(read_back(data).data(Role.FINDINGS) or b"{}")
            yield ServiceSummary.from_plain(findings["summary"], entry.sha256)
        except (OSError, ReadbackError, ValueError, TypeError, KeyError):
            continue


def later_service(shelf: Shelf, job: Job) -> Iterator[Fault]:
    """Yield a warning where a later service of the wing came to the shelf before this one."""
    entries = shelf.wing(job.wing.serial_number)
    if any(folded(entry.service) == folded(job.service.number) for entry in entries):
        return
    later = (entry for entry in entries if entry.done > job.service.done.isoformat())
    if first := next(later, None):
        yield fault_at("later-service", shelf.folder / first.path)


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
