"""Conditions and phrases: checked against the known facts before any of them is used."""

from collections.abc import Callable, Hashable, Iterable, Iterator, Mapping
from dataclasses import dataclass
from functools import cached_property, lru_cache
from typing import Any, Protocol, cast

from trimscribe.errors import suggest
from trimscribe.marked_yaml import ValuePath
from trimscribe.model.assessment import Fact, Facts
from trimscribe.templating import (
    Environment,
    TemplateError,
    TemplateSyntaxError,
    first_of_each,
    phrases,
)

# What can go wrong when a sound expression meets the facts of a job.
FAILURES = (*(TemplateError, TypeError, ValueError, LookupError, ArithmeticError, RecursionError),)
ASK_FIRST = "Each filter takes one kind of fact; what may be unknown, ask whether it `is not none`."


class CannotSayError(ValueError):
    """Raised by a filter for a value that it does not take, in words for who wrote the phrase."""


def failed(what: str, error: Exception, names: Iterable[str], facts: Facts) -> str:
    """What came of a phrase or condition, for who wrote it; `names` are those of its facts."""
    if isinstance(error, CannotSayError):
        return f"{what} fails: {error}."
    values = ", ".join(f"`{name}` is {_as_told(facts.get(name))}" for name in names)
    return f"{what} fails{' where ' if values else ''}{values}."


def _as_told(fact: Fact) -> str:
    match fact:
        case None:
            return "not known"
        case str():
            return f"“{fact}”"
        case tuple():
            return f"a list of {len(fact)}"
    return str(fact).lower()


def environment(filters: Mapping[str, Callable[..., str]], names: frozenset[str]) -> Environment:
    """Where both are understood; adds the tests `is noticeable` and those of a verdict.

    `names` are those of the facts.
    """
    env = phrases()
    env.extend(facts=names)
    env.filters.update(filters)
    env.tests.update(noticeable=noticeable, **VERDICTS)
    return env


def facts_known(env: Environment) -> frozenset[str]:
    """The names of the facts that an environment knows."""
    return cast("frozenset[str]", getattr(env, "facts"))  # noqa: B009 - Jinja's own way to extend


def noticeable(expectation: str) -> bool:
    """Whether a pilot may or should notice it."""
    return expectation in ("possible", "expected")


def _one_of(*verdicts: str) -> Callable[[str], bool]:
    return verdicts.__contains__


# What rules and phrases ask of a verdict: within, close and outside are the words of a report;
# `passed` is what no result is outside of, `beyond` what reads on the wrong side of its limit.
VERDICTS: Mapping[str, Callable[[str], bool]] = {
    "within": _one_of("pass"),
    "close": _one_of("conditional_pass", "conditional_fail"),
    "outside": _one_of("fail"),
    "passed": _one_of("pass", "conditional_pass", "conditional_fail"),
    "beyond": _one_of("conditional_fail", "fail"),
}


@dataclass(frozen=True)
class Phrase:
    """A sentence and the facts in it; compiled when it is first said, as most never are."""

    env: Environment
    text: str
    names: tuple[str, ...] = ()

    def say(self, facts: Facts) -> str:
        """The sentence; raises one of FAILURES."""
        template, names = _compiled(self.env, self.text)
        # Jinja copies what it is handed, three times: all facts would take as long as the saying.
        return str(template.render({name: facts[name] for name in names if name in facts}))


@lru_cache(maxsize=1024)
def _compiled(env: Environment, text: str) -> tuple[Any, frozenset[str]]:
    """A template and all names in it; kept by its text, so that a change compiles that alone."""
    tree = _parsed(env, text)
    names = frozenset(node.name for node in _of(list(_walk(tree)), "Name"))
    return env.from_string(tree), names


