"""What those who write themes ask for: a start, what holds, and what is wrong before any job."""

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

from trimscribe.errors import Fault, ThemeError, TypesetError
from trimscribe.model.content import Content
from trimscribe.model.report import Report
from trimscribe.model.setting import Setting
from trimscribe.pipeline import in_language, prepare, understand
from trimscribe.read import read
from trimscribe.registry import Registry
from trimscribe.world import World

__all__ = ["Checked", "check_theme", "settings", "starter_files"]

_STRESS = Path(__file__).parent / "compose" / "stress.yaml"


@dataclass(frozen=True)
class Checked:
    """What a theme's check found; `trail` names the theme and its parents, `pages` by language."""

    trail: str
    faults: tuple[Fault, ...]
    pages: Mapping[str, int]


def settings(
    registry: Registry, *, job: str = "", theme: str = "", shop: str = ""
) -> tuple[Setting, ...]:
    """The look of a job's report, or of a theme alone, part by part with who set it.

    Raises InputError for the job, ThemeError for the theme.
    """
    from trimscribe.compose.settings import settings_of

    return settings_of(read(job, registry, shop) if job else None, theme, registry)


def starter_files(name: str) -> Mapping[str, str]:
    """The files of a new theme by path; `name` becomes its own."""
    from trimscribe.compose.starter import starter_files

    return starter_files(name)


def check_theme(theme: str, registry: Registry, world: World) -> Checked:
    """Look through a theme, then render the hardest job with it in every language.

    All that is wrong is in `faults`; nothing is raised for the theme's own mistakes.
    """
    from trimscribe.compose.lint import lint

    try:
        look, warnings = lint(theme, registry)
    except ThemeError as error:
        return Checked("", error.faults, {})
    faults, pages = list(warnings), {}
    stress = prepare(_STRESS, registry)
    for language in registry.names("languages"):
        try:
            pages[language] = _tried(
                _in(stress, language, registry), theme, registry, world, faults
            )
        except (ThemeError, TypesetError) as error:
            faults += error.faults
    return Checked(look.trail, tuple(dict.fromkeys(faults)), pages)


def _in(stress: Content, language: str, registry: Registry) -> Content:
    """The stress job in another language."""
    if stress.statements.language == language:
        return stress
    return understand(in_language(stress.reading, language), registry)


def _tried(
    content: Content, theme: str, registry: Registry, world: World, faults: list[Fault]
) -> int:
    """Make the report and look at every page, which a report of every day does only in part."""
    from trimscribe.compose import compose
    from trimscribe.typeset.layout import misplaced
    from trimscribe.typeset.pdf import unseen_faults
    from trimscribe.typeset.text import read_back

    document = compose(content, registry, world, theme)
    report: Report = registry.get("outputs", "pdf").make(document)
    registry.get("outputs", "html").make(document)
    placed = misplaced(report.data)
    codes = {fault.code for fault in placed}
    faults += [*placed, *(fault for fault in report.warnings if fault.code not in codes)]
    faults += unseen_faults(read_back(report.data, document.required).unseen)
    return report.pages
