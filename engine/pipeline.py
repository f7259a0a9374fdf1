"""The whole way from a job file to a report on disk, in order. Start reading here.

    read ▶ analyse ▶ assess ▶ narrate ▶ compose ▶ typeset ▶ archive

Each stage takes what the one before returned and knows nothing of the others. Beside them, a plan
proposes a retrim of a wing that was measured, and asks the analysis about it.
"""

from collections.abc import Callable, Iterable, Mapping, Sequence
from contextlib import AbstractContextManager, nullcontext
from dataclasses import replace
from pathlib import Path
from typing import Any

from trimscribe.archive import Cache, file_name, put
from trimscribe.doubt_messages import doubt_messages, nearest_mark, not_carried_over, objection
from trimscribe.errors import InputError, Mark, PluginError, first_of
from trimscribe.model.document import Content, Document
from trimscribe.model.history import ServiceSummary
from trimscribe.model.job import Job, Reading
from trimscribe.model.plan import Plan
from trimscribe.model.report import Record, Report
from trimscribe.model.workshop import Workshop
from trimscribe.read import (
    named_by_look,
    named_by_rules,
    own_rules,
    read,
    read_redacted,
    workshop_alone,
)
from trimscribe.registry import Registry
from trimscribe.world import World

FindEarlierServices = Callable[[Job], Iterable[ServiceSummary]]

StageHook = Callable[[str], AbstractContextManager[object]]  # a stage by name, to be timed


def prepare(
    path: Path | str,
    registry: Registry,
    shop: Path | str = "",
    *,
    find_earlier_services: FindEarlierServices | None = None,
    redact: bool = False,
    language: str = "",
    root: Path | str = "",
    before_work: bool = False,
    stage_hook: StageHook = nullcontext,
) -> Content:
    """Read, analyse, assess and narrate one job; InputError carries all its faults at once.

    `shop` is a shop file that stands in for the job's; `root` the folder that all that the job
    names must lie below, as `trimscribe.read.read` has it.
    `find_earlier_services` finds those of the job's wing, such as on a shelf. `redact` leaves out
    all about the pilot. `language` stands in for the workshop's. `before_work` takes a job whose
    service has no day when it was done, and asks for no reason of its release. Each stage runs
    within `stage_hook` of its name.
    """
    with stage_hook("read"):
        if redact:
            reading = read_redacted(path, registry, shop, root)
        else:
            reading = read(path, registry, shop, root, before_work=before_work)
    reading = in_language(reading, language) if language else reading
    return understand(
        reading,
        registry,
        find_earlier_services=find_earlier_services,
        before_work=before_work,
        stage_hook=stage_hook,
    )


def in_language(reading: Reading, language: str) -> Reading:
    """The same job, to be reported in another language."""
    workshop = replace(reading.job.workshop, language=language)
    return replace(reading, job=replace(reading.job, workshop=workshop))


def understand(
    reading: Reading,
    registry: Registry,
    *,
    find_earlier_services: FindEarlierServices | None = None,
    before_work: bool = False,
    stage_hook: StageHook = nullcontext,
) -> Content:
    """Analyse, assess and narrate a job that was read.

    InputError when the workshop releases a wing against what was found and gives no reason; before
    the work a release is not looked at.
    """
    # Numpy loads here: who has written a faulty job is told so without waiting for it.
    from trimscribe.analyse import analyse
    from trimscribe.analyse.history import history_of, summary_of
    from trimscribe.assess import AddedFacts, assess
    from trimscribe.narrate import narrate

    job = reading.job
    check_language(job.workshop.language, registry, reading.marks)
    with stage_hook("analyse"):
        findings = analyse(job, registry)
    with stage_hook("assess"):
        offered = registry.package
        added = AddedFacts.of(
            registry.all("analyses"), lambda name: (offered("analyses", name) or ("",))[0]
        )
        assessment = assess(findings, job, added)
    doubts = (
        *doubt_messages(findings.doubts, reading.marks),
        *not_carried_over(findings.after.carry_over if findings.after else None, reading.marks),
    )
    warnings = first_of((*reading.warnings, *doubts))
    if not before_work and (fault := objection(assessment, reading.marks)):
        raise InputError([fault, *warnings])  # they say where what speaks against it is written
    with stage_hook("narrate"):
        statements = narrate(assessment, job, registry, reading.marks)
    if faults := [*named_by_rules(reading, statements)]:
        raise InputError(faults)
    summary = summary_of(job, findings)
    history = history_of(summary, find_earlier_services(job)) if find_earlier_services else None
    return Content(reading, findings, assessment, statements, warnings, summary, history)


