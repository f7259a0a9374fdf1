"""Trimscribe turns a paraglider service job into a plain-language report for the pilot.

    content = trimscribe.prepare("demo.yaml")     # content.reading.job, .findings, .statements
    finished = trimscribe.render(content)         # finished.data is the PDF, .pages, .warnings
    record = trimscribe.report("demo.yaml", "reports")  # both, and put on disk: record.path

They do what the commands `check`, `findings` and `report` do, with the plugins that are installed.
Whatever goes wrong is a `TrimscribeError`, whose `faults` say what, where and how to mend it. The
libraries behind them load when they are first needed.
"""

from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING

from trimscribe.errors import TrimscribeError

if TYPE_CHECKING:
    from trimscribe.model.content import Content
    from trimscribe.model.report import Record, Report
    from trimscribe.registry import Registry

__all__ = ["TrimscribeError", "prepare", "render", "report"]


def prepare(path: Path | str) -> "Content":
    """Read one job, analyse it and put it into words.

    Raises InputError with all faults of the job and its files; warnings are in `reading.warnings`.
    """
    from trimscribe import pipeline

    return pipeline.prepare(path, _installed())


def render(content: "Content", *, theme: str = "") -> "Report":
    """Make the PDF of one job; `theme` is a name or a folder, empty means the workshop's own.

    Raises ThemeError, TypesetError or PluginError.
    """
    from trimscribe import pipeline
    from trimscribe.world import World

    return pipeline.render(content, _installed(), World.real(), theme=theme)


def report(
    path: Path | str, folder: Path | str = ".", *, theme: str = "", force: bool = False
) -> "Record":
    """Make one job's report and put it into `folder`, never over a different one unless `force`.

    Raises the errors of `prepare` and `render`, and ArchiveError.
    """
    from trimscribe import pipeline
    from trimscribe.world import World

    return pipeline.report(path, Path(folder), _installed(), World.real(), theme=theme, force=force)


@cache
def _installed() -> "Registry":
    """The plugins of this Python environment, looked up once."""
    from trimscribe.registry import Registry

    return Registry.installed()
