"""A theme's own words: other headings, texts for its templates, and sections of a template alone.

Only headings and furniture can be worded otherwise. Verdicts, cautions, signs of direction and
whatever says that something was not assessed mean the same in every theme.
"""

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from trimscribe.compose.theme_files import ThemeFolder
from trimscribe.contracts import SectionView, View
from trimscribe.errors import Fault, ThemeError, suggest
from trimscribe.model.statements import Statements
from trimscribe.model.template_values import OwnValues

FREE_LABELS = (
    "attached_files",
    "before_you_fly",
    "brakes_title",
    "cautions",
    "checked_by",
    "checks_title",
    "cloth_title",
    "done",
    "end_of_report",
    "every_line",
    "finished",
    "for_pilot",
    "found",
    "from_the_workshop",
    "how_each_line_measured",
    "how_each_line_moved",
    "how_measured",
    "in_the_air",
    "inspection_title",
    "next_service",
    "notes",
    "page_of",
    "plan_view_caption",
    "record_title",
    "replaced",
    "risers_title",
    "scope",
    "service",
    "signed_by",
    "software",
    "strength_title",
    "terms",
    "the_visit",
    "the_wing",
    "what_we_changed",
)
_NAME = re.compile(r"\{([a-z_]+)\}")


def wrong_wording(chain: Sequence[ThemeFolder]) -> Iterator[Fault]:
    """Labels that nobody knows or that a theme may not change."""
    for folder in chain:
        for language, labels in folder.file.wording.items():
            for label in labels:
                if label not in FREE_LABELS:
                    yield Fault(
                        "wording-not-free",
                        f"`{label}` is not a heading that a theme may word otherwise.",
                        folder.file.marks.get(("wording", language, label)),
                        suggest(label, FREE_LABELS),
                    )


def reworded(statements: Statements, chain: Sequence[ThemeFolder]) -> Statements:
    """The statements with the theme's own headings; raises ThemeError when one does not fit."""
    labels = dict(statements.labels)
    faults = []
    for folder in reversed(chain):
        for label, text in folder.file.wording.get(statements.language, {}).items():
            wanted = set(_NAME.findall(statements.labels[label]))
            if set(_NAME.findall(text)) != wanted:
                names = " and ".join(f"{{{name}}}" for name in sorted(wanted)) or "nothing"
                faults.append(
                    Fault(
                        "wording-does-not-fit",
                        f"`{label}` must name {names} in braces, once each.",
                        folder.file.marks.get(("wording", statements.language, label)),
                    )
                )
            labels[label] = text
    if faults:
        raise ThemeError(faults)
    return replace(statements, labels=labels)


def phrases_of(
    chain: Sequence[ThemeFolder], language: str, about: Mapping[str, str]
) -> Mapping[str, str]:
    """The theme's own texts in a language, with the names in braces filled in from `about`.

    A text may be in one language alone only where the report is in that language: raises
    ThemeError for one that is missing, or that names what there is not.
    """
    phrases: dict[str, str] = {}
    faults = []
    for folder in reversed(chain):
        written = folder.file.phrases
        own = written.get(language, {})
        for other, texts in written.items():
            for key in texts.keys() - own.keys():
                faults.append(
                    Fault(
                        "phrase-not-translated",
                        f"The text `{key}` of the theme is missing in the language “{language}”.",
                        folder.file.marks.get(("phrases", other, key)),
                        f"Write it under `phrases: {language}` as well.",
                    )
                )
        for key, text in own.items():
            for name in sorted(set(_NAME.findall(text)) - about.keys()):
                faults.append(
                    Fault(
                        "phrase-names-nothing",
                        f"The text `{key}` names {{{name}}}, which a report does not have.",
                        folder.file.marks.get(("phrases", language, key)),
                        suggest(name, about),
                    )
                )
            phrases[key] = _NAME.sub(lambda match: about.get(match[1], ""), text)
    if faults:
        raise ThemeError(faults)
    return phrases


@dataclass(frozen=True)
class OwnSection:
    """Sets the theme's template of this name; it sees `about`, `labels` and `phrases`."""

    name: str
    contract: int = 2

    @property
    def template(self) -> str:
        """The file in the theme's folder `templates`."""
        return f"{self.name}.typ.j2"

    def view(self, view: View) -> SectionView:
        """What any workshop may want to say of the service in its own words."""
        values: OwnValues = {"about": dict(about(view)), "labels": dict(view.statements.labels)}
        return SectionView(values=values)


def about(view: View) -> Mapping[str, str]:
    """The names that a theme's texts can hold in braces; empty where the job does not say."""
    job = view.job
    return {
        "pilot": job.pilot.name if job.pilot else "",
        "maker": job.wing.maker,
        "model": job.wing.model,
        "size": job.wing.size,
        "serial_number": job.wing.serial_number,
        "service": job.service.number,
        "date": view.formats.date(job.service.done),
        "workshop": job.workshop.name,
    }
