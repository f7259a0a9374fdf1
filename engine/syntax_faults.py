"""What a YAML parser could not read, in plain words and at the place where somebody slipped.

A parser notices a slip where the text stops making sense, which may be a line or a page later: a
quote that is not closed ends at the next quote, a line without a colon is missed at the next line.
"""

import re
from typing import Any

from trimscribe.errors import Fault, Mark
from trimscribe.marked_text import MarkedText

_NO_BREAK = "\u00a0\u2007\u202f"  # look like a blank, and part nothing
_DASH = re.compile(r"\s*-(?=[^\s\d.-])")
_KEY = re.compile(rf"\s*(?:- )?([^\s:{_NO_BREAK}]+):?[\s{_NO_BREAK}]*(.*?)\s*")
_LINE_END = re.compile(r"\s+(?:#.*)?$")


def syntax_fault(error: Any, last: Any, text: MarkedText) -> Fault:
    """The fault behind a parser's error; `last` is the newest event before it, or None."""
    problem = error.problem_mark or error.context_mark
    if problem is not None:
        found = (
            _quote(last, problem.line, text)
            or _dash(problem.line, text)
            or _no_key(error, last, text)
            or _too_far(error, last, text)
        )
        if found:
            return found
    code, message, hint = _in_plain_words(f"{error.context or ''} {error.problem or ''}".strip())
    opened = code in ("unclosed-bracket", "unclosed-quote") and error.context_mark
    return Fault(code, message, text.at(opened or problem), hint)


def _quote(last: Any, line: int, text: MarkedText) -> Fault | None:
    """A text in quotes that ends at a sign behind which its line goes on with a word."""
    quote = getattr(last, "style", None)
    if quote not in ("'", '"') or last.end_mark.line != line:
        return None
    start, end = last.start_mark, last.end_mark
    if not text.lines[line][end.column : end.column + 1].isalnum():
        return None
    if start.line != line:
        message = f"A text in quotes begins here and does not end before line {line + 1}."
        return Fault("unclosed-quote", message, text.at(start), _CLOSE)
    mark = Mark(text.file, line + 1, end.column, 1, text.lines[line])
    message = f"This {_QUOTES[quote]} ends the text in quotes, and more text follows."
    return Fault("quote-inside-text", message, mark, _OTHER[quote])


_CLOSE = "Close it with the quote it began with; write a single quote inside as two: ''."
_QUOTES = {"'": "apostrophe", '"': "quote"}
_OTHER = {
    "'": "Put a text with an apostrophe in double quotes, or write the apostrophe as two: ''.",
    '"': "Put a text with double quotes in single quotes.",
}


def _dash(line: int, text: MarkedText) -> Fault | None:
    """A dash without its blank, in the line that the parser stopped at or in the one before."""
    for number in (line, line - 1):
        source = text.lines[number] if 0 <= number < len(text.lines) else ""
        if found := _DASH.match(source):
            mark = Mark(text.file, number + 1, found.end(), 1, source)
            hint = f"Write a blank behind it: `- {source[found.end() :].strip()[:12]}…`."
            return Fault("missing-blank", "A blank is missing behind this dash.", mark, hint)
    return None


def _no_key(error: Any, last: Any, text: MarkedText) -> Fault | None:
    """A line that should be `key: value` and lacks the colon, or the blank behind it."""
    if "could not find expected ':'" in (error.problem or ""):
        start = error.context_mark
    elif _runs_on(error, last) and _before(last, text) in ("", "-"):
        start = last.start_mark
    else:
        return None
    source = text.lines[start.line]
    found = _KEY.fullmatch(_LINE_END.sub("", source))
    if not found:
        return None
    key, value = found[1], found[2]
    end = len(_LINE_END.sub("", source))
    mark = Mark(text.file, start.line + 1, start.column + 1, max(1, end - start.column), source)
    if f"{key}:" not in source:
        hint = f"Write a colon and a blank behind the key: `{key}: {value or '…'}`."
        hint += " A text that goes on from the line above is indented further than its key."
        return Fault("missing-colon", "There is no colon in this line.", mark, hint)
    message = "No blank is behind the colon."
    if set(_NO_BREAK) & set(source):
        message = "A no-break space is behind the colon: it looks like a blank and is none."
    return Fault("missing-blank", message, mark, f"Write a plain blank there: `{key}: {value}`.")


def _too_far(error: Any, last: Any, text: MarkedText) -> Fault | None:
    """A key that is indented further than the entry above, so that it continues its text."""
    if not _runs_on(error, last) or not _before(last, text):
        return None
    line, above = error.problem_mark.line, last.start_mark.line
    source = text.lines[line]
    start = len(source) - len(source.lstrip())
    mark = Mark(text.file, line + 1, start + 1, error.problem_mark.column - start, source)
    message = f"This line is indented further than line {above + 1}, which has its value already."
    return Fault("bad-indentation", message, mark, _ONE_LEVEL)


_ONE_LEVEL = (
    "One of the two starts at the wrong column: entries of one level start at the same. "
    "Put a text with a colon in quotes."
)


def _runs_on(error: Any, last: Any) -> bool:
    """Whether a text without quotes goes on over lines until a colon that is one too many."""
    return (
        "mapping values are not allowed" in (error.problem or "")
        and getattr(last, "style", "|") in ("", None)  # by parser
        and last.start_mark.line < error.problem_mark.line
    )


def _before(last: Any, text: MarkedText) -> str:
    """What is before a text in its line."""
    start = last.start_mark
    return str(text.lines[start.line][: start.column]).strip()


# By both parsers' wordings, libyaml's and that in Python.
_SYNTAX = (
    (
        r"escape|hexdecimal|hexadecimal",
        "unknown-escape",
        "A backslash in double quotes is not followed by a known character.",
        "Write \\\\ for a backslash, or use single quotes.",
    ),
    (r"nesting", "nested-too-deeply", "Too many levels are nested here.", ""),
    (
        r"expected ',' or '[\]}]'|expected node content|expected the node content",
        "unclosed-bracket",
        "A list or mapping in brackets does not go on or end as it should.",
        "Close every [ with ] and every { with }, with a comma between entries.",
    ),
    (
        r"quoted scalar|unexpected end of stream",
        "unclosed-quote",
        "A text in quotes is not closed.",
        "Close it with the quote it began with; write a single quote inside as two: ''.",
    ),
    (
        r"mapping values are not allowed",
        "colon-in-text",
        "A second `: ` is where a value should be.",
        "Put a text with a colon in quotes; start a key at the same column as its neighbours.",
    ),
    (
        r"cannot start any token",
        "unquoted-sign",
        "A value cannot begin with this character.",
        "Put the text in quotes.",
    ),
    (
        r"expected (?:key|'-' indicator|<block end>)|could not find expected ':'",
        "bad-indentation",
        "This line does not fit to the lines before it.",
        "Entries of one level start at the same column, each as `key: value` or `- value`.",
    ),
)


def _in_plain_words(said: str) -> tuple[str, str, str]:
    """Code, message and hint for a parser's message; its own words where nobody knows better."""
    known = (words for wording, *words in _SYNTAX if re.search(wording, said))
    code, message, hint = next(known, ("not-yaml", f"This is not YAML: {said}.", ""))
    return code, message, hint
