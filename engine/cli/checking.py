"""`trimscribe check`: each file by its kind, a job or something that jobs share."""

from collections.abc import Callable
from pathlib import Path

from trimscribe.cli.exits import Exit
from trimscribe.cli.work import Outcome, Workbench, attempt
from trimscribe.errors import Severity
from trimscribe.imports.kinds import check_line_set, check_map, check_shop, kind_of_file
from trimscribe.please_check import please_check

__all__ = ["check_file"]


def check_file(bench: Workbench, name: str) -> Outcome:
    """All faults of one file. What is no job is checked as what it is."""
    kind = kind_of_file(Path(name))
    checks: dict[str, Callable[[Workbench, Outcome], None]] = {
        "line set": _line_set,
        "import map": _map,
        "shop file": _shop,
        "theme": _theme,
    }
    if kind not in checks:
        return bench.check(name)
    with attempt(name) as outcome:
        outcome.kind = kind
        checks[kind](bench, outcome)
    outcome.kind = kind
    return outcome


def _line_set(_: Workbench, outcome: Outcome) -> None:
    """Faults as in a job, and specified lengths that do not fit their neighbours."""
    # Numpy loads here: a faulty line set is reported without waiting for it.
    line_set, loaded, warnings = check_line_set(Path(outcome.job))
    from trimscribe.analyse.doubts.specification import specified_doubts

    outcome.faults += warnings
    rows = {
        name: [float(mm) for mm in line_set.lengths[name] if mm is not None]
        for name in line_set.values["rows"]
    }
    confirmed = line_set.values.get("confirmed") or {}
    marks = {("specification", *path): mark for path, mark in loaded.marks.items()}
    doubts = [doubt for doubt in specified_doubts(rows) if doubt.name not in confirmed]
    outcome.faults += please_check(doubts, marks)


def _map(_: Workbench, outcome: Outcome) -> None:
    outcome.faults += check_map(Path(outcome.job))


def _shop(_: Workbench, outcome: Outcome) -> None:
    check_shop(Path(outcome.job))


def _theme(bench: Workbench, outcome: Outcome) -> None:
    from trimscribe.theming import check_theme
    from trimscribe.world import World

    path = Path(outcome.job)
    folder = path if path.is_dir() else path.parent
    shown = folder.as_posix()
    # A folder is told from the name of an installed theme by its slash.
    checked = check_theme(shown if "/" in shown else f"./{shown}", bench.registry, World.real())
    outcome.faults += checked.faults
    if any(fault.severity is Severity.ERROR for fault in checked.faults):
        outcome.exit_code = Exit.THEME
