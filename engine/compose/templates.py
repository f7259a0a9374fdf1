"""Templates of a theme chain: looked for in the theme, then its parents, rendered to Typst.

`<% extends "base:letter.typ.j2" %>` takes the template of the theme named before the colon, so that
a theme can change one block of its parent's page and keep the rest.
"""

import re
from collections.abc import Mapping
from typing import Any

from trimscribe.compose.literal import literal
from trimscribe.errors import Fault, Mark, ThemeError
from trimscribe.templating import (
    TemplateError,
    TemplateNotFound,
    TemplateSyntaxError,
    sources,
)

__all__ = ["Templates"]

# A theme is data: it may not read code from elsewhere, make code of text, or ask for a package,
# which Typst would look for in the network.
_REFUSED = re.compile(
    r'\b(?:eval|plugin)\s*\(|\b(?:import|include)\s*(?:\(|"@)|#(?:import|include)\s+[^\s"<]'
)
_COMMENT = re.compile(r"//[^\n]*")


class Templates:
    """The templates of one resolved theme, compiled once and rendered many times."""

    def __init__(self, files: Mapping[str, Mapping[str, str]], places: Mapping[str, str]) -> None:
        """`files` maps theme name → template name → text, child first; `places` theme → folder."""
        self._files, self._places = files, places
        self._env = sources(self._find, literal)

    def render(self, name: str, values: Mapping[str, Any]) -> str:
        """Return the Typst source of one template; raises ThemeError with file and line."""
        try:
            return self._env.get_template(name).render(values)
        except TemplateSyntaxError as error:
            place = self.place(error.name or name)
            mark = Mark(
                place, error.lineno, source=_line(self._find(error.name or name), error.lineno)
            )
            raise ThemeError(Fault("template-syntax", str(error.message), mark)) from None
        except TemplateNotFound as error:
            raise ThemeError(
                Fault(
                    "template-missing",
                    f"There is no template “{error.name}” in the theme or its parents.",
                    Mark(self.place(name)),
                )
            ) from None
        except (TemplateError, TypeError, ValueError) as error:
            line = self._line_of(error)
            mark = Mark(self.place(name), line, source=_line(self._find(name), line))
            raise ThemeError(Fault("template-value", str(error), mark)) from None

    def origin(self, name: str) -> Mark:
        """Where a template stands, with its whole text, to find typesetting errors again."""
        return Mark(self.place(name), source=self._find(name) or "")

    def place(self, name: str) -> str:
        """The file of a template as `theme folder/templates/name`."""
        theme, short = self._locate(name)
        return f"{self._places.get(theme, theme)}/templates/{short}"

    def check(self) -> None:
        """Refuse what a theme may not do, all faults at once; raises ThemeError."""
        faults = [
            Fault(
                "template-refused",
                f"“{found[0].strip()}” is not for themes.",
                Mark(self.place(f"{theme}:{name}"), number, found.start() + 1, len(found[0]), line),
                "A theme imports its own files by name, and nothing else.",
            )
            for theme, files in self._files.items()
            for name, text in files.items()
            for number, line in enumerate(text.splitlines(), 1)
            if (found := _REFUSED.search(_COMMENT.sub("", line)))
        ]
        if faults:
            raise ThemeError(faults)

    def _locate(self, name: str) -> tuple[str, str]:
        theme, colon, short = name.partition(":")
        if colon:
            return theme, short
        holder = next((t for t, files in self._files.items() if name in files), "")
        return holder, name

    def _find(self, name: str) -> str | None:
        theme, short = self._locate(name)
        return self._files.get(theme, {}).get(short)

    def _line_of(self, error: BaseException) -> int:
        """Jinja2 rewrites tracebacks so that template frames carry template lines."""
        line, trace = 0, error.__traceback__
        while trace is not None:
            if trace.tb_frame.f_code.co_filename.startswith("<template"):
                line = trace.tb_lineno
            trace = trace.tb_next
        return line


def _line(text: str | None, number: int) -> str:
    lines = (text or "").splitlines()
    return lines[number - 1] if 0 < number <= len(lines) else ""
