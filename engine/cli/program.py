"""The program around the commands: whatever happens ends in an exit code and a plain line."""

import inspect
import os
import sys
import traceback
from typing import Any, NoReturn

import click

from trimscribe import errors
from trimscribe.cli.output import Exit, drop, print_error, print_faults, refused
from trimscribe.errors import Fault, TrimscribeError

TRACEBACK = "TRIMSCRIBE_TRACEBACK"


class Program(click.Group):
    """A group of commands, each of which returns its exit code."""

    def main(self, *args: Any, **extra: Any) -> NoReturn:
        """Run one command and leave with its exit code; never with a traceback."""
        extra["standalone_mode"] = False
        _stand_in()
        try:
            code = super().main(*args, **extra)
        except click.Abort:
            code = Exit.INTERRUPTED
        except click.ClickException as error:
            _print_wrong_use(error)
            code = Exit.USAGE
        except TrimscribeError as error:
            show_notes(error)
            print_faults(error.faults)
            code = error.exit_code
        except OSError as error:
            printed = _in_click(error)
            if printed:
                drop(sys.stdout)
            print_faults([refused(error) if printed else bug(error)])
            code = Exit.DISK if printed else Exit.BUG
        except Exception as error:
            print_faults([bug(error)])
            code = Exit.BUG
        sys.exit(code)


def _in_click(error: Exception) -> bool:
    """Whether it was raised where click writes: the help; all else we write ourselves."""
    return traceback.extract_tb(error.__traceback__)[-1].filename == inspect.getfile(click.echo)


def _print_wrong_use(error: click.ClickException) -> None:
    context = getattr(error, "ctx", None)
    command = context.command_path if context else "trimscribe"
    print_error(f"{command}: {error.format_message()}")
    print_error(f"Try `{command} --help`.")


def bug(error: Exception) -> Fault:
    """What people are told of a bug; where they wish so, with the traceback before it."""
    show_traceback("".join(traceback.format_exception(error)))
    return errors.bug(error)


def show_notes(error: TrimscribeError) -> None:
    """Write the traceback that an error has brought from a worker, where somebody asks for it."""
    for note in getattr(error, "__notes__", ()):
        show_traceback(note)


def show_traceback(text: str) -> None:
    """Write a traceback to standard error, where the environment asks for it."""
    if text and os.environ.get(TRACEBACK):
        print_error(text.rstrip())


def _stand_in() -> None:
    """Put nothing in the place of closed streams: an empty input, an output that nobody reads.

    Else the next file or pipe that is opened gets their number, here and in the workers: a pipe
    to one would be taken for its output, and both would wait for ever.
    """
    for number, name in enumerate(("stdin", "stdout", "stderr")):
        if getattr(sys, name) is not None:
            continue
        found = os.open(os.devnull, os.O_RDWR)
        if found != number and not _is_open(number):
            os.dup2(found, number)
        elif found == number:
            os.set_inheritable(number, True)
        setattr(sys, name, os.fdopen(found, "w" if number else "r", encoding="utf-8"))


def _is_open(number: int) -> bool:
    try:
        os.fstat(number)
    except OSError:
        return False
    return True
