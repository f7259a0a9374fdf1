"""Templates of a theme chain: looked for in the theme, then its parents.

Those that end in `.typ.j2` become Typst, those in `.html.j2` a page for the screen. Both are
written in the same signs.

`<% extends "base:letter.typ.j2" %>` takes the template of the theme named before the colon, so that
a theme can change one block of its parent's page and keep the rest.
"""

import re
from collections.abc import Iterator, Mapping
from typing import Any

from trimscribe.compose.literal import FORBIDDEN, set_aside, sourced
from trimscribe.errors import Fault, Mark, ThemeError, kind_of, suggest
from trimscribe.formats import with_dates, with_units
from trimscribe.templating import (
    Markup,
    TemplateError,
    TemplateNotFound,
    TemplateSyntaxError,
    Undefined,
    failed_in,
    sources,
)
from trimscribe.whereabouts import at

# A theme is data: it may not make code of text, nor reach for a package, which Typst would look
# for in the network. Its own files it imports by name: `#import "kit.typ": *`.
OF_SECTION = "section."  # in front of the name of a section that brings templates along
_PAGE, _PAPER = ".html.j2", ".typ.j2"
_FILE = r"\w[\w./-]*\.typ"
_REFUSED = re.compile(
    rf"\b(?:{'|'.join(FORBIDDEN[:-2])})\b"
    rf'|\b(?:{"|".join(FORBIDDEN[-2:])})\b(?!\s+"{_FILE}"\s*(?:[:;)}}\]]|$))'
)
_OWN_FILE = re.compile(f'"{_FILE}"')
# Control characters and the marks that reorder text would hide what a reader sees.
_HIDDEN = [*range(0x9), 0xB, 0xC, *range(0xE, 0x20), *range(0x7F, 0xA0), *range(0x202A, 0x202F)]
_SEEN = dict.fromkeys(_HIDDEN, "")
# What can go wrong in a template; brackets within brackets without end exhaust Python's stack.
FAILURES = (TemplateError, ArithmeticError, LookupError, RecursionError, TypeError, ValueError)
# A comment, and surely no more than that: nothing in the line could end a text or a block.
_COMMENT = re.compile(r'\s*//[^"`*]*')


