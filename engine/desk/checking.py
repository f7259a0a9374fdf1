"""What a worker does with one file to check: each by its kind, a job or something jobs share."""

from collections.abc import Callable, Sequence
from pathlib import Path

from trimscribe.desk import work
from trimscribe.desk.wish import Done, Wish
from trimscribe.errors import Fault, Severity, ThemeError, TrimscribeError
from trimscribe.imports.kinds import check_line_set, check_map, check_shop, kind_of_file
from trimscribe.please_check import please_check
from trimscribe.whereabouts import at

__all__ = ["checked"]


def checked(wish: Wish) -> Done:
    """All faults of one file. What is no job is checked as what it is."""
    at(wish.job)
    kind = kind_of_file(Path(wish.job))
    if kind not in _CHECKS:
        return work.checked(wish)
    try:
        return Done(tuple(_CHECKS[kind](wish.job)), kind=kind)
    except TrimscribeError as error:
        return Done(tuple(error.faults), exit_code=error.exit_code, kind=kind)


def _line_set(name: str) -> Sequence[Fault]:
    """Faults as in a job, and specified lengths that do not fit their neighbours."""
    # Numpy loads here: a faulty line set is reported without waiting for it.
    line_set, loaded, warnings = check_line_set(Path(name))
    from trimscribe.analyse.doubts.specification import specified_doubts

    rows = {
        row: [float(mm) for mm in line_set.lengths[row] if mm is not None]
        for row in line_set.values["rows"]
    }
    confirmed = line_set.values.get("confirmed") or {}
    marks = {("specification", *path): mark for path, mark in loaded.marks.items()}
    doubts = [doubt for doubt in specified_doubts(rows) if doubt.name not in confirmed]
    return [*warnings, *please_check(doubts, marks)]


def _map(name: str) -> Sequence[Fault]:
    return check_map(Path(name))


def _shop(name: str) -> Sequence[Fault]:
    check_shop(Path(name))
    return ()


def _theme(name: str) -> Sequence[Fault]:
    path = Path(name)
    shown = (path if path.is_dir() else path.parent).as_posix()
    # A folder is told from the name of an installed theme by its slash.
    faults = work.checked_theme(shown if "/" in shown else f"./{shown}").faults
    if any(fault.severity is Severity.ERROR for fault in faults):
        raise ThemeError(faults)
    return faults


_CHECKS: dict[str, Callable[[str], Sequence[Fault]]] = {
    "line set": _line_set,
    "import map": _map,
    "shop file": _shop,
    "theme": _theme,
}
