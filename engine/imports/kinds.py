"""What kind of file somebody names, and the check of those that are no job."""

from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

from trimscribe.errors import Fault, InputError, Severity
from trimscribe.imports.files import load_file, open_file, typed
from trimscribe.imports.line_sets import CheckedLineSet, checked_line_set
from trimscribe.marked_yaml import LoadedYaml, load
from trimscribe.read.maps.load import load_map
from trimscribe.schemas.faults import check
from trimscribe.schemas.shop import ShopFileSchema

__all__ = ["FILE_KINDS", "check_line_set", "check_map", "check_shop", "kind_of_file"]

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
        data = load(open_file(path), typed(path)).data
    except InputError:
        return "job"
    keys = set(data) if isinstance(data, Mapping) else set()
    return next((kind for kind, telling in _TELLING if keys & telling), "job")


def check_line_set(path: Path) -> tuple[CheckedLineSet, LoadedYaml, Sequence[Fault]]:
    """A line set, its text, and its warnings; InputError with all its faults."""
    return checked_line_set(path)


def check_map(path: Path) -> Sequence[Fault]:
    """The warnings of an import map; InputError with all its faults."""
    plan, faults = load_map(open_file(path), typed(path))
    if plan is None:
        raise InputError(faults)
    return faults


def check_shop(path: Path) -> Mapping[str, Any]:
    """The values of a shop file; InputError with all its faults."""
    values, faults = check(ShopFileSchema(), load_file(path))
    if any(fault.severity is Severity.ERROR for fault in faults):
        raise InputError(tuple(faults))
    return values
