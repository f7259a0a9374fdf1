"""A job without its pilot: read, emptied of all about the pilot, and read again as that copy.

The copy is a job of its own, so that the report made of it proves itself like any other. Only the
workshop's free texts can name the pilot by chance; there the name is taken out. Where a name, a
word of it or a contact is in a file, in a part or the name of one, or as the name of somebody who
worked on the wing, the copy is refused with all the places; so it is where a workshop's rule puts
a name together, or a theme, a picture or a font is called by one. Pictures are listed: nobody looks
into them.
"""

import functools
import io
import json
import os
import re
import tempfile
import zipfile
from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import replace
from pathlib import Path, PurePath
from typing import Any

from trimscribe.errors import Fault, InputError, Mark, Severity
from trimscribe.letters import plain_letters, with_places
from trimscribe.marked_yaml import load
from trimscribe.model.document import Attachment
from trimscribe.model.job import Pilot, Reading
from trimscribe.model.statements import Statements
from trimscribe.model.workshop import InputFile, Workshop
from trimscribe.read.leaks import Sought, inflected
from trimscribe.read.reader import read
from trimscribe.read.readings import PICTURES, FileText, readings
from trimscribe.registry import Registry
from trimscribe.schemas.fields import Schema
from trimscribe.schemas.import_map import ImportMapFileSchema
from trimscribe.schemas.job import JobFileSchema
from trimscribe.schemas.shop import ShopFileSchema
from trimscribe.schemas.specification import SpecificationFileSchema

# Free texts, and what is below these keys.
_FREE = {
    "change",
    "condition",
    "confirmed",
    "deviations",
    "done_by",
    "instrument",
    "method",
    "notes",
    "part",
    "place",
    "reason",
    "remark",
}
_JOB = "redacted.json"  # whatever the job was called: many are called after the pilot
_APART = 20  # characters between two words of a name, such as a comma or the border of a cell
_GONE = "[pilot]"
_SHORTEST = 3  # letters of a name that are taken out wherever they are as a word
_WARNING = Severity.WARNING
_DEPTH = 12  # folders below the private place, so that no name leads out of it
_HINT = "Call it something else, or share nothing: a copy with the name would not be redacted."


def read_redacted(
    path: Path | str, registry: Registry, shop: Path | str = "", root: Path | str = ""
) -> Reading:
    """Read a job without its pilot; raises InputError where the name would still be."""
    whole = read(path, registry, shop, root)
    job = whole.files[0]
    name = whole.job.pilot.name if whole.job.pilot else ""
    words = [word for word in re.split(r"\W+", plain_letters(name)) if len(word) >= _SHORTEST]
    loaded = load(job.data, job.name).data
    assert isinstance(loaded, dict)  # it was read as a job just now
    bare = {key: value for key, value in loaded.items() if key != "pilot"}
    bare = {**_without(bare, words), "redacted": True}
    text = json.dumps(bare, ensure_ascii=False, indent=1) + "\n"
    files = (InputFile(_JOB, text.encode(), "application/json"), *whole.files[1:])
    if faults := [*still_named(files, whole.job.pilot, job)]:
        raise InputError(faults)
    warnings = (*whole.warnings, *_not_searched(files, whole.job.workshop))
    copy = _read_again(files, whole.shop, registry)
    return replace(copy, files=files, warnings=warnings, left_out=whole.job.pilot)


def _without(value: Any, words: Sequence[str], key: str = "") -> Any:
    """The same data with the words taken out of its free texts."""
    if isinstance(value, Mapping):
        below = {name: key if key in _FREE else name for name in value}
        return {name: _without(item, words, below[name]) for name, item in value.items()}
    if isinstance(value, list):
        return [_without(item, words, key) for item in value]
    if isinstance(value, str) and key in _FREE and words:
        named = _replaced(rf"(?<!\w)(?:{'|'.join(map(inflected, words))})(?!\w)", value)
        return re.sub(rf"{re.escape(_GONE)}(?:\s+{re.escape(_GONE)})+", _GONE, named)
    return value


def _replaced(pattern: str, text: str) -> str:
    """The text without what the pattern finds among its plain letters."""
    plain, places = with_places(text)
    kept, end = [], 0
    for found in re.finditer(pattern, plain):
        kept += [text[end : places[found.start()]], _GONE]
        end = places[found.end()]
    return "".join([*kept, text[end:]])


def still_named(files: Sequence[InputFile], pilot: Pilot | None, job: InputFile) -> Iterator[Fault]:
    """Every place where the pilot still is: in a file, its parts, or what it is called.

    `job` is the file as a person knows it.
    """
    if pilot is None:
        return
    sought = Sought(pilot)
    for file in files:
        known = job.name if file.name == _JOB else file.name
        found: dict[tuple[str, int], Fault] = {}
        try:
            for said in readings(file.data, file.name):
                for start, end in sought.places(said.text):
                    if said.plain and _is_key(file, said.text, start, end):
                        continue
                    line = _line(said, start, end, job if file.name == _JOB else None)
                    fault = _leak(known, said, start, end, line)
                    found.setdefault((said.part, line), fault)
        except (ValueError, zipfile.BadZipFile, RuntimeError, OSError):
            message = f"“{known}” cannot be looked through for the pilot's name."
            yield Fault("pilot-still-named", message, Mark(known), "Save it again, unpacked.")
        # What is only found in another reading of the whole file adds no place to those in lines.
        lines = [key for key in found if key[1]]
        yield from (f for key, f in found.items() if key[1] or key[0] or not lines)


def _line(said: FileText, start: int, end: int, job: InputFile | None) -> int:
    """The line of a place in a file as it is, 0 for none; of the copy's job that of the job."""
    if not said.plain:
        return 0
    text, at = said.text, start
    if job:
        text = job.data.decode("utf-8", "replace")
        at = text.rfind(said.text[start:end])
    return text.count("\n", 0, at) + 1 if at >= 0 else 0


