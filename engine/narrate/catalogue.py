"""One language: its phrases, the words for its filters, its labels; all checked when loaded."""

import re
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from functools import cache, lru_cache
from pathlib import Path
from typing import Any

from trimscribe.errors import Mark, PhraseError
from trimscribe.formats import LocaleFormats, formats_for
from trimscribe.marked_yaml import ValuePath as At
from trimscribe.model.assessment import Assessment, Fact
from trimscribe.model.statements import Place, Statement
from trimscribe.model.workshop import AS_THE_LANGUAGE, Writing
from trimscribe.narrate.expressions import (
    ASK_FIRST,
    FAILURES,
    Phrase,
    environment,
    failed,
    understand,
)
from trimscribe.narrate.filters import NBSP, WordFilters, check_words
from trimscribe.narrate.rules import Rule
from trimscribe.narrate.written import Faults, YamlMapping
from trimscribe.templating import Environment

# The fixed words of the report. English is the reference: a language has its keys, no others.
_REFERENCE = Path(__file__).parent / "languages" / "en" / "labels.yaml"
_NAME = re.compile(r"\{([^{}]*)\}")
_PLURALS = ("zero", "one", "two", "few", "many")
# A blank between a number and its unit, where no line may end.
_UNIT = re.compile(r"(?<=[0-9½]) (?=(?:s|h|kg|mm|N|%|L/m²/min|km/h)(?:[^\w/]|$))")


@dataclass(frozen=True)
class Catalogue:
    """A language that can say every rule."""

    name: str
    env: Environment
    formats: LocaleFormats
    phrases: Mapping[str, Phrase]
    titles: Mapping[str, Phrase]
    labels: Mapping[str, str]
    marks: Mapping[str, Mark]

    def say(self, rule: Rule, assessment: Assessment) -> Statement:
        """The sentence of a rule; PhraseError when its phrase fails for these facts."""
        facts = assessment.facts
        phrase, title = self.phrases[rule.name], self.titles.get(rule.name)
        try:
            text = _one_line(phrase.say(facts))
            head = _one_line(title.say(facts)) if title else ""
        except FAILURES as error:
            asked = dict.fromkeys((*phrase.names, *(title.names if title else ())))
            message = failed(f"The phrase `{rule.name}`", error, asked, facts)
            mark = self.marks[rule.name]
            raise PhraseError.of("phrase-fails", message, mark, ASK_FIRST) from error
        names = dict.fromkeys((*rule.numbers, *phrase.names))
        behind = {name: _plain(facts[name]) for name in names if _is_told(facts[name])}
        sources = (path for name in names for path in assessment.trails[name])
        return Statement(
            rule=rule.name,
            place=rule.place,
            weight=rule.weight,
            text=text,
            title=head,
            numbers=behind,
            topic=rule.topic,
            condition=rule.when.text,
            rule_place=str(replace(rule.mark, column=0)),
            sources=tuple(dict.fromkeys(sources)),
        )


def load_catalogue(
    name: str,
    locale: str,
    folder: Path,
    rules: tuple[Rule, ...],
    facts: frozenset[str],
    writing: Writing = AS_THE_LANGUAGE,
) -> Catalogue:
    """Phrases and labels of the language in a folder; PhraseError with every fault of both."""
    faults = Faults()
    formats = _formats(name, locale, writing, faults)
    written = YamlMapping.open(folder / "phrases.yaml", faults)
    written.check_names((), written.mapping(), ("words", "phrases"))
    words = WordFilters(formats, check_words(written), writing)
    reader = _Reader(written, _environment(words, facts))
    reader.read(rules)
    labels = load_labels(folder / "labels.yaml", faults)
    faults.stop()
    marks = {rule.name: written.loaded.mark(("phrases", rule.name)) for rule in rules}
    return Catalogue(name, reader.env, formats, reader.phrases, reader.titles, labels, marks)


