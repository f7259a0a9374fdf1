"""The rules: which sentence is said, where, and when. They know no language."""

from bisect import bisect_left
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import chain, islice, takewhile
from pathlib import Path
from typing import Any

from trimscribe.errors import Mark, PhraseError, suggest
from trimscribe.marked_yaml import ValuePath as At
from trimscribe.model.assessment import Facts
from trimscribe.model.statements import Place, Weight
from trimscribe.narrate.expressions import (
    ASK_FIRST,
    FAILURES,
    Questions,
    RuleCondition,
    environment,
    facts_known,
    failed,
    in_braces,
    understand,
)
from trimscribe.narrate.written import Faults, YamlMapping

RULES = Path(__file__).parent / "rules.yaml"

# The cautions that every report carries, by topic, and the one that a changed trim adds.
ALWAYS_SAID = ("first_flight", "brake_check", "this_day", "maker_first", "unusual")
REQUIRED = (*ALWAYS_SAID, "new_trim")

_PLACES = {place.name.lower(): place for place in Place}
_WEIGHTS = {weight.value: weight for weight in Weight}
_PARTS = ("when", "weight", "numbers")


@dataclass(frozen=True)
class Rule:
    """One sentence: its phrase goes by the rule's name.

    Within a topic the first rule that holds speaks. `numbers` are the facts behind the sentence.
    """

    name: str
    place: Place
    topic: str
    when: RuleCondition
    weight: Weight
    numbers: tuple[str, ...]
    mark: Mark

    def speaks(self, facts: Facts) -> bool:
        """Whether its condition is the first of the topic that is true.

        PhraseError when one makes no sense for these facts.
        """
        try:
            return self.when.holds(facts)
        except FAILURES as error:
            said = failed(f"The condition of `{self.name}`", error, self.when.names, facts)
            raise PhraseError.of("condition-fails", said, self.mark, ASK_FIRST) from error


def choose(rules: tuple[Rule, ...], facts: Facts) -> Iterator[Rule]:
    """The rules that speak, at most one per topic, in the order of the file."""
    return (rule for rule in rules if rule.speaks(facts))


def load_rules(names: frozenset[str], path: Path = RULES) -> tuple[Rule, ...]:
    """All rules in the order of the file; PhraseError with every fault of it.

    `names` are those of the facts that they may ask for.
    """
    faults = Faults()
    reader = _Reader(YamlMapping.open(path, faults), names)
    rules = tuple(reader.rules())
    reader.check_required()
    faults.stop()
    return rules


class _Reader:
    """Reads place ▸ topic ▸ rule, noting every fault on the way."""

    def __init__(self, written: YamlMapping, names: frozenset[str]) -> None:
        self.written = written
        self.env = environment({}, names)
        self.known = sorted(facts_known(self.env))
        self.questions = Questions(self.env)
        self.names: dict[str, Mark] = {}

    def rules(self) -> Iterator[Rule]:
        written = self.written
        written.check_names((), written.mapping(), ("facts", "rules"))
        for place in written.mapping("rules"):
            if place not in _PLACES:
                hint = suggest(place, _PLACES)
                written.fault("unknown-place", f"`{place}` is no place.", ("rules", place), hint)
                continue
            for topic in written.mapping("rules", place):
                for name in written.mapping("rules", place, topic):
                    yield from self._rule(_PLACES[place], topic, name)

    def _rule(self, place: Place, topic: str, name: str) -> Iterator[Rule]:
        at: At = ("rules", place.name.lower(), topic, name)
        key = self.written.loaded.keys[at]
        if name in self.names:
            message = f"A rule `{name}` is already in line {self.names[name].line}."
            self.written.faults.add("duplicate-rule", message, key, "Give one another name.")
            return
        self.names[name] = key
        value: Any = self.written.loaded.data["rules"][at[1]][topic][name]
        parts = value if isinstance(value, dict) else {"when": value}
        at_when = (*at, "when") if parts is value else at
        for part in parts:
            if part not in _PARTS:
                hint = suggest(part, _PARTS)
                self.written.fault("unknown-entry", f"`{part}` is not known.", (*at, part), hint)
        when = self._condition(parts.get("when"), at_when)
        if when is not None:
            yield Rule(
                name,
                place,
                topic,
                when,
                self._weight(parts.get("weight"), (*at, "weight")),
                self._numbers(when.names, parts.get("numbers", []), (*at, "numbers")),
                self.written.loaded.mark(at_when),
            )

    def _condition(self, when: Any, at: At) -> RuleCondition | None:
        if when is True:
            return self._asked("true", (), at)
        if not isinstance(when, str):
            hint = "Write true for a sentence that is always said."
            self.written.fault("no-condition", "A condition over the facts belongs here.", at, hint)
            return None
        names = understand(self.env, in_braces(when), self.written, at)
        return None if names is None else self._asked(when, names, at)

    def _asked(self, text: str, names: tuple[str, ...], at: At) -> RuleCondition:
        topic = at[1:3]  # and the place it is in
        return RuleCondition(text, names, self.questions, self.questions.add(text, topic))

    def _weight(self, weight: Any, at: At) -> Weight:
        if weight is None:
            return Weight.PLAIN
        if str(weight) not in _WEIGHTS:
            hint = suggest(weight, _WEIGHTS)
            self.written.fault("unknown-weight", f"`{weight}` is not a weight.", at, hint)
        return _WEIGHTS.get(str(weight), Weight.PLAIN)

    def _numbers(self, named: tuple[str, ...], listed: Any, at: At) -> tuple[str, ...]:
        """The facts listed, those that the condition names, and what belongs to these."""
        listed = [str(name) for name in (listed if isinstance(listed, list) else [listed])]
        for name in listed:
            if name not in self.known:
                hint = suggest(name, self.known, listed=False)
                message = f"`{name}` is not a fact that is known."
                self.written.fault_at_word("unknown-fact", message, at, name, hint)
        family = chain.from_iterable(self._family(f"{name}_") for name in named)
        return tuple(dict.fromkeys((*listed, *named, *family)))

    def _family(self, start: str) -> Iterator[str]:
        """The facts whose names start like this, which are next to each other."""
        rest = islice(self.known, bisect_left(self.known, start), None)
        return takewhile(lambda fact: fact.startswith(start), rest)

    def check_required(self) -> None:
        """Every required caution has a rule, and those always said need no condition."""
        cautions = self.written.mapping("rules", Place.CAUTION.name.lower())
        for topic in REQUIRED:
            rules = cautions.get(topic)
            values = rules.values() if isinstance(rules, dict) else ()
            whens = [r.get("when") if isinstance(r, dict) else r for r in values]
            if not whens:
                self._missing(f"The required caution `{topic}` is missing.")
            elif topic in ALWAYS_SAID and True not in whens:
                self._missing(f"The required caution `{topic}` is not always said.")

    def _missing(self, message: str) -> None:
        hint = "No report goes out without it: give it a rule that reads `name: true`."
        at = ("rules", Place.CAUTION.name.lower())
        self.written.fault("required-caution", message, at, hint)
