"""Paths without links."""

import os
from pathlib import Path


def real_path(path: Path) -> Path:
    """A path without links, as far as it can be followed.

    Links that lead in a ring stay as they are: whoever opens them is told. `Path.resolve` raises
    for them before Python 3.13.
    """
    return Path(os.path.realpath(path))
