"""Seconds spent by name, one entry for each turn; what is compared is the median."""

import statistics
import time
from collections.abc import Iterator
from contextlib import contextmanager


class Clock:
    """Keeps what was measured."""

    def __init__(self) -> None:
        self.spent: dict[str, list[float]] = {}

    @contextmanager
    def measure(self, name: str) -> Iterator[None]:
        start = time.perf_counter()
        yield
        self.spent.setdefault(name, []).append(time.perf_counter() - start)

    def median(self, name: str) -> float:
        return statistics.median(self.spent[name])
