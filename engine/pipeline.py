"""The whole way from a job file to a report on disk, in order. Start reading here.

    read ▶ analyse ▶ narrate ▶ compose ▶ typeset ▶ archive

Each stage takes what the one before returned and knows nothing of the others.
"""

from pathlib import Path

from trimscribe.analyse import analyse
from trimscribe.archive import Cache, file_name, put
from trimscribe.model.content import Content
from trimscribe.model.job import Reading
from trimscribe.model.report import Record, Report
from trimscribe.narrate import narrate
from trimscribe.please_check import please_check
from trimscribe.read import read
from trimscribe.registry import Registry
from trimscribe.world import World

__all__ = ["prepare", "render", "report", "understand"]


def prepare(path: Path | str, registry: Registry, shop: Path | str = "") -> Content:
    """Read, analyse and narrate one job; InputError carries all its faults at once.

    `shop` is a shop file that stands in for the job's.
    """
    return understand(read(path, registry, shop), registry)


def understand(reading: Reading, registry: Registry) -> Content:
    """Analyse and narrate a job that was read."""
    findings = analyse(reading.job, registry)
    statements = narrate(findings, reading.job, registry)
    doubts = please_check(findings.doubts, reading.marks)
    return Content(reading, findings, statements, (*reading.warnings, *doubts))


def render(
    content: Content,
    registry: Registry,
    world: World,
    *,
    theme: str = "",
    cache: Cache | None = None,
) -> Report:
    """Compose and typeset one report; raises ThemeError or TypesetError.

    A report that was made of the same before is taken from `cache`.
    """
    # The heavy libraries load here, so that `check` and `--help` stay quick.
    from trimscribe.compose import compose

    document = compose(content, registry, world, theme)
    key = cache.key(document) if cache else ""
    if cache and (known := cache.get(key)):
        return known
    finished: Report = registry.get("outputs", "pdf").make(document)
    if cache:
        cache.put(key, finished)
    return finished


def report(
    path: Path | str,
    folder: Path,
    registry: Registry,
    world: World,
    *,
    theme: str = "",
    force: bool = False,
) -> Record:
    """Make one job's report and put it into `folder`, never replacing another unless `force`."""
    content = prepare(path, registry)
    finished = render(content, registry, world, theme=theme)
    return put(finished, folder / file_name(content.reading.job, finished.suffix), force=force)
