"""The one place that words faults: for people as text, for programs as data."""

from collections import Counter
from collections.abc import Iterable

from rich.cells import cell_len
from rich.text import Text

from trimscribe.cli.output import clean, print_error
from trimscribe.errors import Fault, Mark, Severity
from trimscribe.model.plain import Plain

_COLOURS = {Severity.ERROR: "red", Severity.WARNING: "yellow"}
_WIDEST = 100  # characters of a line that are shown
_BEFORE = 40  # of which before the place, when the line is cut


def print_faults(faults: Iterable[Fault]) -> None:
    """Write faults for people to standard error."""
    for fault in faults:
        print_error(_text(fault))


def _text(fault: Fault) -> Text:
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
    parts = [f"{n} {s}{'s' * (n != 1)}" for s in Severity if (n := count[s])]
    return " and ".join(parts)


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
