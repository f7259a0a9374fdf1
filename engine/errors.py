"""Everything that can go wrong, as one tree, and how a fault says what would mend it.

    TrimscribeError                  base; never raised itself             exit 70
    ├── InputError                   read: faults in what people wrote     exit 2
    ├── ThemeError                   compose: faults in a theme            exit 3
    ├── PhraseError                  narrate: faults in rules or phrases   exit 3
    ├── PluginError                  registry: unknown, clashing, broken   exit 4
    ├── TypesetError                 typeset: the document did not set     exit 5
    ├── ArchiveError                 archive: the disk said no             exit 6
    ├── StoppedError                 cell: over a limit, or worker died    exit 7
    ├── ReadbackError                readback: a PDF is not a report          exit 8
    ├── SignError                    sign: the report was not signed       exit 10
    └── PlanError                    plan: no retrim is proposed           exit 11

Errors hold data (`Fault`: code, message, mark, hint). One place, `trimscribe.cli.output`,
words them for people.
"""

import re
import traceback
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from difflib import get_close_matches
from enum import StrEnum
from typing import Any, Self

__all__ = [
    "ArchiveError",
    "Fault",
    "InputError",
    "Mark",
    "PhraseError",
    "PlanError",
    "PluginError",
    "ReadbackError",
    "Severity",
    "SignError",
    "StoppedError",
    "ThemeError",
    "TrimscribeError",
    "TypesetError",
    "bug",
    "first_of",
    "number_hint",
    "suggest",
]


@dataclass(frozen=True, order=True)
class Mark:
    """A place in a file that a person wrote; line and column count from 1.

    `file` is the path as the person typed it, never an absolute path they did not type.
    `width` is the number of characters to underline, `source` the whole offending line. In a
    spreadsheet `cell` says the place, such as `Sheet1!C14`: `line` is its row, `source` shows the
    cells of that row, and `column` counts in there.
    """

    file: str
    line: int = 0
    column: int = 0
    width: int = 1
    source: str = ""
    cell: str = ""

    def __post_init__(self) -> None:
        """Forget the column of a line that is not known, whoever says one."""
        if not self.line:
            object.__setattr__(self, "column", 0)

    def __str__(self) -> str:
        """Read as `file:line:column` or `file:Sheet1!C14`, leaving out what is unknown."""
        if self.cell:
            return f"{self.file}:{self.cell}"
        return ":".join([self.file, *(str(n) for n in (self.line, self.column) if n)])


class Severity(StrEnum):
    """Whether a fault stops the work or travels beside the result."""

    ERROR = "error"
    WARNING = "warning"


@dataclass(frozen=True)
class Fault:
    """One thing that is wrong: what was found, where, and what would be right.

    `code` is stable and documented; `message` is one sentence; `hint` says how to mend it.
    """

    code: str
    message: str
    mark: Mark | None = None
    hint: str = ""
    severity: Severity = Severity.ERROR


class TrimscribeError(Exception):
    """Base of all errors that Trimscribe raises on purpose."""

    exit_code = 70

    def __init__(self, faults: Fault | Sequence[Fault]) -> None:
        """Carry one fault or many; many are kept in the order given."""
        self.faults: tuple[Fault, ...] = (faults,) if isinstance(faults, Fault) else tuple(faults)
        super().__init__("; ".join(fault.message for fault in self.faults))

    @classmethod
    def of(cls, code: str, message: str, mark: Mark | None = None, hint: str = "") -> Self:
        """Carry one fault, which is made of these."""
        return cls(Fault(code, message, mark, hint))


class InputError(TrimscribeError):
    """Raised by `read`: all faults of a job and the files it names, in file order."""

    exit_code = 2


class ThemeError(TrimscribeError):
    """Raised by `compose`: a theme, template or asset is wrong."""

    exit_code = 3


class PhraseError(TrimscribeError):
    """Raised by `narrate`: a rule or a phrase of a language is missing or wrong."""

    exit_code = 3


class PluginError(TrimscribeError):
    """Raised by `registry`: a plugin is unknown, clashes with another or does not load."""

    exit_code = 4


class TypesetError(TrimscribeError):
    """Raised by `typeset`: the document does not set, or the file lacks what it must say."""

    exit_code = 5