def silent_rule(name: str, content: Content, registry: Registry) -> tuple[str, str] | None:
    """Place and condition of the rule of that name, which has said nothing; None for no rule."""
    from trimscribe.narrate import rule_of

    rule = rule_of(name, content, registry)
    return (str(replace(rule.mark, column=0)), rule.when.text) if rule else None


def check_language(
    language: str, registry: Registry, marks: Mapping[tuple[str | int, ...], Mark]
) -> None:
    """Raise PluginError where none of that name is installed; `marks` are those of job and shop."""
    fault = registry.unknown("languages", language) if language else None
    if fault:
        at = ("report", "language") if ("report", "language") in marks else ("workshop", "language")
        raise PluginError(replace(fault, mark=nearest_mark(at, marks)))


def check_rules(
    written: Mapping[str, Any],
    language: str,
    registry: Registry,
    marks: Mapping[tuple[str | int, ...], Mark],
) -> None:
    """Raise PhraseError with every fault of a workshop's own rules, as its schema left them right.

    `marks` are those of the shop file below `workshop`.
    """
    from trimscribe.assess import DECLARED, AddedFacts
    from trimscribe.narrate import check_own_rules

    added = AddedFacts.of(registry.all("analyses")).by_name
    workshop = Workshop("", language=language, rules=tuple(own_rules(written)))
    check_own_rules(workshop, frozenset((*DECLARED, *added)), registry, marks)


def check_look(written: Content | Path, registry: Registry) -> None:
    """Raise InputError or ThemeError where no report can look as a job or a shop file says.

    The file is right by its schema; its pictures and fonts, theme and colours are looked at.
    """
    from trimscribe.compose.themes import resolve

    if isinstance(written, Path):
        workshop, marks = workshop_alone(written)
    else:
        workshop, marks = written.reading.job.workshop, written.reading.marks
    resolve("", workshop, registry, marks)


def load_stages() -> None:
    """Load what `understand` and `outputs` load when they are called."""
    import trimscribe.analyse.history
    import trimscribe.assess
    import trimscribe.compose
    import trimscribe.narrate  # noqa: F401 (loading is all)


def propose(content: Content, registry: Registry) -> Plan:
    """Propose a retrim of the wing as it was measured before; PlanError says why there is none."""
    # SciPy's solver loads here.
    from trimscribe.analyse import analyse
    from trimscribe.plan import propose

    return propose(content.reading.job, lambda job: analyse(job, registry))


def bench_sheet(
    content: Content,
    plan: Plan,
    registry: Registry,
    world: World,
    *,
    number: int = 0,
    theme: str = "",
) -> Report:
    """Make the sheet of one proposal, counted from 0, to carry to where the lines are tied.

    Raises ThemeError or TypesetError.
    """
    from trimscribe.compose import compose_sheet

    document = compose_sheet(content, plan, number, registry, world, theme)
    finished: Report = registry.get("outputs", "pdf").make(document)
    return finished


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
    document = _composed(content, registry, world, theme)
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
    makers = [registry.get("outputs", name) for name in names]
    document = _composed(content, registry, world, theme)
    return tuple(maker.make(document) for maker in makers)


def _composed(content: Content, registry: Registry, world: World, theme: str) -> Document:
    """Compose one report; InputError where its look is called by the pilot that was left out."""
    # The heavy libraries load here, so that `check` and `--help` stay quick.
    from trimscribe.compose import compose

    document = compose(content, registry, world, theme)
    if content.reading.left_out:
        themes = registry.all("themes")
        shipped = {path.name for one in themes for path in one.folder.rglob("*")}
        shipped |= {name.partition(".")[0] for name in shipped} | {one.name for one in themes}
        if faults := [*named_by_look(content.reading, document.attachments, shipped)]:
            raise InputError(faults)
    return document


def report(
    path: Path | str,
    folder: Path,
    registry: Registry,
    world: World,
    *,
    shop: Path | str = "",
    theme: str = "",
    language: str = "",
    names: Sequence[str] = ("pdf",),
    force: bool = False,
) -> tuple[Record, ...]:
    """Make the outputs that are named of one job, and put them into `folder` once all are made.

    A different file that is there already is never replaced unless `force`.
    """
    content = prepare(path, registry, shop, language=language)
    made = outputs(content, registry, world, names, theme=theme)
    job = content.reading.job
    return tuple(put(one, folder / file_name(job, one.suffix), force=force) for one in made)
