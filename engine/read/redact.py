"""A job without its pilot: read, emptied of all about the pilot, and read again as that copy.

The copy is a job of its own, so that the report made of it proves itself like any other. Only the
workshop's free texts can name the pilot by chance; there the name is taken out. Where it stands in
a file, workbooks among them, in a file's name, or as the name of somebody who worked on the wing,
the copy is refused.
"""

import io
import itertools
import json
import os
import re
import tempfile
import zipfile
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

from trimscribe.errors import Fault, InputError, Mark
from trimscribe.letters import plain_letters, with_places
from trimscribe.marked_yaml import load
from trimscribe.model.job import InputFile, Pilot, Reading
from trimscribe.read.reader import read

if TYPE_CHECKING:
    from trimscribe.registry import Registry

__all__ = ["read_redacted"]

# Free texts, and what stands below these keys.
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
_SHORTEST = 3  # letters of a name that are taken out wherever they stand as a word
_OLD_WORKBOOK = b"\xd0\xcf\x11\xe0"
_DEPTH = 12  # folders below the private place, so that no name leads out of it


def read_redacted(
    path: Path | str, registry: "Registry", shop: Path | str = "", root: Path | str = ""
) -> Reading:
    """Read a job without its pilot; raises InputError where the name would still stand."""
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
    if faults := [*_still_named(files, whole.job.pilot, job.name)]:
        raise InputError(faults)
    return replace(_read_again(files, whole.shop, registry), files=files, warnings=whole.warnings)


def _without(value: Any, words: Sequence[str], key: str = "") -> Any:
    """The same data with the words taken out of its free texts."""
    if isinstance(value, Mapping):
        below = {name: key if key in _FREE else name for name in value}
        return {name: _without(item, words, below[name]) for name, item in value.items()}
    if isinstance(value, list):
        return [_without(item, words, key) for item in value]
    if isinstance(value, str) and key in _FREE and words:
        named = _replaced(rf"(?<!\w)(?:{'|'.join(map(re.escape, words))})(?!\w)", value)
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


def _still_named(files: Sequence[InputFile], pilot: Pilot | None, job: str) -> Iterator[Fault]:
    """Where the pilot still stands: in a file, or in what the file is called.

    `job` is what the job was called, so that a person knows the file by its name.
    """
    if pilot is None:
        return
    pattern = _pattern(pilot)
    for file in files:
        known = job if file.name == _JOB else file.name
        for text in (file.name, *_texts(file.data)):
            if (said := pattern.search(plain_letters(text))) is None:
                continue
            place = with_places(text)[1][said.start()]
            yield Fault(
                "pilot-still-named",
                f"The pilot's name stands in “{known}”, where it cannot be left out.",
                Mark(known, text.count("\n", 0, place) + 1, source=_line(text, place)),
                "Take it out there, or share nothing: a copy with the name would not be redacted.",
            )
            break


def _line(text: str, place: int) -> str:
    """The line around a place in a text, cut where it is no line of a person."""
    start = max(text.rfind("\n", 0, place) + 1, place - _APART)
    return " ".join(text[start:].split("\n", 1)[0][: 3 * _APART].split())


def _pattern(pilot: Pilot) -> re.Pattern[str]:
    """Two words of the name near each other in either order, or its one word; or the contact.

    It is held against plain letters.
    """
    name = plain_letters(pilot.name)
    words = list(dict.fromkeys(re.findall(r"\w+", name)))
    long = [word for word in words if len(word) >= _SHORTEST]
    words = long if len(long) > 1 else words
    whole = [rf"(?<![^\W_]){re.escape(word)}(?![^\W_])" for word in words]
    near = rf".{{1,{_APART}}}?".join
    orders = [*map(near, itertools.permutations(whole, 2))] if len(whole) > 1 else whole
    contact = r"\s+".join(map(re.escape, plain_letters(pilot.contact).split()))
    named = "|".join(filter(None, [*orders, contact])) or re.escape(name)
    return re.compile(named, re.DOTALL)


def _texts(data: bytes) -> Iterator[str]:
    """What a file says, in every way that it may be written; a workbook's parts without marks."""
    yield data.decode("utf-8", "replace")
    if data.startswith(_OLD_WORKBOOK):
        yield data.decode("utf-16-le", "replace")
        yield data[1:].decode("utf-16-le", "replace")
        yield data.decode("latin-1")
    if zipfile.is_zipfile(io.BytesIO(data)):  # it was read as an export, so it is of bearable size
        with zipfile.ZipFile(io.BytesIO(data)) as packed:
            for part in packed.infolist():
                yield re.sub(r"<[^>]*>", " ", packed.read(part).decode("utf-8", "replace"))


def _read_again(files: Sequence[InputFile], shop: str, registry: "Registry") -> Reading:
    with tempfile.TemporaryDirectory(prefix="trimscribe-") as place:
        folder = Path(os.path.realpath(place)).joinpath(*["below"] * _DEPTH)
        for file in files:
            target = Path(os.path.normpath(folder / file.name))
            target.parent.mkdir(parents=True, exist_ok=True)
            target.write_bytes(file.data)
        chosen = folder / shop if shop else ""
        return read(folder / files[0].name, registry, chosen, os.path.realpath(place))