class ArchiveError(TrimscribeError):
    """Raised by `archive`: the file could not be written, or another one is in its place."""

    exit_code = 6


class StoppedError(TrimscribeError):
    """Raised by `cell`: work took too long or too much memory, or its worker died."""

    exit_code = 7


class ReadbackError(TrimscribeError):
    """Raised by `readback`: a PDF cannot be read back as a report."""

    exit_code = 8


class SignError(TrimscribeError):
    """Raised by `sign`: the report could not be signed."""

    exit_code = 10


class PlanError(TrimscribeError):
    """Raised by `plan`: why no retrim is proposed for this job."""

    exit_code = 11


def any_error(faults: Iterable[Fault]) -> bool:
    """Whether any of them is an error, and not a warning."""
    return any(fault.severity is Severity.ERROR for fault in faults)


_MOST = 200  # errors, and as many warnings, as of a schema


def first_of(faults: Iterable[Fault]) -> tuple[Fault, ...]:
    """The first errors and warnings; a file can make any number of them, and nobody reads more."""
    found = tuple(faults)
    if len(found) <= _MOST:
        return found
    kept: list[Fault] = []
    for severity in Severity:
        of_kind = [fault for fault in found if fault.severity is severity]
        kept += of_kind[:_MOST]
        if (more := len(of_kind) - _MOST) > 0:
            message, hint = f"There are {more} more like these.", "Mend these first."
            kept.append(Fault("more-faults", message, kept[-1].mark, hint, severity))
    return tuple(kept)


def bug(error: Exception) -> Fault:
    """What people are told of a bug: where it is, never what this machine's folders are called."""
    places = [
        f" in {frame.f_globals['__name__']}, line {line}"
        for frame, line in traceback.walk_tb(error.__traceback__)
        if frame.f_globals.get("__name__", "").partition(".")[0] == "trimscribe"
    ]
    return Fault(
        "bug",
        f"This is a bug in Trimscribe: {type(error).__name__}{places[-1] if places else ''}.",
        hint="Please report it, with what TRIMSCRIBE_TRACEBACK=1 shows.",
    )


def kind_of(value: object) -> str:
    """What kind of thing a value is, with its article: `a list`, `an object`."""
    name = type(value).__name__
    return f"{'an' if name[:1].lower() in 'aeiou' else 'a'} {name}"


_MOST_NAMES = 12  # listed; a longer list is no help


def nearest(word: object, names: Iterable[str]) -> str:
    """The name that somebody who wrote `word` may have meant, whatever its case; else nothing."""
    written, by_lower = str(word).lower(), {name.lower(): name for name in names}
    # One slip in a word of three or four letters is near; by the usual 0.6 `pilot` was `cloth`.
    near = get_close_matches(written, by_lower, n=1, cutoff=2 / 3 if len(written) == 3 else 0.75)
    return by_lower[near[0]] if near else ""


def suggest(word: object, names: Iterable[str], *, listed: bool = True) -> str:
    """The nearest name, or else (if `listed`) all that are allowed, as a sentence."""
    known = list(dict.fromkeys(names))
    if near := nearest(word, known):
        return f"Did you mean `{near}`?"
    if not known or not listed:
        return ""
    allowed = ", ".join(f"`{name}`" for name in known[:_MOST_NAMES])
    return f"Allowed: {allowed}{' …' if len(known) > _MOST_NAMES else ''}."


def number_hint(value: Any, nothing: str = "For something not measured write ~.") -> str:
    """How to mend what should have been a number; `nothing` says how to leave it out."""
    if not isinstance(value, str):
        return ""
    text = value.strip()
    if re.fullmatch(r"[-+]?\d+,\d+", text):
        return "Write a decimal point, not a comma."
    if re.fullmatch(r"[-+]?\d+\.?\d*", text):
        return "Write the number without quotes."
    if re.fullmatch(r"[-+]?\d[\d ,.'’\u00a0\u202f]*", text):
        return "Write the digits without spaces or separators, with a point before the decimals."
    if re.fullmatch(r"[-+]?[\d.,]+\s*[^\W\d]+[^\W]*", text):
        return "The unit is in the key; write the number alone."
    if text.lower() in ("-", "?", "", "x", "n/a", "nan", "inf", "none"):
        return nothing
    return ""
