"""The whole way from a job file to a report on disk, in order. Start reading here.

    read ▶ analyse ▶ narrate ▶ compose ▶ typeset ▶ archive

Each stage takes what the one before returned and knows nothing of the others.
"""

from collections.abc import Callable, Iterable, Sequence
from contextlib import AbstractContextManager, nullcontext
from dataclasses import replace
from pathlib import Path

from trimscribe.archive import Cache, file_name, put
from trimscribe.model.content import Content
from trimscribe.model.history import ServiceSummary
from trimscribe.model.job import Job, Reading
from trimscribe.model.report import Record, Report
from trimscribe.please_check import please_check
from trimscribe.read import read, read_redacted
from trimscribe.registry import Registry
from trimscribe.world import World

__all__ = [
    "Around",
    "LookBack",
    "in_language",
    "outputs",
    "prepare",
    "render",
    "report",
    "understand",
]


LookBack = Callable[[Job], Iterable[ServiceSummary]]
Around = Callable[[str], AbstractContextManager[object]]  # a stage by name, to be timed


def prepare(
    path: Path | str,
    registry: Registry,
    shop: Path | str = "",
    *,
    look_back: LookBack | None = None,
    redact: bool = False,
    language: str = "",
    root: Path | str = "",
    around: Around = nullcontext,
) -> Content:
    """Read, analyse and narrate one job; InputError carries all its faults at once.

    `shop` is a shop file that stands in for the job's; `root` the folder that all that the job
    names must lie below, as `trimscribe.read.read` has it.
    `look_back` finds the earlier services of the job's wing, such as those on a shelf. `redact`
    leaves out all about the pilot. `language` stands in for the workshop's. Each stage runs within
    `around` its name.
    """
    with around("read"):
        reading = (read_redacted if redact else read)(path, registry, shop, root)
    reading = in_language(reading, language) if language else reading
    return understand(reading, registry, look_back=look_back, around=around)


def in_language(reading: Reading, language: str) -> Reading:
    """The same job, to be told in another language."""
    workshop = replace(reading.job.workshop, language=language)
    return replace(reading, job=replace(reading.job, workshop=workshop))


def understand(
    reading: Reading,
    registry: Registry,
    *,
    look_back: LookBack | None = None,
    around: Around = nullcontext,
) -> Content:
    """Analyse and narrate a job that was read."""
    # Numpy loads here: who has written a faulty job is told so without waiting for it.
    from trimscribe.analyse import analyse
    from trimscribe.analyse.history import history_of
    from trimscribe.analyse.summary import summary_of
    from trimscribe.narrate import narrate

    job = reading.job
    with around("analyse"):
        findings = analyse(job, registry)
    with around("narrate"):
        statements = narrate(findings, job, registry)
    doubts = please_check(findings.doubts, reading.marks)
    summary = summary_of(job, findings)
    history = history_of(summary, look_back(job)) if look_back else None
    warnings = (*reading.warnings, *doubts)
    return Content(reading, findings, statements, warnings, summary, history)


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


def outputs(
    content: Content, registry: Registry, world: World, names: Sequence[str], *, theme: str = ""
) -> tuple[Report, ...]:
    """Compose one report and make each of the outputs that are named, all of them or none.

    Raises ThemeError, TypesetError or PluginError.
    """
    from trimscribe.compose import compose

    makers = [registry.get("outputs", name) for name in names]
    document = compose(content, registry, world, theme)
    return tuple(maker.make(document) for maker in makers)


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
