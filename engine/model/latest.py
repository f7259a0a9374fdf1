"""What was made of the thing that was asked about last."""

import functools
import weakref
from collections.abc import Callable
from typing import TypeVar

K = TypeVar("K")
T = TypeVar("T")


def keep_latest(make: Callable[[K], T]) -> Callable[[K], T]:
    """Let a function keep what it made of the last thing, such as a job, as long as that lives.

    Several analyses of one job, and outputs of one document, need the same. Neither ever changes,
    so nor does what follows from it.
    """
    kept: tuple[weakref.ref[K], T] | None = None

    def forget(gone: weakref.ref[K]) -> None:
        nonlocal kept
        if kept is not None and kept[0] is gone:
            kept = None

    @functools.wraps(make)
    def latest(thing: K) -> T:
        nonlocal kept
        known = kept  # one assignment, one look: threads may share it
        if known is not None and known[0]() is thing:
            return known[1]
        made = make(thing)
        kept = (weakref.ref(thing, forget), made)
        return made

    return latest
