"""Which file is being worked on: what to blame when the work never ends.

A stage says where it is before it hands a file to a library. Only a worker process listens.
"""

from collections.abc import Callable

_listeners: list[Callable[[str], None]] = []
_now = [""]


def at(place: str) -> str:
    """Say which file, as people call it, is worked on from now on; returns the one before."""
    before, _now[0] = _now[0], place
    for hear in _listeners:
        hear(place)
    return before


def listen(hear: Callable[[str], None]) -> None:
    """Have each place told to `hear`, from now on and for as long as the process lives."""
    _listeners[:] = [hear]
