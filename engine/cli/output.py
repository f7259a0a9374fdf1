"""What is written where: results on standard output, everything else on standard error."""

import json
import os
import sys
import unicodedata
from collections.abc import Iterable
from contextlib import AbstractContextManager, nullcontext
from typing import TextIO

import click
from rich.console import Console
from rich.table import Table
from rich.text import Text

from trimscribe.cli.exits import Exit
from trimscribe.errors import ArchiveError, Fault
from trimscribe.model.plain import Plain

FORMAT = 1  # of the JSON documents: another number when a key goes or changes its meaning
# Categories that steer a terminal or change the order of what is read: never shown as they are.
_UNSEEN = {"Cc", "Cf", "Cs", "Zl", "Zp"}
_UNCUT = 1000  # columns


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
    console = _console()
    with console.capture() as captured:
        console.print(Text(clean(text)) if isinstance(text, str) else text, soft_wrap=True)
    _write(captured.get(), sys.stderr)


def progress(text: str, *, shown: bool) -> AbstractContextManager[object]:
    """Show on a terminal what is being done, and clear it away at the end."""
    console = _console()
    if shown and console.is_interactive:
        return console.status(Text(clean(text)))
    return nullcontext()


def _console() -> Console:
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