class Questions:
    """Conditions that are asked of the same facts, compiled together when the first is asked.

    One by one, compiling takes as long as all drawings of a report. They come in groups, of each of
    which the first that holds is answered with yes, and no other.
    """

    def __init__(self, env: Environment) -> None:
        """Take the environment in which all of them are understood."""
        self._env = env
        self._count = 0
        self._groups: dict[Hashable, list[tuple[int, str]]] = {}
        self._last: tuple[Facts, Mapping[int, Exception | None]] | None = None

    def add(self, text: str, group: Hashable) -> int:
        """Take one more, the last of its group so far, and return its number."""
        self._groups.setdefault(group, []).append((self._count, text))
        self._count += 1
        return self._count - 1

    def answer(self, number: int, facts: Facts) -> bool:
        """Whether a condition is the first of its group that holds; raises one of FAILURES."""
        last = self._last
        if last is None or last[0] is not facts:
            last = self._last = facts, self._answers(facts)
        if error := last[1].get(number):
            raise error
        return number in last[1]

    def _answers(self, facts: Facts) -> Mapping[int, Exception | None]:
        """The conditions that hold, and those that fail with what they raise."""
        try:
            said = self._together.render(facts)
        except FAILURES:
            return dict(self._one_by_one(facts))
        return dict.fromkeys(map(int, said.split()))

    def _one_by_one(self, facts: Facts) -> Iterator[tuple[int, Exception | None]]:
        """The same, slowly: to see which of them it is that fails."""
        for group in self._groups.values():
            for one in group:
                try:
                    holds = self._compiled([one]).render(facts)
                except FAILURES as error:
                    yield one[0], error
                    break
                if holds:
                    yield one[0], None
                    break

    @cached_property
    def _together(self) -> Any:
        return self._compiled(*self._groups.values())

    def _compiled(self, *groups: Iterable[tuple[int, str]]) -> Any:
        trees = ([(n, _parsed(self._env, in_braces(text))) for n, text in g] for g in groups)
        return first_of_each(self._env, trees)


@dataclass(frozen=True)
class RuleCondition:
    """A question to the facts, and the facts that it looks at."""

    text: str
    names: tuple[str, ...]
    questions: Questions
    number: int

    def holds(self, facts: Facts) -> bool:
        """The answer: that it holds, and none before it of its group; raises one of FAILURES."""
        return self.questions.answer(self.number, facts)


class Noting(Protocol):
    """Notes faults at the places of what people wrote."""

    def fault(self, code: str, message: str, at: ValuePath, hint: str = "") -> None:
        """Note a fault of the value at a place."""

    def fault_at_word(self, code: str, message: str, at: ValuePath, word: str, hint: str) -> None:
        """Note a fault of one word within the text at a place."""


def understand(
    env: Environment, source: str, written: Noting, at: ValuePath
) -> tuple[str, ...] | None:
    """The facts that a template looks at, as written; None, with the fault noted, if it is wrong.

    Wrong is what cannot be parsed, and a fact, filter or test that nobody knows.
    """
    try:
        names, filters, tests = _asked(env, source)
    except (RecursionError, TemplateSyntaxError) as error:
        message = getattr(error, "message", "") or "this cannot be understood"
        said = message.rstrip(".")
        written.fault("not-understood", f"{said[:1].upper()}{said[1:]}.", at)
        return None
    known = {"fact": facts_known(env), "filter": env.filters, "test": env.tests}
    asked = {"fact": names, "filter": filters, "test": tests}
    sound = True
    for kind, words in asked.items():
        for word in words:
            if word not in known[kind]:
                sound = False
                hint = suggest(word, sorted(known[kind]), listed=False)
                hint = hint or "The head of rules.yaml lists all facts." * (kind == "fact")
                message = f"`{word}` is no {kind} that is known."
                written.fault_at_word(f"unknown-{kind}", message, at, word, hint)
    return names if sound else None


@lru_cache(maxsize=1024)
def _asked(env: Environment, source: str) -> tuple[tuple[str, ...], ...]:
    """The facts, filters and tests that a template looks up."""
    if "{" not in source:  # words alone, as in a third of all phrases
        return (), (), ()
    nodes = list(_walk(_parsed(env, source)))
    return _names(nodes), _named(nodes, "Filter"), _named(nodes, "Test")


@lru_cache(maxsize=1024)
def _parsed(env: Environment, source: str) -> Any:
    """Kept, because what is understood is mostly compiled soon."""
    return env.parse(source)


def in_braces(condition: str) -> str:
    """A condition as a template that prints it."""
    return f"{{{{ {condition} }}}}"


def _walk(node: Any) -> Iterator[Any]:
    yield node
    for child in node.iter_child_nodes():
        yield from _walk(child)


def _names(nodes: list[Any]) -> tuple[str, ...]:
    """The names that a template looks up and does not set itself."""
    named = _of(nodes, "Name")  # `set a, b` stores two of them, and a tuple, which has no name
    own = {node.name for node in named if node.ctx == "store"}
    read = [node.name for node in named if node.ctx == "load"]
    return tuple(name for name in dict.fromkeys(read) if name not in own)


def _named(nodes: list[Any], kind: str) -> tuple[str, ...]:
    return tuple(dict.fromkeys(node.name for node in _of(nodes, kind)))


def _of(nodes: list[Any], kind: str) -> list[Any]:
    return [node for node in nodes if type(node).__name__ == kind]
