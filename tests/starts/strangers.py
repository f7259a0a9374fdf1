"""Plugins of others that are installed here have no part in what our tests compare."""

import sysconfig
from importlib.metadata import EntryPoint, EntryPoints, entry_points
from pathlib import Path

from trimscribe import registry
from trimscribe.contracts import KINDS

_INSTALLED = {Path(sysconfig.get_path(name)) for name in ("purelib", "platlib")}


def hide() -> None:
    """Let this process find our own plugins, and those that a test has in a folder of its own."""
    registry.entry_points = lambda: EntryPoints(  # type: ignore[attr-defined]
        entry
        for kind in KINDS
        for entry in entry_points(group=f"trimscribe.{kind}")
        if not _stranger(entry)
    )


def _stranger(entry: EntryPoint) -> bool:
    package = entry.dist
    return (
        package is not None
        and package.name != "trimscribe"
        and Path(str(package.locate_file(""))) in _INSTALLED
    )
