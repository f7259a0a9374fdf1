"""Narrate: an assessment to plain sentences, by rules and phrases.

facts ─▶ rules ─▶ catalogue ─▶ statements
what may be said, in a flat list of names: the assessment's
         which sentence is said, where and when (rules.yaml, no language)
                  how a language says it (languages/…/phrases.yaml, labels.yaml)
"""

from __future__ import annotations

from collections.abc import Mapping
from functools import lru_cache
from pathlib import Path
from types import MappingProxyType

from trimscribe.errors import Mark
from trimscribe.marked_yaml import ValuePath
from trimscribe.model.assessment import Assessment
from trimscribe.model.document import Content
from trimscribe.model.job import Job
from trimscribe.model.statements import Place, Statement, Statements, Weight, fill
from trimscribe.model.workshop import Workshop, Writing
from trimscribe.narrate.catalogue import Catalogue, load_catalogue
from trimscribe.narrate.filters import ended
from trimscribe.narrate.own_rules import OwnRules
from trimscribe.narrate.rules import RULES, Rule, choose, load_rules
from trimscribe.narrate.verdict_summary import verdict_summary
from trimscribe.narrate.written import FileStamps, written_files
from trimscribe.registry import Registry

NO_MARKS: Mapping[ValuePath, Mark] = MappingProxyType({})
_ENGLISH = "en"


def narrate(
    assessment: Assessment, job: Job, registry: Registry, marks: Mapping[ValuePath, Mark] = NO_MARKS
) -> Statements:
    """Say what was found, done, and is to be expected, in the workshop's language.

    `marks` say where each value of the job is, for faults of the workshop's own rules. Raises
    PhraseError with every fault of the rules or of the language, PluginError when the language is
    unknown.
    """
    rules, catalogue = _spoken(job.workshop, frozenset(assessment.facts), registry)
    said = [catalogue.say(rule, assessment) for rule in choose(rules, assessment.facts)]
    if job.workshop.rules:
        said += _own_rules(job.workshop, rules, catalogue, marks).say(assessment)
    return Statements(
        language=catalogue.name,
        sentences=tuple(s for s in said if s.place is not Place.CAUTION),
        cautions=(
            *_replaced(job, catalogue),
            *(s for s in said if s.place is Place.CAUTION),
            *_own_cautions(job, catalogue),
        ),
        verdicts=verdict_summary(assessment.facts, catalogue.labels, catalogue.formats),
        labels=catalogue.labels,
    )


def check_own_rules(
    workshop: Workshop, names: frozenset[str], registry: Registry, marks: Mapping[ValuePath, Mark]
) -> None:
    """Raise what `narrate` would for the workshop's rules; `names` are those of all facts."""
    rules, catalogue = _spoken(workshop, names, registry)
    _own_rules(workshop, rules, catalogue, marks)


def rule_of(name: str, content: Content, registry: Registry) -> Rule | None:
    """The rule of that name, ours or the workshop's, whether it spoke or not."""
    job = content.reading.job
    rules, catalogue = _spoken(job.workshop, frozenset(content.assessment.facts), registry)
    own = _own_rules(job.workshop, rules, catalogue, content.reading.marks).rules
    return next((rule for rule in (*rules, *own) if rule.name == name), None)


def _own_rules(
    workshop: Workshop,
    rules: tuple[Rule, ...],
    catalogue: Catalogue,
    marks: Mapping[ValuePath, Mark],
) -> OwnRules:
    ours = frozenset(rule.name for rule in rules)
    return OwnRules.understood(workshop.rules, ours, catalogue, marks)


def _spoken(
    workshop: Workshop, names: frozenset[str], registry: Registry
) -> tuple[tuple[Rule, ...], Catalogue]:
    """The rules, and the workshop's language that can say them."""
    language = registry.get("languages", workshop.language or _ENGLISH)
    rules = _rules(written_files(RULES), names)
    files = written_files(language.folder)
    catalogue = _catalogue(
        language.name, language.locale, language.folder, workshop.writing, rules, names, files
    )
    return rules, catalogue


@lru_cache(maxsize=2)
def _rules(_: FileStamps, names: frozenset[str]) -> tuple[Rule, ...]:
    """The rules, loaded again only when their file has changed."""
    return load_rules(names)


@lru_cache(maxsize=8)
def _catalogue(
    name: str,
    locale: str,
    folder: Path,
    writing: Writing,
    rules: tuple[Rule, ...],
    names: frozenset[str],
    _: FileStamps,
) -> Catalogue:
    """One language, loaded again only when one of its files has changed."""
    return load_catalogue(name, locale, folder, rules, names, writing)


def _replaced(job: Job, catalogue: Catalogue) -> tuple[Statement, ...]:
    """That this report replaces another is with the cautions, which no theme leaves out."""
    replaces = job.service.replaces
    if replaces is None:
        return ()
    reported = {
        "number": replaces.report,
        "changed": ended(replaces.change),
        "reason": ended(replaces.reason),
    }
    text = fill(catalogue.labels["replaces_text"], reported)
    title = catalogue.labels["replaces_title"]
    return (Statement("replaces", Place.CAUTION, Weight.WARNING, text, title, topic="replaces"),)


def _own_cautions(job: Job, catalogue: Catalogue) -> tuple[Statement, ...]:
    """What the workshop adds in its own words."""
    title = catalogue.labels["from_the_workshop"]
    return tuple(
        Statement("own", Place.CAUTION, Weight.PLAIN, text, title, topic=f"own_{number}")
        for number, text in enumerate(job.workshop.cautions, 1)
    )
