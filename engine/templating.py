"""The one home of Jinja2: sandboxed environments that can neither reach Python nor hide a slip.

Two dialects are built on it: phrases (plain text, `trimscribe.narrate`) and the templates of themes
(`trimscribe.compose`), which differ in delimiters and in what happens to a printed value.
"""

from collections.abc import Callable, Iterable, Sequence
from functools import cache
from typing import Any

from jinja2 import BytecodeCache, FunctionLoader, StrictUndefined, Template, TemplateNotFound, nodes
from jinja2 import TemplateError as TemplateError
from jinja2 import TemplateSyntaxError as TemplateSyntaxError
from jinja2 import Undefined as Undefined
from jinja2 import UndefinedError as UndefinedError
from jinja2 import pass_context as pass_context
from jinja2.bccache import Bucket
from jinja2.sandbox import ImmutableSandboxedEnvironment
from markupsafe import Markup

__all__ = [
    "Environment",
    "Markup",
    "Template",
    "TemplateError",
    "TemplateNotFound",
    "TemplateSyntaxError",
    "Undefined",
    "UndefinedError",
    "failed_in",
    "first_of_each",
    "pass_context",
    "phrases",
    "sources",
]

Environment = ImmutableSandboxedEnvironment

_MOST_KEPT = 500
_FILE = "template "  # in front of a template's name, where Python shows a file
# Filters that mark text as safe or hand out attributes by name would open a way past the finaliser.
_REFUSED_FILTERS = ("safe", "attr", "map", "pprint", "xmlattr", "urlize", "tojson", "forceescape")


def phrases() -> Environment:
    """Build the environment for phrases: `{{ }}`, plain text, undefined names are errors."""
    return _without_refused(
        Environment(
            undefined=StrictUndefined,
            autoescape=False,
            trim_blocks=True,
            optimized=False,  # looking for constants takes as long as compiling, and finds none
        )
    )


def sources(find: Callable[[str], str | None], finalize: Callable[..., Any]) -> Environment:
    """Build the environment for themes: `<< >>`, every printed value passes `finalize`.

    `find` returns the text of a template by name, or None. `finalize` takes a value, or with
    `pass_context` the context and a value, and then nothing is printed ahead of rendering. What it
    does not return as Markup is escaped for HTML.
    """
    return _without_refused(
        Environment(
            loader=FunctionLoader(lambda name: _loaded(name, find(name))),
            undefined=StrictUndefined,
            autoescape=True,
            finalize=finalize,
            bytecode_cache=_compiled(finalize),
            trim_blocks=True,
            lstrip_blocks=True,
            keep_trailing_newline=True,
            variable_start_string="<<",
            variable_end_string=">>",
            block_start_string="<%",
            block_end_string="%>",
            comment_start_string="<#",
            comment_end_string="#>",
        )
    )


def _loaded(name: str, text: str | None) -> tuple[str, str, None] | None:
    """A template with a file name by which `failed_in` knows it."""
    return None if text is None else (text, f"{_FILE}{name}", None)


def failed_in(error: BaseException) -> tuple[str, int]:
    """The innermost template that an error came through, and the line; empty and 0 for none.

    Jinja2 rewrites tracebacks so that the frames of templates carry their names and lines.
    """
    name, line, trace = "", 0, error.__traceback__
    while trace is not None:
        file = trace.tb_frame.f_code.co_filename
        if file.startswith(_FILE):
            name, line = file.removeprefix(_FILE), trace.tb_lineno
        trace = trace.tb_next
    return name, line


def first_of_each(
    env: Environment, groups: Iterable[Sequence[tuple[int, nodes.Template]]]
) -> Template:
    """A template that says of each group the number of the first condition that holds, if any.

    A condition is a template that was parsed and prints one value. TemplateSyntaxError for another.
    """
    body: list[nodes.Node] = []
    for group in groups:
        first, *others = (nodes.If(_value(tree), _said(n), [], []) for n, tree in group)
        first.elif_ = others
        body.append(first)
    return env.from_string(nodes.Template(body).set_lineno(1).set_environment(env))  # type: ignore[arg-type]


def _value(tree: nodes.Template) -> nodes.Expr:
    match tree.body:
        case [nodes.Output(nodes=[value])]:
            return value
    raise TemplateSyntaxError("a condition is one question", 1)


def _said(number: int) -> list[nodes.Node]:
    return [nodes.Output([nodes.TemplateData(f"{number} ")])]


class _Kept(BytecodeCache):
    """Compiled templates by their text, so that a change of one compiles that one alone."""

    def __init__(self) -> None:
        self._kept: dict[tuple[str, str], bytes] = {}

    def load_bytecode(self, bucket: Bucket) -> None:
        code = self._kept.get((bucket.key, bucket.checksum))
        if code:
            bucket.bytecode_from_string(code)

    def dump_bytecode(self, bucket: Bucket) -> None:
        if len(self._kept) > _MOST_KEPT:
            self._kept.clear()
        self._kept[bucket.key, bucket.checksum] = bucket.bytecode_to_string()


@cache
def _compiled(_: Callable[..., Any]) -> _Kept:
    """What a gate does to texts in a template is compiled in, so that each gate has its own."""
    return _Kept()


def _without_refused(env: Environment) -> Environment:
    for name in _REFUSED_FILTERS:
        env.filters.pop(name, None)
    return env
