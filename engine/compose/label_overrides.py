"""Words of a theme's own: other headings, and texts for its own templates.

Only headings and furniture can be worded otherwise. Verdicts, cautions, signs of direction and
whatever says that something was not assessed mean the same in every theme.
"""

import re
from collections.abc import Iterator, Mapping
from dataclasses import replace

from trimscribe.compose.look import Look
from trimscribe.errors import Fault, ThemeError
from trimscribe.hints import suggest
from trimscribe.model.statements import Statements

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


def wrong_wording(look: Look) -> Iterator[Fault]:
    """Labels that nobody knows or that a theme may not change."""
    for folder in look.chain:
        for language, labels in folder.file.wording.items():
            for label in labels:
                if label not in FREE_LABELS:
                    yield Fault(
                        "wording-not-free",
                        f"`{label}` is not a heading that a theme may word otherwise.",
                        folder.file.marks.get(("wording", language, label)),
                        suggest(label, FREE_LABELS),
                    )


def reworded(statements: Statements, look: Look) -> Statements:
    """The statements with the theme's own headings; raises ThemeError when one does not fit."""
    labels = dict(statements.labels)
    faults = []
    for folder in reversed(look.chain):
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


def phrases_of(look: Look, language: str, about: Mapping[str, str]) -> Mapping[str, str]:
    """The theme's own texts in a language, with the names in braces filled in from `about`.

    A text may be in one language alone only where the report is in that language: raises
    ThemeError for one that is missing, or that names what there is not.
    """
    phrases: dict[str, str] = {}
    faults = []
    for folder in reversed(look.chain):
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
