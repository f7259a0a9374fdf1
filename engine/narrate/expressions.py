"""Conditions and phrases: checked against the known facts before any of them is used."""

from collections.abc import Callable, Iterator, Mapping
from typing import Any

from trimscribe.marked_yaml import Place
from trimscribe.narrate.facts import NAMES, Facts
from trimscribe.narrate.state_facts import noticeable
from trimscribe.narrate.written import Written
from trimscribe.schemas.suggest import suggest
from trimscribe.templating import (
    Environment,
    TemplateError,
    TemplateSyntaxError,
    phrases,
)

__all__ = ["FAILURES", "Condition", "condition", "environment", "facts_in", "is_sound"]

# What can go wrong when a sound expression meets the facts of a job.
FAILURES = (TemplateError, TypeError, ValueError, KeyError, AttributeError, ArithmeticError)

Condition = Callable[[Facts], bool]


def environment(filters: Mapping[str, Callable[..., str]]) -> Environment:
    """Where conditions and phrases are understood; adds the test `is noticeable`."""
    env = phrases()
    env.filters.update(filters)
    env.tests["noticeable"] = noticeable
    return env


def condition(env: Environment, text: str) -> Condition:
    """A sound condition, ready to be asked."""
    compiled = env.compile_expression(text, undefined_to_none=False)
    return lambda facts: bool(compiled(facts))


def is_sound(env: Environment, source: str, written: Written, at: Place) -> bool:
    """Whether a template can be understood and looks at known facts only; notes what is wrong."""
    try:
        env.compile(env.parse(source))
    except TemplateSyntaxError as error:
        said = error.message or "this cannot be understood"
        written.fault("not-understood", f"{said[:1].upper()}{said[1:].rstrip('.')}.", at)
        return False
    unknown = [name for name in facts_in(env, source) if name not in NAMES]
    for name in unknown:
        hint = suggest(name, sorted(NAMES), listed=False)
        hint = hint or "The head of rules.yaml lists all facts."
        written.fault_at_word("unknown-fact", f"`{name}` is not a fact.", at, name, hint)
    return not unknown


def facts_in(env: Environment, source: str) -> tuple[str, ...]:
    """The names that a template looks up and does not set itself, in the order written."""
    nodes = list(_walk(env.parse(source)))
    own = {node.name for node in nodes if getattr(node, "ctx", "") == "store"}
    names = (n.name for n in nodes if getattr(n, "ctx", "") == "load" and hasattr(n, "name"))
    return tuple(name for name in dict.fromkeys(names) if name not in own)


def _walk(node: Any) -> Iterator[Any]:
    yield node
    for child in node.iter_child_nodes():
        yield from _walk(child)