class Templates:
    """The templates of one resolved theme, compiled once and rendered many times."""

    def __init__(self, files: Mapping[str, Mapping[str, str]], places: Mapping[str, str]) -> None:
        """`files` maps theme name → template name → text, child first; `places` theme → folder."""
        self._files, self._places = files, places
        self._env = sources(self._find, set_aside)
        self._pages = sources(self._find, _printable)

    def render(self, name: str, values: Mapping[str, Any]) -> str:
        """Return what one template makes; raises ThemeError with file and line."""
        at(self.place(name))
        try:
            if name.endswith(_PAGE):
                return self._pages.get_template(name).render(values)
            template = self._env.get_template(name)
            source = sourced(lambda: template.render(values))
        except TemplateSyntaxError as error:
            place = self.place(error.name or name)
            mark = Mark(
                place, error.lineno, source=_line(self._find(error.name or name), error.lineno)
            )
            raise ThemeError.of("template-syntax", str(error.message), mark) from None
        except TemplateNotFound as error:
            raise ThemeError(self._missing(name, str(error.name or name))) from None
        except FAILURES as error:
            inner, line = failed_in(error)
            inner = inner or name
            mark = Mark(self.place(inner), line, source=_line(self._find(inner), line))
            hint = _nearest(str(error), values)
            raise ThemeError.of("template-value", _sentence(error), mark, hint) from None
        # Names of the theme's own files are printed into imports, and looked at there.
        written = source.without(lambda value: not _OWN_FILE.fullmatch(value))
        if faults := [*self._refused(name, written)]:
            raise ThemeError(faults)
        return source.whole

    def has(self, name: str) -> bool:
        """Whether the theme or a parent has a template of this name."""
        return self._find(name) is not None

    def origin(self, name: str) -> Mark:
        """Where a template is, with its whole text, to find typesetting errors again."""
        return Mark(self.place(name), source=self._find(name) or "")

    def texts(self) -> Iterator[tuple[str, str]]:
        """Every template for paper as `theme/name` with its text, the theme's own first."""
        for theme, files in self._files.items():
            for name, text in files.items():
                if not name.endswith(_PAGE):
                    yield f"{theme}/{name}", text

    def place(self, name: str) -> str:
        """The file of a template as `theme folder/templates/name`.

        What a section brings along is in no file: its package, section and template are named.
        """
        theme, short = self._locate(name)
        folder = self._places.get(theme, theme)
        return (
            f"{folder}: {short}" if theme.startswith(OF_SECTION) else f"{folder}/templates/{short}"
        )

    def _refused(self, name: str, written: str) -> Iterator[Fault]:
        """What a theme may not do, wherever in the chain of templates it is."""
        for line in written.splitlines():
            if (found := _REFUSED.search(line)) and not _COMMENT.fullmatch(line):
                yield Fault(
                    "template-refused",
                    f"“{found[0].strip()}” is not for themes.",
                    self._written_at(line) or Mark(self.place(name)),
                    "A theme imports its own files by name, and nothing else.",
                )

    def _written_at(self, line: str) -> Mark | None:
        """The place of a line of Typst in the templates, where it is there as it is."""
        for theme, files in self._files.items():
            for short, text in files.items():
                for number, template_line in enumerate(text.splitlines(), 1):
                    if template_line.strip() == line.strip():
                        return Mark(self.place(f"{theme}:{short}"), number, source=template_line)
        return None

    def _missing(self, name: str, missing: str) -> Fault:
        """What to say of a template that another one, or the report, asks for."""
        paper = missing.removesuffix(_PAGE) + _PAPER
        if missing == name and missing.endswith(_PAGE) and self.has(paper):
            return Fault(
                "template-missing",
                f"There is no template “{missing}”, which the page for the phone needs.",
                Mark(self.place(paper)),
                f"Write it beside {paper}, or leave the section out of this theme.",
            )
        there, short = self._locate(missing)
        if there.startswith(OF_SECTION):
            brought = sorted(self._files.get(there, {}))
            whose = f"the section “{there.removeprefix(OF_SECTION)}” brings"
            words = f"{whose} {', '.join(brought)}" if brought else f"{whose} none"
            message = f"There is no template “{short}”: {words}."
            return Fault(
                "template-missing",
                message,
                Mark(self.place(name)),
                suggest(short, brought, listed=False),
            )
        known = {short for files in self._files.values() for short in files}
        return Fault(
            "template-missing",
            f"There is no template “{missing}” in the theme or its parents, nor in a section.",
            # What the report asks for by itself is nowhere.
            Mark(self.place(name)) if name != missing or self.has(name) else None,
            suggest(missing, sorted(known), listed=False),
        )

    def _locate(self, name: str) -> tuple[str, str]:
        theme, colon, short = name.partition(":")
        if colon:
            return theme, short
        holder = next((t for t, files in self._files.items() if name in files), "")
        return holder, name

    def _find(self, name: str) -> str | None:
        theme, short = self._locate(name)
        return self._files.get(theme, {}).get(short)


def _sentence(error: Exception) -> str:
    words = str(error).rstrip(".")
    return f"{words[:1].upper()}{words[1:]}."


def _nearest(message: str, values: Mapping[str, Any]) -> str:
    """The name that was meant where a template asks for one that is not there."""
    known = [*values, *values.get("t", ()), *values.get("phrases", ())]
    asked = re.search(r"no attribute '(\w+)'|'(\w+)' is undefined", message)
    return suggest(asked[1] or asked[2], known, listed=False) if asked else ""


def _line(text: str | None, number: int) -> str:
    lines = (text or "").splitlines()
    return lines[number - 1] if 0 < number <= len(lines) else ""


def _printable(value: Any) -> Any:
    """Text without what nobody sees, or a number; raises TypeError for anything else."""
    if isinstance(value, Markup | Undefined):
        return value  # what is undefined raises when it is written, and names what is missing
    if isinstance(value, str):
        return with_dates(with_units(value)).translate(_SEEN)  # a phone's lines are short
    if isinstance(value, int | float) and not isinstance(value, bool):
        return value
    raise TypeError(f"a page cannot print {kind_of(value)}")
