"""A job without its pilot: read, emptied of all about the pilot, and read again as that copy.

The copy is a job of its own, so that the report made of it proves itself like any other. Only the
workshop's free texts can name the pilot by chance; there the name is taken out. Where it stands in
a file or as the name of somebody who worked on the wing, the copy is refused.
"""

import json
import os
import re
import tempfile
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from pathlib import Path, PurePosixPath
from typing import TYPE_CHECKING, Any

from trimscribe.errors import Fault, InputError, Mark
from trimscribe.marked_yaml import load
from trimscribe.model.job import InputFile, Reading
from trimscribe.read.reader import read

if TYPE_CHECKING:
    from trimscribe.registry import Registry

__all__ = ["read_redacted"]

_FREE = {"reason", "notes", "remark", "place", "part", "method", "instrument", "changed"}
_GONE = "[pilot]"
_SHORTEST = 3  # letters of a name that are taken out wherever they stand as a word
_DEPTH = 12  # folders below the private place, so that no name leads out of it


def read_redacted(path: Path | str, registry: "Registry", shop: Path | str = "") -> Reading:
    """Read a job without its pilot; raises InputError where the name would still stand."""
    whole = read(path, registry, shop)
    job = whole.files[0]
    name = whole.job.pilot.name if whole.job.pilot else ""
    words = [word for word in re.split(r"\W+", name) if len(word) >= _SHORTEST]
    loaded = load(job.data, job.name).data
    assert isinstance(loaded, dict)  # it was read as a job just now
    bare = {key: value for key, value in loaded.items() if key != "pilot"}
    bare = {**_without(bare, words), "redacted": True}
    text = json.dumps(bare, ensure_ascii=False, indent=1) + "\n"
    copied = PurePosixPath(job.name).with_suffix(".json").name
    files = (InputFile(copied, text.encode(), "application/json"), *whole.files[1:])
    if faults := [*_still_named(files, name)]:
        raise InputError(faults)
    return replace(_read_again(files, whole.shop, registry), files=files, warnings=whole.warnings)


def _without(value: Any, words: Sequence[str], key: str = "") -> Any:
    """The same data with the words taken out of its free texts."""
    if isinstance(value, Mapping):
        return {name: _without(item, words, name) for name, item in value.items()}
    if isinstance(value, list):
        return [_without(item, words, key) for item in value]
    if isinstance(value, str) and key in _FREE and words:
        pattern = rf"(?<!\w)(?:{'|'.join(map(re.escape, words))})(?!\w)"
        named = re.sub(pattern, _GONE, value, flags=re.IGNORECASE)
        return re.sub(rf"{re.escape(_GONE)}(?:\s+{re.escape(_GONE)})+", _GONE, named)
    return value


def _still_named(files: Sequence[InputFile], name: str) -> Iterator[Fault]:
    """Where the whole name stands, in any case and with any blanks between its words."""
    parts = [re.escape(part) for part in name.split()]
    if not parts:
        return
    pattern = re.compile(r"\s+".join(parts), re.IGNORECASE)
    for file in files:
        text = file.data.decode("utf-8", "replace")
        if found := pattern.search(text):
            line = text.count("\n", 0, found.start()) + 1
            source = text.splitlines()[line - 1].strip()
            yield Fault(
                "pilot-still-named",
                f"The pilot's name stands in “{file.name}”, where it cannot be left out.",
                Mark(file.name, line, source=source),
                "Take it out there, or share nothing: a copy with the name would not be redacted.",
            )


def _read_again(files: Sequence[InputFile], shop: str, registry: "Registry") -> Reading:
    with tempfile.TemporaryDirectory(prefix="trimscribe-") as place:
        folder = Path(os.path.realpath(place)).joinpath(*["below"] * _DEPTH)
        for file in files:
            target = Path(os.path.normpath(folder / file.name))
            target.parent.mkdir(parents=True, exist_ok=True)
            target.write_bytes(file.data)
        return read(folder / files[0].name, registry, folder / shop if shop else "")
