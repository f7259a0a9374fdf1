"""What a run tells: results on standard output, all else on standard error, and an exit code.

This is the one place that words faults: for people as text, for programs as data.
"""

import json
import os
import sys
import unicodedata
from collections import Counter
from collections.abc import Iterable
from contextlib import AbstractContextManager, nullcontext
from enum import IntEnum
from typing import TextIO

import click
from rich.cells import cell_len
from rich.console import Console
from rich.table import Table
from rich.text import Text

from trimscribe.errors import ArchiveError, Fault, Mark, Severity
from trimscribe.model.plain import Plain

FORMAT = 1  # of the JSON documents: another number when a key goes or changes its meaning
# Categories that steer a terminal or change the order of what is read: never shown as they are.
_UNSEEN = {"Cc", "Cf", "Cs", "Zl", "Zp"}
_UNCUT = 1000  # columns
_COLOURS = {Severity.ERROR: "red", Severity.WARNING: "yellow"}
_WIDEST = 100  # characters of a line that are shown
_BEFORE = 40  # of which before the place, when the line is cut


class Exit(IntEnum):
    """The code of a run; that of several jobs is the highest of theirs."""

    DONE = 0
    WARNINGS = 1
    INPUT = 2
    THEME = 3
    PLUGIN = 4
    TYPESETTING = 5
    DISK = 6
    STOPPED = 7
    UNPROVEN = 8
    ALTERED = 9
    SIGNING = 10
    NO_PLAN = 11
    USAGE = 64  # 64 and 70 as in BSD's sysexits
    BUG = 70
    INTERRUPTED = 130  # 128 and the signal's number, as shells have it
    READER_LEFT = 141


MEANINGS = {
    Exit.DONE: "done",
    Exit.WARNINGS: "done, with warnings under --strict",
    Exit.INPUT: "faults in the job or a file that it names",
    Exit.THEME: "faults in the theme or the phrases",
    Exit.PLUGIN: "a plugin is unknown, clashes, does not load or fails",
    Exit.TYPESETTING: "the report does not typeset or lacks a required text",
    Exit.DISK: "the report cannot be written, or a different one is there",
    Exit.STOPPED: "a job took too long or too much memory, or its worker died",
    Exit.UNPROVEN: "a PDF is not a report, or cannot be proven here",
    Exit.ALTERED: "a report was altered",
    Exit.SIGNING: "a report could not be signed",
    Exit.NO_PLAN: "no retrim is proposed for this job",
    Exit.USAGE: "the command was used in a wrong way",
    Exit.BUG: "a bug in Trimscribe",
    Exit.INTERRUPTED: "interrupted",
    Exit.READER_LEFT: "the program that read the output has left",
}


def epilog(*codes: Exit) -> str:
    """What the help of a command ends with: these codes, or all of a run over several jobs."""
    title = "Exit codes:" if codes else "Exit codes (of several jobs the highest):"
    lines = (f"  {code:>3}  {MEANINGS[code]}" for code in codes or MEANINGS)
    return "\n".join(("\b", title, *lines))


def print_result(text: str) -> None:
    """Write a line of result to standard output."""
    _write(text + "\n", sys.stdout)


def print_data(data: Plain) -> None:
    """Write one JSON document to standard output, in ASCII so that any encoding can carry it."""
    print_result(json.dumps(data, indent=2, allow_nan=False))


def print_document(code: int, **parts: Plain) -> None:
    """Write the document of a run: `format`, `exit_code` and whatever else it holds."""
    print_data({"format": FORMAT, "exit_code": int(code), **parts})


def print_rows(titles: Iterable[str], rows: Iterable[Iterable[str]]) -> None:
    """Write rows of text as a table with these titles."""
    table = Table(box=None, pad_edge=False)
    for title in titles:
        table.add_column(title, overflow="fold")
    for row in rows:
        table.add_row(*map(clean, row))
    print_table(table)


def print_table(table: Table) -> None:
    """Write a table to standard output, fitted to a terminal and never cut in a file."""
    console = Console(color_system=None, width=None if sys.stdout.isatty() else _UNCUT)
    with console.capture() as captured:
        console.print(table)
    print_result("\n".join(line.rstrip() for line in captured.get().splitlines()))


def print_error(text: Text | str) -> None:
    """Write a line for people to standard error, in colour where a terminal shows it."""
    console = error_console()
    with console.capture() as captured:
        console.print(Text(clean(text)) if isinstance(text, str) else text, soft_wrap=True)
    _write(captured.get(), sys.stderr)


def print_faults(faults: Iterable[Fault]) -> None:
    """Write faults for people to standard error."""
    for fault in faults:
        print_error(_worded(fault))