def _leak(known: str, said: FileText, start: int, end: int, line: int) -> Fault:
    where = f", in its part {said.part}" if said.part and said.part != known else ""
    return Fault(
        "pilot-still-named",
        f"The pilot's name or contact is in “{known}”{where}, where it cannot be left out.",
        Mark(known, line, source=_around(said.text, start, end)),
        "Take it out there, or share nothing: a copy with the name would not be redacted.",
    )


def _is_key(file: InputFile, text: str, start: int, end: int) -> bool:
    """Whether a word is one of those that our own files are written with, such as `wing:`."""
    if not file.name.lower().endswith((".yaml", ".yml", ".json")):
        return False
    first = max((text.rfind(sign, 0, start) for sign in '\n{,"- '), default=-1) + 1
    token = re.match(r"([a-z_]+)\"?\s*:", text[first:])
    return token is not None and token[1] in _vocabulary() and end <= first + len(token[1])


@functools.cache
def _vocabulary() -> frozenset[str]:
    """The keys of jobs, workshops, specifications and maps."""
    found: set[str] = set()
    schemas: list[Schema] = [
        JobFileSchema(),
        ShopFileSchema(),
        SpecificationFileSchema(),
        ImportMapFileSchema(),
    ]
    seen: set[type[Schema]] = set()
    while schemas:
        schema = schemas.pop()
        if type(schema) not in seen:
            seen.add(type(schema))
            for name, field in schema.fields.items():
                found.add(field.data_key or name)
                schemas += _inside(field)
    return frozenset(found)


def _inside(field: Any) -> Iterator[Schema]:
    if schema := getattr(field, "schema", None):
        yield schema
    for part in ("inner", "value_field", "key_field"):
        if (other := getattr(field, part, None)) is not None:
            yield from _inside(other)


def _around(text: str, start: int, end: int) -> str:
    """The line around a place in a text, cut where it is no line of a person."""
    first = max(text.rfind("\n", 0, start) + 1, start - _APART)
    last = text.find("\n", end)
    return " ".join(text[first : min(last if last >= 0 else len(text), end + 2 * _APART)].split())


def _not_searched(files: Sequence[InputFile], workshop: Workshop) -> Iterator[Fault]:
    """Pictures, in which nobody but a person can look for a name."""
    shown = [file for file in (workshop.logo, workshop.signature) if file]
    for file in dict.fromkeys((*files, *shown)):
        names = [file.name]
        if zipfile.is_zipfile(io.BytesIO(file.data)):
            with zipfile.ZipFile(io.BytesIO(file.data)) as packed:
                names += [f"{file.name}, {part}" for part in packed.namelist()]
        for name in names:
            if name.lower().endswith(PICTURES):
                message = f"The picture “{name}” was not searched for the pilot's name."
                hint = "Look at it yourself before you share the copy."
                yield Fault("picture-not-searched", message, Mark(file.name), hint, _WARNING)


def _read_again(files: Sequence[InputFile], shop: str, registry: Registry) -> Reading:
    with tempfile.TemporaryDirectory(prefix="trimscribe-") as place:
        folder = Path(os.path.realpath(place)).joinpath(*["below"] * _DEPTH)
        for file in files:
            target = Path(os.path.normpath(folder / file.name))
            target.parent.mkdir(parents=True, exist_ok=True)
            target.write_bytes(file.data)
        chosen = folder / shop if shop else ""
        copy = read(folder / files[0].name, registry, chosen, os.path.realpath(place))
    marks = {path: _seen_from(folder, mark) for path, mark in copy.marks.items()}
    return replace(copy, marks=marks)


def _seen_from(folder: Path, mark: Mark) -> Mark:
    """A place in a file as the job names it: nobody knows the private folder."""
    return replace(mark, file=PurePath(os.path.relpath(mark.file, folder)).as_posix())


def named_by_rules(reading: Reading, said: Statements) -> Iterator[Fault]:
    """The workshop's own rules whose sentences name the pilot that was left out."""
    if reading.left_out is None:
        return
    sought = Sought(reading.left_out)
    own = {rule.name for rule in reading.job.workshop.rules}
    for one in (*said.sentences, *said.cautions):
        if one.rule in own and next(sought.places(f"{one.title} {one.text}"), None):
            mark = reading.marks.get(("workshop", "rules", one.rule))
            message = f"The rule `{one.rule}` says the pilot's name or contact: “{one.text}”"
            hint = "Word it without, or share nothing: a copy with the name would not be redacted."
            yield Fault("pilot-still-named", message, mark, hint)


def named_by_look(
    reading: Reading, attachments: Collection[Attachment], shipped: Collection[str]
) -> Iterator[Fault]:
    """What of a look is called by the pilot that was left out, by what `attachments` tell of it.

    `shipped` are names of our own, which mean nobody.
    """
    if reading.left_out is None:
        return
    sought = Sought(reading.left_out)
    data: dict[str, Any] = {one.name: one.data for one in attachments}
    look, manifest = json.loads(data["theme.json"]), json.loads(data["manifest.json"])
    called: Mapping[str, Collection[str]] = {
        "theme": [look["name"]],
        "section": look["sections"],
        "template": look["templates"],
        "picture": look["assets"],
        "font": manifest["fonts"],
    }
    for kind, names in called.items():
        for name in sorted(names):
            if name.rpartition("/")[2] not in shipped and next(sought.places(name), None):
                message = f"The pilot's name or contact is in what a {kind} is called: “{name}”."
                yield Fault("pilot-still-named", message, Mark(look["name"]), _HINT)
