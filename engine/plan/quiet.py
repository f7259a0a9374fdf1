"""Keeps a solver written in C from printing into the results."""

import contextlib
import os
from collections.abc import Iterator

__all__ = ["quiet_descriptor"]


@contextlib.contextmanager
def quiet_descriptor(number: int = 1) -> Iterator[None]:
    """Lead a file descriptor to nowhere for a while.

    HiGHS prints from C, which redirection within Python does not reach. Nothing that Python has
    buffered is lost: it is written when its own stream is flushed, after the descriptor is back.
    The descriptor belongs to the whole process, so this is for one thread at a time.
    """
    try:
        kept = os.dup(number)
    except OSError:  # closed: there is nothing to print to
        yield
        return
    try:
        nowhere = os.open(os.devnull, os.O_WRONLY)
        try:
            os.dup2(nowhere, number)
        finally:
            os.close(nowhere)
        yield
    finally:
        os.dup2(kept, number)
        os.close(kept)
