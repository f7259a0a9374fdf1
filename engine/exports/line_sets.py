"""Line sets: one by its path, that of a job, or one searched by maker, model and size."""

import contextlib
import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from trimscribe.errors import Fault, InputError, Mark, any_error, suggest
from trimscribe.exports.files import files_below, load_file, open_file
from trimscribe.letters import plain_letters
from trimscribe.marked_yaml import LoadedYaml, load
from trimscribe.resources.file_access import DATA, fetch
from trimscribe.resources.worlds import root_of
from trimscribe.schemas.faults import FaultList, ValidValues, check
from trimscribe.schemas.fields import Schema
from trimscribe.schemas.specification import SpecificationFileSchema, SpecificationSchema
from trimscribe.validation.line_set import check_specification, specified

_MOST_FILES = 5_000  # looked at in a folder
_NAMES = ("maker", "model", "size")
_ROWS = re.compile(rb'^"?rows"?\s*:', re.MULTILINE)
_ENDINGS = (".yaml", ".yml", ".json")


@dataclass(frozen=True)
class CheckedLineSet:
    """A checked line set: its file as typed, its values, and its lengths in mm by group."""

    path: Path
    values: Mapping[str, Any]
    lengths: Mapping[str, Sequence[float | None]]

    @property
    def called(self) -> str:
        """Maker, model and size as one name."""
        return " ".join(str(self.values[name]) for name in _NAMES)


def line_set(path: Path) -> CheckedLineSet:
    """Read one line set; InputError with all its faults."""
    return checked_line_set(path)[0]


def checked_line_set(path: Path) -> tuple[CheckedLineSet, LoadedYaml, tuple[Fault, ...]]:
    """A line set with its text and its warnings; InputError with all its faults."""
    loaded = load_file(path)
    found, warnings = _checked(path, loaded, SpecificationFileSchema())
    return found, loaded, warnings


def _checked(
    path: Path, loaded: LoadedYaml, schema: Schema
) -> tuple[CheckedLineSet, tuple[Fault, ...]]:
    """A line set and its warnings; InputError with all its faults where there is an error."""
    values, found = check(schema, loaded)
    written = ValidValues(values, loaded)
    faults = FaultList()
    faults.add(*found)
    faults.end_round()
    check_specification(written, faults)
    reported = tuple(faults.sorted([loaded.text.file]))
    if any_error(reported):
        raise InputError(reported)
    return CheckedLineSet(path, values, specified(written)), reported


def job_line_set(job: LoadedYaml) -> CheckedLineSet | None:
    """The line set that a job names or holds; None when it has none."""
    named = job.data.get("specification") if isinstance(job.data, Mapping) else None
    path = Path(job.text.file)
    if isinstance(named, str):
        data = fetch(path.parent, named, DATA, job.mark(("specification",)), root_of(path.parent))
        if isinstance(data, Fault):
            raise InputError(data)
        loaded = load(data, (path.parent / named).as_posix())
        if loaded.faults:
            raise InputError(loaded.faults)
        return _checked(path.parent / named, loaded, SpecificationFileSchema())[0]
    if not isinstance(named, Mapping):
        return None
    inside = LoadedYaml(named, _below(job.marks), _below(job.keys), (), job.text)
    return _checked(path, inside, SpecificationSchema())[0]


def _below(marks: Mapping[tuple[str | int, ...], Mark]) -> dict[tuple[str | int, ...], Mark]:
    return {place[1:]: mark for place, mark in marks.items() if place[:1] == ("specification",)}


def find_line_set(wanted: str, folder: Path) -> CheckedLineSet:
    """A line set by its path, or by words of its maker, model and size in a folder and below.

    InputError when none fits, or several do.
    """
    if wanted.lower().endswith(_ENDINGS):
        return line_set(Path(wanted))
    words = plain_letters(wanted).split()
    known = dict(_named(folder))
    fitting = [path for path, name in known.items() if _fits(words, name)]
    if len(fitting) == 1:
        return line_set(fitting[0])
    place = Mark(folder.as_posix())
    if fitting:
        listed = ", ".join(f"“{known[path]}” ({path.as_posix()})" for path in fitting[:6])
        raise InputError.of(
            "several-line-sets",
            f"“{wanted}” fits {len(fitting)} line sets: {listed}.",
            place,
            "Add maker or size, or give the path of one.",
        )
    advice = suggest(wanted, known.values()) or (
        "Give its path, or another folder with --lines; `trimscribe new --line-set FILE --from "
        "TABLE` makes one of a maker's table."
    )
    raise InputError(
        (
            Fault(
                "line-set-not-found", f"No line set in this folder fits “{wanted}”.", place, advice
            ),
            *_unreadable(folder),
        )
    )


def _unreadable(folder: Path) -> Iterator[Fault]:
    """Files that look like line sets and cannot be read, each with its first fault."""
    for path in files_below(folder, _ENDINGS, _MOST_FILES):
        with contextlib.suppress(InputError):
            data = open_file(path)
            loaded = load(data, path.as_posix())
            if loaded.faults and _ROWS.search(data):
                yield loaded.faults[0]


def _fits(words: Sequence[str], name: str) -> bool:
    """Whether every word is one of the name's, accents or not: `M` is no part of `Medlar`."""
    parts = plain_letters(name).split()
    return bool(words) and all(word in parts for word in words)


def _named(folder: Path) -> Iterator[tuple[Path, str]]:
    """Every line set below a folder with its maker, model and size."""
    for path in files_below(folder, _ENDINGS, _MOST_FILES):
        if called := _called(path):
            yield path, called


def _called(path: Path) -> str:
    """Maker, model and size, when the file is a line set whatever its faults."""
    try:
        data = load(open_file(path), path.as_posix()).data
    except InputError:
        return ""
    if not isinstance(data, Mapping) or "rows" not in data:
        return ""
    return " ".join(str(data[name]) for name in _NAMES if data.get(name) is not None)
