"""The one home of Jinja2: sandboxed environments that can neither reach Python nor hide a slip.

Two dialects are built on it: phrases (plain text, `trimscribe.narrate`) and Typst sources
(`trimscribe.compose`), which differ in delimiters and in what happens to a printed value.
"""

from collections.abc import Callable
from typing import Any

from jinja2 import BaseLoader, StrictUndefined
from jinja2 import TemplateError as TemplateError
from jinja2 import TemplateSyntaxError as TemplateSyntaxError
from jinja2 import UndefinedError as UndefinedError
from jinja2.sandbox import ImmutableSandboxedEnvironment
from markupsafe import Markup

__all__ = ["Markup", "TemplateError", "TemplateSyntaxError", "UndefinedError", "phrases", "sources"]

# Filters that mark text as safe or hand out attributes by name would open a way past the finaliser.
_REFUSED_FILTERS = ("safe", "attr", "map", "pprint", "xmlattr", "urlize", "tojson", "forceescape")


def phrases(loader: BaseLoader | None = None) -> ImmutableSandboxedEnvironment:
    """Build the environment for phrases: `{{ }}`, plain text, undefined names are errors."""
    env = ImmutableSandboxedEnvironment(
        loader=loader, undefined=StrictUndefined, autoescape=False, trim_blocks=True
    )
    for name in _REFUSED_FILTERS:
        env.filters.pop(name, None)
    return env


def sources(loader: BaseLoader, finalize: Callable[[Any], Markup]) -> ImmutableSandboxedEnvironment:
    """Build the environment for Typst sources: `<< >>`, every value passes `finalize`."""
    env = ImmutableSandboxedEnvironment(
        loader=loader,
        undefined=StrictUndefined,
        autoescape=True,
        finalize=finalize,
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
    for name in _REFUSED_FILTERS:
        env.filters.pop(name, None)
    return env
