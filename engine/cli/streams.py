"""Standard input and output where whoever started the program has closed them."""

import os
import sys

_NAMES = ("stdin", "stdout", "stderr")


def stand_in() -> None:
    """Put nothing in the place of closed streams: an empty input, an output that nobody reads.

    Else the next file or pipe that is opened gets their number, here and in the workers: a pipe
    to one would be taken for its output, and both would wait for ever.
    """
    for number, name in enumerate(_NAMES):
        if getattr(sys, name) is not None:
            continue
        found = os.open(os.devnull, os.O_RDWR)
        if found != number and not _is_open(number):
            os.dup2(found, number)
        elif found == number:
            os.set_inheritable(number, True)
        setattr(sys, name, os.fdopen(found, "w" if number else "r", encoding="utf-8"))


def _is_open(number: int) -> bool:
    try:
        os.fstat(number)
    except OSError:
        return False
    return True
