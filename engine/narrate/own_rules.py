"""Sentences of the workshop's own: checked like ours, said beside ours, instead of none of them."""

from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace

from trimscribe.errors import Mark
from trimscribe.marked_yaml import ValuePath
from trimscribe.model.assessment import Assessment
from trimscribe.model.statements import Place, Statement
from trimscribe.model.workshop import OwnRule
from trimscribe.narrate.catalogue import Catalogue
from trimscribe.narrate.expressions import Phrase, Questions, RuleCondition, in_braces, understand
from trimscribe.narrate.rules import Rule
from trimscribe.narrate.written import Faults
from trimscribe.whereabouts import at as now_at

_ALWAYS = "true"
_MISSING = "If a package adds it, that is not installed here: see `trimscribe plugins`."


@dataclass(frozen=True)
class OwnRules:
    """The workshop's rules in their order, with a catalogue that can say them."""

    rules: tuple[Rule, ...]
    catalogue: Catalogue

    @classmethod
    def understood(
        cls,
        written: Sequence[OwnRule],
        ours: Collection[str],
        catalogue: Catalogue,
        marks: Mapping[ValuePath, Mark],
    ) -> "OwnRules":
        """Rules as written, in a language; `ours` are the names that are taken.

        PhraseError with every fault of them, each at its mark below `workshop.rules`.
        """
        reader = _Reader(catalogue, _Placed(marks))
        rules = tuple(reader.rules(written, ours))
        reader.placed.faults.stop()
        own = {
            rule.name: reader.placed.mark(("workshop", "rules", rule.name, "text")) or Mark("")
            for rule in rules
        }
        said = replace(catalogue, phrases=reader.phrases, titles=reader.titles, marks=own)
        return cls(rules, said)

    def say(self, assessment: Assessment) -> tuple[Statement, ...]:
        """What they say about a service."""
        return tuple(self._said(assessment))

    def _said(self, assessment: Assessment) -> Iterator[Statement]:
        before = now_at("")
        for rule in self.rules:
            now_at(rule.mark.file or before)  # a template of somebody's may never end
            if rule.speaks(assessment.facts):
                yield self.catalogue.say(rule, assessment)
        now_at(before)


@dataclass(frozen=True)
class _Placed:
    """Notes faults at values of the workshop by the places of the reading."""

    marks: Mapping[ValuePath, Mark]
    faults: Faults = field(default_factory=Faults)

    def fault(self, code: str, message: str, at: ValuePath, hint: str = "") -> None:
        self.faults.add(code, message, self.mark(at), hint)

    def fault_at_word(self, code: str, message: str, at: ValuePath, word: str, hint: str) -> None:
        mark = self.mark(at)
        column = mark.source.find(word, max(0, mark.column - 1)) if mark else -1
        if mark and column >= 0:  # not where the text goes on in a line below
            mark = replace(mark, column=column + 1, width=len(word))
        if code == "unknown-fact":
            hint = f"{hint} {_MISSING}"
        self.faults.add(code, message, mark, hint)

    def mark(self, at: ValuePath) -> Mark | None:
        return self.marks.get(at)


@dataclass
class _Reader:
    """Makes rules and phrases of what the workshop wrote, noting every fault on the way."""

    catalogue: Catalogue
    placed: _Placed
    phrases: dict[str, Phrase] = field(default_factory=dict)
    titles: dict[str, Phrase] = field(default_factory=dict)

    def rules(self, written: Sequence[OwnRule], ours: Collection[str]) -> Iterator[Rule]:
        questions = Questions(self.catalogue.env)
        for own in written:
            at: ValuePath = ("workshop", "rules", own.name)
            self._check(own, at, ours)
            names = self._names(in_braces(own.when or _ALWAYS), (*at, "when"))
            self._phrase(own.text, (*at, "text"), self.phrases)
            if own.title:
                # Each page puts the full stop after a caution's title.
                self._phrase(own.title.rstrip(". "), (*at, "title"), self.titles)
            if names is not None:
                text = own.when or _ALWAYS
                yield Rule(
                    name=own.name,
                    place=own.place,
                    topic=f"own_{own.name}",  # none of ours, so that neither silences the other
                    when=RuleCondition(text, names, questions, questions.add(text, own.name)),
                    weight=own.weight,
                    numbers=names,
                    mark=self.placed.mark((*at, "when")) or Mark(""),
                )

    def _check(self, own: OwnRule, at: ValuePath, ours: Collection[str]) -> None:
        if own.name in ours:
            message = f"`{own.name}` is the name of a rule that every report has."
            hint = "Give it another name: a rule that every report has stays as it is."
            self.placed.fault("duplicate-rule", message, at, hint)
        if own.place is Place.CAUTION and not own.title:
            hint = "Write a few words under `title`."
            self.placed.fault("missing-entry", "A caution has a title.", at, hint)
        if own.title and own.place is not Place.CAUTION:
            hint = "Take the title out, or make it a caution."
            message = "Only a caution has a title."
            self.placed.fault("unknown-entry", message, (*at, "title"), hint)

    def _phrase(self, text: str, at: ValuePath, into: dict[str, Phrase]) -> None:
        if (names := self._names(text, at)) is not None:
            into[str(at[-2])] = Phrase(self.catalogue.env, text, names)

    def _names(self, source: str, at: ValuePath) -> tuple[str, ...] | None:
        return understand(self.catalogue.env, source, self.placed, at)
