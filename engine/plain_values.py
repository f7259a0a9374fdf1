"""What a word without quotes is: nothing, true or false, a number, text, or a trap.

A trap looks like one value and is read as another by some YAML programs: `010`, `12:30`, `no`.
The reader is strict so that nobody has to know which program reads what.
"""

import re
from dataclasses import dataclass


@dataclass(frozen=True)
class Trap:
    """Why a word is refused, as a sentence, and the way out."""

    code: str
    message: str
    hint: str


_BOOLEANS = {"true": True, "True": True, "TRUE": True} | dict.fromkeys(
    ("false", "False", "FALSE"), False
)
_NULLS = {"", "~", "null", "Null", "NULL"}
_WHOLE = re.compile(r"[-+]?(?:0|[1-9]\d*)", re.ASCII)
_DECIMAL = re.compile(r"[-+]?(?:(?:0|[1-9]\d*)(?:\.\d*)?|\.\d+)(?:[eE][-+]?\d+)?", re.ASCII)
_LONGEST_NUMBER = 40  # characters
# Most words are plain text: these two tell so at once.
_MAY_BE_NUMBER = re.compile(r"[-+.\d]", re.ASCII)
_WORD = re.compile(r"[A-Za-z]{2,8}")

_LOST_COLOUR = re.compile(r"\s*:\s+(#(?:[0-9a-fA-F]{3}){1,2})(?:\s.*)?")

# What looks like a value and is not what it looks like: pattern, code, what it is, the way out.
_TRAPS = (
    (
        re.compile(r"(?i:yes|no|on|off)"),
        "yes-no-boolean",
        "some YAML programs read `{text}` as true or false, others as a word",
        "Write true or false, or put the word in quotes.",
    ),
    (
        re.compile(r"[-+]?0[0-9_]+(?:\.\d*)?", re.ASCII),
        "implicit-octal",
        "`{text}` starts with a zero, which some YAML programs read as an octal number",
        'Write the number without the leading zero, or as text in quotes: "{text}".',
    ),
    (
        re.compile(r"[-+]?0(?:o[0-7_]+|x[0-9a-fA-F_]+|b[01_]+)", re.ASCII),
        "number-in-another-base",
        "`{text}` is a number in another base than ten",
        'Write it in plain decimal digits, or as text in quotes: "{text}".',
    ),
    (
        re.compile(r"[-+]?\d[\d_]*(?::[0-5]?\d)+(?:\.[\d_]*)?", re.ASCII),
        "sexagesimal-number",
        "some YAML programs read `{text}` as a number to the base 60",
        'Put a time or a ratio in quotes: "{text}".',
    ),
    (
        re.compile(r"[-+]?\d[\d.]*_[\d_.]*", re.ASCII),
        "number-with-underscore",
        "`{text}` has an underscore inside a number",
        'Write the digits without it, or as text in quotes: "{text}".',
    ),
    (
        re.compile(r"[-+]?\.(?i:inf|nan)"),
        "not-a-finite-number",
        "`{text}` is not a number that can be measured",
        "Leave out what was not measured, or write ~.",
    ),
)


def plain_value(text: str) -> bool | int | float | str | Trap | None:
    """The value of a word without quotes. Dates stay text; decimal commas are text."""
    if text in _NULLS:
        return None
    if text in _BOOLEANS:
        return _BOOLEANS[text]
    if not _MAY_BE_NUMBER.match(text) and not _WORD.fullmatch(text):
        return text
    if _DECIMAL.fullmatch(text):
        if len(text) <= _LONGEST_NUMBER and abs(value := float(text)) != float("inf"):
            return int(text) if _WHOLE.fullmatch(text) else value
        return Trap("number-too-long", f"`{text[:20]}…` has too many digits.", "Write fewer.")
    for pattern, code, what, hint in _TRAPS:
        if pattern.fullmatch(text):
            message = what.format(text=text)
            return Trap(code, f"{message[0].upper()}{message[1:]}.", hint.format(text=text))
    return text


def lost_colour(behind: str) -> Trap | None:
    """The trap of a colour without quotes, which is a comment; `behind` is what follows its key."""
    found = _LOST_COLOUR.fullmatch(behind)
    if found is None:
        return None
    message = f"`{found[1]}` without quotes is a comment, so nothing is here."
    return Trap("colour-not-quoted", message, f'Put it in quotes: "{found[1]}".')
