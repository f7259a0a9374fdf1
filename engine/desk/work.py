"""What a worker does with one job or theme: each function takes and returns plain data.

They read what they are told to read, and write nothing.
"""

from collections.abc import Callable, Iterable, Iterator
from contextlib import suppress
from dataclasses import replace
from difflib import get_close_matches
from pathlib import Path

from trimscribe.archive import file_name
from trimscribe.desk.wish import Done, Named, Wish
from trimscribe.errors import Fault, PluginError, TrimscribeError
from trimscribe.evidence import evidence_of, evidence_of_finding
from trimscribe.model.content import Content
from trimscribe.model.history import ServiceSummary
from trimscribe.model.job import Job
from trimscribe.model.origins import ORIGINS
from trimscribe.model.plain import to_plain
from trimscribe.model.setting import Setting
from trimscribe.pipeline import load_stages, outputs, prepare, silent_rule
from trimscribe.registry import Registry, installed
from trimscribe.theming import Checked, check_theme, settings
from trimscribe.whereabouts import at
from trimscribe.world import World

_OURS = "trimscribe"
_OF_REPORTS = ("importers", "analyses", "languages", "themes", "sections", "figures")


def get_ready() -> None:
    """Load what a report needs while nobody waits for it yet.

    All of ours: what loads later, when a worker may write nowhere any more, is compiled each time.
    """
    import trimscribe.typeset.pdf  # noqa: F401 (loading is all)

    load_stages()
    registry = installed()
    for kind in _OF_REPORTS:
        for name in registry.names(kind):
            if (registry.package(kind, name) or ("",))[0] == _OURS:
                with suppress(PluginError):  # told by whoever needs it
                    registry.get(kind, name)
    World.real()


def reported(wish: Wish) -> Done:
    """Make all outputs of one job."""

    def work(content: Content, registry: Registry) -> Done:
        made = outputs(content, registry, World.real(), wish.outputs, theme=wish.theme)
        warnings = dict.fromkeys(fault for report in made for fault in report.warnings)
        files = tuple(
            Named(output, file_name(content.reading.job, report.suffix), report)
            for output, report in zip(wish.outputs, made, strict=True)
        )
        return Done((*warnings, *_later(wish, content)), files=files)

    return _done(wish, work)


def checked(wish: Wish) -> Done:
    """Read a job, analyse it and put it into words, so that nothing is a surprise later."""
    return _done(wish, lambda content, registry: Done())


def findings(wish: Wish) -> Done:
    """All numbers behind a report, as data."""
    return _done(wish, lambda content, registry: Done(data=to_plain(content.findings)))


def explained(wish: Wish, wanted: str) -> Done:
    """What is behind the sentence or finding of that name, or behind all sentences."""

    def work(content: Content, registry: Registry) -> Done:
        said = (*content.statements.sentences, *content.statements.cautions)
        found = [evidence_of(one, content) for one in said if wanted in ("", one.rule)]
        finding = evidence_of_finding(wanted, content) if wanted else None
        found += [finding] if finding else []
        if found or not wanted:
            return Done(evidence=tuple(found))
        if silent := silent_rule(wanted, content, registry):
            place, asks = silent
            return Done(unknown=f"Its rule, {place}, does not speak here. It asks: {asks}")
        names = [*(statement.rule for statement in said), *(origin.part for origin in ORIGINS)]
        near = get_close_matches(wanted, names, n=1)
        otherwise = "Without a name, all sentences are explained."
        return Done(unknown=f"Did you mean `{near[0]}`?" if near else otherwise)

    return _done(wish, work)


def checked_theme(theme: str) -> Checked:
    """Look through a theme, and try it with the hardest job."""
    at(theme)
    return check_theme(theme, installed(), World.real())


def looks(job: str, theme: str, shop: str) -> tuple[Setting, ...]:
    """How the reports of a job look, or a theme, and who set each part."""
    at(job or theme)
    return settings(installed(), job=job, theme=theme, shop=shop)


def _done(wish: Wish, work: Callable[[Content, Registry], Done]) -> Done:
    """What was done with the job as it was prepared; whatever stops it is among the faults.

    So warnings and plugins that cannot be used are told as well, which an error would not carry.
    """
    at(wish.job)
    registry = installed().anew()
    warnings: tuple[Fault, ...] = ()
    try:
        content = prepare(
            wish.job,
            registry,
            wish.shop,
            find_earlier_services=lambda job: _earlier(wish, job),
            redact=wish.redact,
            root=wish.root,
        )
        warnings = content.warnings
        done = work(content, registry)
    except TrimscribeError as error:
        done = Done(error.faults, exit_code=error.exit_code)
    return replace(done, faults=(*warnings, *done.faults), passed_over=registry.faults())


def _earlier(wish: Wish, job: Job) -> Iterable[ServiceSummary]:
    if not wish.earlier:
        return ()
    from trimscribe.archive.look import earlier_services

    return earlier_services(wish.earlier, job)


def _later(wish: Wish, content: Content) -> Iterator[Fault]:
    if not wish.shelf or wish.redact:
        return
    from trimscribe.archive.look import later_service, other_line_set

    job, history = content.reading.job, content.history
    yield from later_service(wish.earlier, Path(wish.shelf), job)
    yield from other_line_set(history.services[:-1] if history else (), job)