@lru_cache(maxsize=8)
def _environment(words: WordFilters, facts: frozenset[str]) -> Environment:
    """The same for the same words, which keeps what was compiled in it."""
    return environment(words.filters(), facts)


def _formats(name: str, locale: str, writing: Writing, faults: Faults) -> LocaleFormats:
    try:
        return formats_for(locale, dates=writing.dates, symbols=writing.symbols)
    except ValueError:
        message = f"The language `{name}` names the unknown locale `{locale}`."
        faults.add("unknown-locale", message, None, "Write a locale such as en_GB.")
        return formats_for("en_GB")


@dataclass
class _Reader:
    """Reads the phrase of every rule; that of a caution has a title and a text."""

    written: YamlMapping
    env: Environment
    phrases: dict[str, Phrase] = field(default_factory=dict)
    titles: dict[str, Phrase] = field(default_factory=dict)

    def read(self, rules: tuple[Rule, ...]) -> None:
        entries = self.written.mapping("phrases")
        self.written.check_names(("phrases",), entries, [rule.name for rule in rules])
        for rule in rules:
            at: At = ("phrases", rule.name)
            if rule.name in entries and rule.place is Place.CAUTION:
                parts = self.written.mapping(*at)
                self.written.check_names(at, parts, ("title", "text"))
                self._phrase(parts.get("title", ""), (*at, "title"), self.titles)
                self._phrase(parts.get("text", ""), (*at, "text"), self.phrases)
            elif rule.name in entries:
                self._phrase(entries[rule.name], at, self.phrases)

    def _phrase(self, source: Any, at: At, into: dict[str, Phrase]) -> None:
        if not isinstance(source, str):
            hint = "Put it in quotes if need be."
            self.written.fault("not-text", "A sentence belongs here.", at, hint)
        elif (names := understand(self.env, source, self.written, at)) is not None:
            into[str(at[1])] = Phrase(self.env, source, names)


def load_labels(path: Path, faults: Faults) -> Mapping[str, str]:
    """Labels by key; notes keys that are missing or unknown and names that nobody fills in."""
    written = YamlMapping.open(path, faults)
    labels = dict(written.mapping())
    reference = labels if path == _REFERENCE else _reference()
    further = {key: form for key in labels if (form := _other_form(key, reference))}
    written.check_names((), labels, [*reference, *further])
    for key, label in labels.items():
        if not isinstance(label, str):
            hint = "Put it in quotes if need be."
            written.fault("not-text", "Words belong here.", (key,), hint)
            continue
        known = _NAME.findall(reference.get(further.get(key, key), label))
        for name in _NAME.findall(label):
            if name not in known:
                hint = "Known here: " + (", ".join(f"{{{k}}}" for k in known) or "none") + "."
                message = f"Nobody fills in `{{{name}}}` here."
                written.fault_at_word("unknown-name", message, (key,), f"{{{name}}}", hint)
    return labels


@cache
def _reference() -> Mapping[str, str]:
    faults = Faults()
    labels = load_labels(_REFERENCE, faults)
    faults.stop()
    return labels


def _other_form(key: str, reference: Mapping[str, str]) -> str:
    """The English key that has the same plural stem: `…_few` goes with `…_other`."""
    stem, _, category = key.rpartition("_")
    other = f"{stem}_other"
    return other if category in _PLURALS and key not in reference and other in reference else ""


def _one_line(text: str) -> str:
    # Not str.split: the spaces that keep a number with its unit must stay.
    text = re.sub("[ \n]+", " ", text).strip()
    text = re.sub(" ([,.])", r"\1", text)
    return _UNIT.sub(NBSP, text)


def _is_told(fact: Fact) -> bool:
    return fact is not None and fact not in ("", ())


def _plain(fact: Fact) -> float | str:
    """A fact as it travels with its sentence: a number or text."""
    if isinstance(fact, tuple):
        return "; ".join(" ".join(x).strip() if isinstance(x, tuple) else x for x in fact)
    return "" if fact is None else fact
