"""One language: its phrases, the words for its filters, its labels; all checked when loaded."""

import re
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from trimscribe.contracts import Language
from trimscribe.errors import Fault, Mark, PhraseError
from trimscribe.formats import LocaleFormats, formats_for
from trimscribe.marked_yaml import Place as At
from trimscribe.model.statements import Place, Statement
from trimscribe.narrate.expressions import FAILURES, environment, is_sound
from trimscribe.narrate.facts import Fact, Facts
from trimscribe.narrate.labels import load_labels
from trimscribe.narrate.rules import Rule
from trimscribe.narrate.words import Words, check_words
from trimscribe.narrate.written import Faults, Written
from trimscribe.templating import Environment, Template

__all__ = ["Catalogue", "Phrase", "load_catalogue"]

_CAUTION_PARTS = ("title", "text")


@dataclass(frozen=True)
class Phrase:
    """What one rule says, and the title if it is a caution."""

    text: Template
    title: Template | None
    mark: Mark


@dataclass(frozen=True)
class Catalogue:
    """A language that can say every rule."""

    name: str
    formats: LocaleFormats
    phrases: Mapping[str, Phrase]
    labels: Mapping[str, str]

    def say(self, rule: Rule, facts: Facts) -> Statement:
        """The sentence of a rule; PhraseError when its phrase fails for these facts."""
        phrase = self.phrases[rule.name]
        try:
            text = _one_line(phrase.text.render(facts))
            title = _one_line(phrase.title.render(facts)) if phrase.title else ""
        except FAILURES as error:
            message = f"The phrase `{rule.name}` fails: {type(error).__name__}: {error}."
            raise PhraseError(Fault("phrase-fails", message, phrase.mark)) from error
        behind = {name: _plain(facts[name]) for name in rule.numbers if _is_told(facts[name])}
        return Statement(rule.name, rule.place, rule.weight, text, title, behind, rule.topic)


def load_catalogue(language: Language, rules: tuple[Rule, ...]) -> Catalogue:
    """Phrases and labels of a language; PhraseError with every fault of both files."""
    faults = Faults()
    formats = _formats(language, faults)
    written = Written.open(language.folder / "phrases.yaml", faults)
    written.check_names((), written.mapping(), ("words", "phrases"))
    words = check_words(written)
    env = environment(Words(formats, words).filters())
    labels = load_labels(language.folder / "labels.yaml", faults)
    phrases = _phrases(rules, written, env)
    faults.stop()
    return Catalogue(language.name, formats, phrases, labels)


def _formats(language: Language, faults: Faults) -> LocaleFormats:
    try:
        return formats_for(language.locale)
    except ValueError:
        message = f"The language `{language.name}` names the unknown locale `{language.locale}`."
        faults.add("unknown-locale", message, None, "Write a locale such as en_GB.")
        return formats_for("en_GB")


def _phrases(rules: tuple[Rule, ...], written: Written, env: Environment) -> dict[str, Phrase]:
    entries = written.mapping("phrases")
    written.check_names(("phrases",), entries, [rule.name for rule in rules])
    phrases = {}
    for rule in rules:
        if rule.name not in entries:
            continue
        at: At = ("phrases", rule.name)
        if rule.place is Place.CAUTION:
            parts = written.mapping(*at)
            written.check_names(at, parts, _CAUTION_PARTS)
            text = _template(parts.get("text", ""), env, written, (*at, "text"))
            title = _template(parts.get("title", ""), env, written, (*at, "title"))
        else:
            text, title = _template(entries[rule.name], env, written, at), None
        if text:
            phrases[rule.name] = Phrase(text, title, written.loaded.mark(at))
    return phrases


def _template(source: Any, env: Environment, written: Written, at: At) -> Template | None:
    if not isinstance(source, str):
        written.fault("not-text", "A sentence belongs here.", at, "Put it in quotes if need be.")
        return None
    return env.from_string(source) if is_sound(env, source, written, at) else None


def _one_line(text: str) -> str:
    # Not str.split: the spaces that keep a number with its unit must stay.
    return re.sub("[ \n]+", " ", text).strip()


def _is_told(fact: Fact) -> bool:
    return fact is not None and fact not in ("", ())


def _plain(fact: Fact) -> float | str:
    """A fact as it travels with its sentence: a number or text."""
    if isinstance(fact, tuple):
        return "; ".join(" ".join(x).strip() if isinstance(x, tuple) else x for x in fact)
    return "" if fact is None else fact
