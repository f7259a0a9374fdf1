"""What an import comes to, as data and before anything is written: what a worker does of it."""

import functools
from dataclasses import dataclass
from pathlib import Path

from trimscribe.imports.exports import Export, read_export
from trimscribe.imports.lay import Laid
from trimscribe.imports.line_sets import find_line_set
from trimscribe.imports.propose import Proposal, propose
from trimscribe.imports.skeleton import new_job
from trimscribe.imports.target import lay_new, open_target
from trimscribe.registry import Registry
from trimscribe.whereabouts import at

__all__ = ["NewJob", "Wanted", "WorkedOut", "new_text", "proposed", "work_out"]


@dataclass(frozen=True)
class Wanted:
    """An export by its path, its map, and where its values are to go."""

    path: Path
    map_path: Path | None
    into: Path | None
    new: Path | None
    measuring: str
    wing: str
    lines: Path
    shop: Path | None
    force: bool


@dataclass(frozen=True)
class WorkedOut:
    """Values and faults of an export; the text of the file that they are laid into, and as it was.

    `laid` is None where there is no such file, or where a new job lacks its line set.
    """

    export: Export
    laid: Laid | None
    text_before: str | None


@dataclass(frozen=True)
class NewJob:
    """The text of a new job, how many points it has, and what its wing is called."""

    text: str
    points: int
    called: str


def work_out(wanted: Wanted) -> WorkedOut:
    """Read an export and lay its values; raises InputError."""
    at(wanted.path.as_posix())
    line_set = find_line_set(wanted.wing, wanted.lines) if wanted.wing else None
    target = open_target(wanted.into) if wanted.into else None
    if target and not line_set:
        line_set = target.line_set()
    export = read_export(_registry(), wanted.path, wanted.map_path, line_set, wanted.measuring)
    laid = target.lay(export, line_set, force=wanted.force) if target else None
    if wanted.new:
        laid = lay_new(wanted.new, wanted.path, export, line_set, wanted.shop)
    return WorkedOut(export, laid, target.text if target else None)


def proposed(path: Path, wing: str, lines: Path) -> Proposal:
    """A map as it is guessed from an export; raises InputError."""
    at(path.as_posix())
    return propose(_registry(), path, find_line_set(wing, lines) if wing else None)


def new_text(job: Path, wing: str, lines: Path, shop: Path | None) -> NewJob:
    """A new job with every point of a line set in place; raises InputError."""
    line_set = find_line_set(wing, lines)
    points = 2 * sum(map(len, line_set.lengths.values()))
    return NewJob(new_job(job, line_set, shop), points, line_set.called)


@functools.cache
def _registry() -> Registry:
    return Registry.installed()
