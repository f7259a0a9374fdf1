"""What was made of the thing that was asked about last."""

import weakref
from collections.abc import Callable
from typing import Generic, TypeVar

K = TypeVar("K")
T = TypeVar("T")


class Latest(Generic[K, T]):
    """Keeps what `make` made of the last thing, such as a job, as long as that lives.

    Several analyses of one job, and outputs of one document, need the same. Neither ever changes,
    so nor does what follows from it.
    """

    def __init__(self, make: Callable[[K], T]) -> None:
        """`make` is asked once for each."""
        self._make = make
        self._kept: tuple[weakref.ref[K], T] | None = None

    def of(self, thing: K) -> T:
        """What is kept, if it is of this very thing; else made and kept."""
        kept = self._kept  # one assignment, one look: threads may share it
        if kept is not None and kept[0]() is thing:
            return kept[1]
        made = self._make(thing)
        self._kept = (weakref.ref(thing, self._forget), made)
        return made

    def _forget(self, gone: "weakref.ref[K]") -> None:
        kept = self._kept
        if kept is not None and kept[0] is gone:
            self._kept = None
