"""What a YAML parser says of a file that it cannot read, in plain words."""

import re
from typing import NamedTuple


class SyntaxMessage(NamedTuple):
    """A fault's code, what is wrong, and what to do about it."""

    code: str
    message: str
    hint: str


# By both parsers' wordings, libyaml's and that in Python.
_SYNTAX = (
    (
        r"escape|hexdecimal|hexadecimal",
        "unknown-escape",
        "a backslash in double quotes is not followed by a known character",
        "Write \\\\ for a backslash, or use single quotes.",
    ),
    (
        r"nesting",
        "nested-too-deeply",
        "too many levels are nested here",
        "",
    ),
    (
        r"expected ',' or '[\]}]'|expected node content|expected the node content",
        "unclosed-bracket",
        "a list or mapping in brackets does not go on or end as it should",
        "Close every [ with ] and every { with }, with a comma between entries.",
    ),
    (
        r"quoted scalar|unexpected end of stream",
        "unclosed-quote",
        "a text in quotes is not closed",
        "Close it with the quote it began with; write a single quote inside as two: ''.",
    ),
    (
        r"mapping values are not allowed",
        "colon-in-text",
        "a second `: ` is where a value should be",
        "Put a text with a colon in quotes; start a key at the same column as its neighbours.",
    ),
    (
        r"cannot start any token",
        "unquoted-sign",
        "a value cannot begin with this character",
        "Put the text in quotes.",
    ),
    (
        r"expected (?:key|'-' indicator|<block end>)|could not find expected ':'",
        "bad-indentation",
        "this line does not fit to the lines before it",
        "Entries of one level start at the same column, each as `key: value` or `- value`.",
    ),
)


def plain_words(said: str) -> SyntaxMessage:
    """What a parser's message means; its own words where nobody knows better."""
    known = (SyntaxMessage(*words) for wording, *words in _SYNTAX if re.search(wording, said))
    return next(known, SyntaxMessage("not-yaml", f"this is not YAML: {said}", ""))
