"""The earlier services of a wing, out of the reports on a shelf."""

import hashlib
import json
from collections.abc import Iterator

from trimscribe.archive.entry import folded
from trimscribe.archive.shelf import Shelf
from trimscribe.errors import ReadbackError
from trimscribe.model.history import ServiceSummary
from trimscribe.model.job import Job
from trimscribe.model.manifest import Role
from trimscribe.readback import read_back

__all__ = ["earlier_services"]


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
