"""Rates as `name: value` lines."""

import numpy as np

Line = tuple[str, str]


def line(name: str, values, digits: int = 1) -> Line:
    """Values side by side; None where a figure makes no sense."""
    reported = ["-" if v is None else f"{v:.{digits}f}" for v in values]
    return name, "/".join(reported)


def percent(hits) -> float:
    """Share of true ones."""
    return 100 * float(np.mean(hits))
