"""What a worker does with one job, theme or file that jobs share: plain data in, plain data out.

It reads what it is told to read, and writes nothing.
"""

import os
from collections.abc import Callable, Iterable, Iterator, Sequence
from contextlib import suppress
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

from trimscribe.archive import file_name
from trimscribe.desk.wish import Done, Named, Wish
from trimscribe.doubt_messages import doubt_messages
from trimscribe.errors import (
    Fault,
    InputError,
    PluginError,
    ThemeError,
    TrimscribeError,
    any_error,
    suggest,
)
from trimscribe.evidence import evidence_of, evidence_of_finding
from trimscribe.exports.files import load_file, open_file
from trimscribe.exports.line_sets import checked_line_set
from trimscribe.exports.mapping.load import load_map
from trimscribe.marked_yaml import load
from trimscribe.model.document import Content
from trimscribe.model.history import ServiceSummary
from trimscribe.model.job import Job
from trimscribe.model.origins import ORIGINS
from trimscribe.model.plain import to_plain
from trimscribe.model.workshop import Setting
from trimscribe.pipeline import (
    check_language,
    check_look,
    check_rules,
    load_stages,
    outputs,
    prepare,
    silent_rule,
)
from trimscribe.registry import Registry, installed
from trimscribe.schemas.faults import check
from trimscribe.schemas.kinds import kind_by_keys
from trimscribe.schemas.shop import ShopFileSchema
from trimscribe.whereabouts import at
from trimscribe.world import World

if TYPE_CHECKING:  # it loads matplotlib: a faulty job is reported without waiting for it
    from trimscribe.theming import Checked

_OURS = "trimscribe"
_OF_REPORTS = ("importers", "analyses", "languages", "themes", "sections", "figures")
_THEME = "theme.yaml"


def get_ready() -> None:
    """Load what a report needs while nobody waits for it yet.

    All of ours: what loads later, when a worker may write nowhere any more, is compiled each time.
    """
    import trimscribe.theming
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
        near = suggest(wanted, names, listed=False)
        otherwise = "Without a name, all sentences are explained."
        return Done(unknown=near or otherwise)

    return _done(wish, work)


def checked_theme(theme: str) -> "Checked":
    """Look through a theme, and try it with the hardest job."""
    from trimscribe.theming import check_theme

    at(theme)
    return check_theme(theme, installed(), World.real())


def looks(job: str, theme: str, shop: str) -> tuple[Setting, ...]:
    """How the reports of a job look, or a theme, and who set each part."""
    from trimscribe.theming import settings

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


def checked(wish: Wish) -> Done:
    """All faults of a file of any kind. A job is analysed too, put into words, and given a look."""
    at(wish.job)
    kind = kind_of_file(Path(wish.job))
    if kind not in _CHECKS:
        return _done(wish, _given_a_look)
    try:
        return Done(tuple(_CHECKS[kind](wish.job)), kind=kind)
    except TrimscribeError as error:
        return Done(tuple(error.faults), exit_code=error.exit_code, kind=kind)


def _given_a_look(content: Content, registry: Registry) -> Done:
    check_look(content, registry)
    return Done()


def kind_of_file(path: Path) -> str:
    """The kind by what is written in the file; a job where nothing tells, so that faults show."""
    if os.path.isdir(path):
        return "theme" if os.path.isfile(path / _THEME) else "job"
    if path.name == _THEME:
        return "theme"
    try:
        return kind_by_keys(load(open_file(path), path.as_posix()).data)
    except InputError:
        return "job"


def _line_set(name: str) -> Sequence[Fault]:
    """Faults as in a job, and specified lengths that do not fit their neighbours."""
    # Numpy loads here: a faulty line set is reported without waiting for it.
    line_set, loaded, warnings = checked_line_set(Path(name))
    from trimscribe.analyse.doubts.specification import specified_doubts

    rows = {
        row: [float(mm) for mm in line_set.lengths[row] if mm is not None]
        for row in line_set.values["rows"]
    }
    confirmed = line_set.values.get("confirmed") or {}
    marks = {("specification", *path): mark for path, mark in loaded.marks.items()}
    doubts = [doubt for doubt in specified_doubts(rows) if doubt.name not in confirmed]
    return [*warnings, *doubt_messages(doubts, marks)]


def _map(name: str) -> Sequence[Fault]:
    path = Path(name)
    plan, faults = load_map(open_file(path), path.as_posix())
    if plan is None:
        raise InputError(faults)
    return faults


def _shop(name: str) -> Sequence[Fault]:
    loaded = load_file(Path(name))
    values, faults = check(ShopFileSchema(), loaded)
    if any_error(faults):
        raise InputError(tuple(faults))
    marks = {("workshop", *path): mark for path, mark in loaded.marks.items()}
    check_language(values.get("language") or "", installed(), marks)
    if rules := values.get("rules"):
        check_rules(rules, values.get("language") or "", installed(), marks)
    check_look(Path(name), installed())
    return ()


def _theme(name: str) -> Sequence[Fault]:
    path = Path(name)
    shown = (path if os.path.isdir(path) else path.parent).as_posix()
    # A folder is told from the name of an installed theme by its slash.
    faults = checked_theme(shown if "/" in shown else f"./{shown}").faults
    if any_error(faults):
        raise ThemeError(faults)
    return faults


_CHECKS: dict[str, Callable[[str], Sequence[Fault]]] = {
    "line set": _line_set,
    "import map": _map,
    "shop file": _shop,
    "theme": _theme,
}
