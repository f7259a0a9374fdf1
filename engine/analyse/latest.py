"""What was worked out for the job that was asked for last."""

import weakref
from collections.abc import Callable
from typing import Generic, TypeVar

from trimscribe.model.job import Job

T = TypeVar("T")


class Latest(Generic[T]):
    """Keeps what `make` made of the last job, as long as that lives.

    Several analyses of one job need the same. A job never changes, so nor does what follows from
    it.
    """

    def __init__(self, make: Callable[[Job], T]) -> None:
        """`make` is asked once for each job."""
        self._make = make
        self._kept: tuple[weakref.ref[Job], T] | None = None

    def of(self, job: Job) -> T:
        """What is kept, if it is of this very job; else made and kept."""
        kept = self._kept  # one assignment, one look: threads may share it
        if kept is not None and kept[0]() is job:
            return kept[1]
        made = self._make(job)
        self._kept = (weakref.ref(job, self._forget), made)
        return made

    def _forget(self, gone: "weakref.ref[Job]") -> None:
        kept = self._kept
        if kept is not None and kept[0] is gone:
            self._kept = None
