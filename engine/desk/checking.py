"""What a worker does with one file to check: each by its kind, a job or something jobs share."""

from collections.abc import Callable, Mapping, Sequence
from pathlib import Path

from trimscribe.desk import work
from trimscribe.desk.wish import Done, Wish
from trimscribe.doubt_messages import doubt_messages
from trimscribe.errors import Fault, InputError, Severity, ThemeError, TrimscribeError
from trimscribe.exports.files import load_file, open_file
from trimscribe.exports.line_sets import checked_line_set
from trimscribe.exports.mapping.load import load_map
from trimscribe.marked_yaml import load
from trimscribe.model.workshop import names_folder
from trimscribe.pipeline import check_added_sections, check_rules
from trimscribe.registry import installed
from trimscribe.schemas.faults import check
from trimscribe.schemas.shop import ShopFileSchema
from trimscribe.whereabouts import at

FILE_KINDS = ("job", "line set", "shop file", "import map", "theme")
_THEME = "theme.yaml"
# Keys that one kind of file alone has; a job has some of all, so it is asked about first.
_TELLING = (
    ("job", {"service", "wing", "before", "after", "inspection", "adjustments"}),
    ("import map", {"tables"}),
    ("line set", {"rows"}),
    ("theme", {"extends", "tokens", "sections", "wording"}),
    (
        "shop file",
        {"address", "contact", "registration", "logo", "signatory", "letterhead", "name"},
    ),
)


def kind_of_file(path: Path) -> str:
    """The kind by what is written in the file; a job where nothing tells, so that faults show."""
    if path.is_dir():
        return "theme" if (path / _THEME).is_file() else "job"
    if path.name == _THEME:
        return "theme"
    try:
        data = load(open_file(path), path.as_posix()).data
    except InputError:
        return "job"
    keys = set(data) if isinstance(data, Mapping) else set()
    return next((kind for kind, telling in _TELLING if keys & telling), "job")


def checked(wish: Wish) -> Done:
    """All faults of one file. What is not a job is checked as what it is."""
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
    line_set, loaded, warnings = checked_line_set(Path(name))
    from trimscribe.analyse.doubts.specification import specified_doubts

    rows = {
        row: [float(mm) for mm in line_set.lengths[row] if mm is not None]
        for row in line_set.values["rows"]
    }
    confirmed = line_set.values.get("confirmed") or {}
    marks = {("specification", *path): mark for path, mark in loaded.marks.items()}
    doubts = [doubt for doubt in specified_doubts(rows) if doubt.name not in confirmed]
    return [*warnings, *doubt_messages(doubts, marks)]


def _map(name: str) -> Sequence[Fault]:
    path = Path(name)
    plan, faults = load_map(open_file(path), path.as_posix())
    if plan is None:
        raise InputError(faults)
    return faults


def _shop(name: str) -> Sequence[Fault]:
    loaded = load_file(Path(name))
    values, faults = check(ShopFileSchema(), loaded)
    if any(fault.severity is Severity.ERROR for fault in faults):
        raise InputError(tuple(faults))
    marks = {("workshop", *path): mark for path, mark in loaded.marks.items()}
    if rules := values.get("rules"):
        check_rules(rules, values.get("language") or "", installed(), marks)
    if added := values.get("add_sections"):
        theme = values.get("theme") or ""
        if names_folder(theme):
            theme = f"./{(Path(name).parent / theme).as_posix()}"
        check_added_sections(added, theme, installed(), marks)
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