def _worded(fault: Fault) -> Text:
    """A fault as people read it: place and code, the line with its place underlined, the advice.

    demo.yaml:42:11: length-not-a-number
       42 |   A3: 7,342
          |       ^^^^^
       `before.left.A3` is text; … Write a decimal point, not a comma.
    """
    colour = _COLOURS[fault.severity]
    text = Text()
    text.append(f"{clean(str(fault.mark or 'trimscribe'))}: ", "cyan")
    if fault.severity is Severity.WARNING:
        text.append("warning: ", colour)
    text.append(fault.code, colour)
    if fault.mark and fault.mark.line and fault.mark.source:
        _append_source(text, fault.mark, colour)
    advice = " ".join(f"{fault.message} {fault.hint}".split())
    text.append(f"\n   {clean(advice)}\n")
    return text


def _append_source(text: Text, mark: Mark, colour: str) -> None:
    number = f"{mark.line:>5} "
    source, start, width = _excerpt(clean(mark.source), max(mark.column - 1, 0), mark.width)
    text.append(f"\n{number}| ", "cyan")
    text.append(source)
    if mark.column:
        # Counted in cells: a wide letter takes two, an accent of its own none.
        blanks = " " * cell_len(source[:start])
        carets = "^" * max(cell_len(source[start : start + width]), 1)
        text.append(f"\n{' ' * len(number)}| ", "cyan")
        text.append(f"{blanks}{carets}", colour)


def _excerpt(source: str, start: int, width: int) -> tuple[str, int, int]:
    """The part of a long line around what is underlined, and where that then starts."""
    start = min(start, len(source))
    if len(source) <= _WIDEST:
        return source, start, width
    begin = max(start - _BEFORE, 0)
    end = begin + _WIDEST
    before, after = "…" * (begin > 0), "…" * (end < len(source))
    return before + source[begin:end] + after, start - begin + len(before), min(width, end - start)


def counted(faults: Iterable[Fault]) -> str:
    """Such as "2 errors and 1 warning"; empty when there are none."""
    count = Counter(fault.severity for fault in faults)
    return " and ".join(number_of(n, s) for s in Severity if (n := count[s]))


def number_of(count: int, noun: str) -> str:
    """Such as "2 pages"."""
    return f"{count} {noun}{'s' * (count != 1)}"


def fault_data(fault: Fault) -> Plain:
    """A fault with the keys that `--json` documents; what is not known is null."""
    mark = fault.mark
    return {
        "code": fault.code,
        "severity": str(fault.severity),
        "message": fault.message,
        "hint": fault.hint or None,
        "file": mark.file if mark else None,
        "cell": (mark.cell or None) if mark else None,
        "line": (mark.line or None) if mark else None,
        "column": (mark.column or None) if mark else None,
        "width": mark.width if mark and mark.column else None,
        "source": mark.source if mark and mark.line else None,
    }


def clean(text: str) -> str:
    """Text that is safe on a terminal, each character still one character.

    Control characters become their pictures (␉, ␛), whatever else has no shape becomes �.
    """
    return "".join(map(_shown, text))


def _shown(character: str) -> str:
    code = ord(character)
    if code < 0x20:
        return chr(0x2400 + code)
    if code == 0x7F:
        return "␡"
    return "\N{REPLACEMENT CHARACTER}" if unicodedata.category(character) in _UNSEEN else character


def progress(text: str, *, shown: bool) -> AbstractContextManager[object]:
    """Show on a terminal what is being done, and clear it away at the end."""
    console = error_console()
    if shown and console.is_interactive:
        return console.status(Text(clean(text)))
    return nullcontext()


def error_console() -> Console:
    """Standard error, where text of people is never read as markup."""
    return Console(stderr=True, markup=False, highlight=False, emoji=False)


def _write(text: str, stream: TextIO) -> None:
    try:
        encoding = stream.encoding or "utf-8"
        stream.write(text.encode(encoding, "backslashreplace").decode(encoding))
        stream.flush()
    except BrokenPipeError:
        drop(stream)
        raise click.exceptions.Exit(Exit.READER_LEFT) from None
    except OSError as error:
        drop(stream)
        raise ArchiveError(refused(error)) from error


def drop(stream: TextIO) -> None:
    """Let a stream that takes nothing lead nowhere.

    What is still in its buffer would raise again when Python ends, with an exit code of its own.
    """
    os.dup2(os.open(os.devnull, os.O_WRONLY), stream.fileno())


def refused(error: OSError) -> Fault:
    """What is said where standard output takes nothing."""
    reason = os.strerror(error.errno) if error.errno else type(error).__name__
    return Fault("output-refused", f"The output cannot be written: {reason}.")
