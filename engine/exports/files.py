"""Files that a person names on the command line."""

import itertools
import os
import re
from collections.abc import Iterator
from pathlib import Path

from trimscribe.errors import Fault, InputError
from trimscribe.marked_yaml import LoadedYaml, load
from trimscribe.resources.file_access import read_typed

_PLAIN = re.compile(r"[\w./-]+")  # a name that every shell takes as it is


def as_typed(name: str) -> str:
    """A name for a command that a person may copy: quoted where a shell would part it."""
    text = " ".join(as_text(name).split())
    return text if _PLAIN.fullmatch(text) else f'"{text}"'


def as_text(name: str) -> str:
    """A name for a text: where its bytes are no UTF-8, with question marks in their place."""
    return name.encode("utf-8", "replace").decode()


def open_file(path: Path) -> bytes:
    """The bytes of a file; InputError says why not."""
    data = read_typed(path)
    if isinstance(data, Fault):
        raise InputError(data)
    return data


def load_file(path: Path) -> LoadedYaml:
    """A YAML file; InputError with its faults if it has any."""
    loaded = load(open_file(path), path.as_posix())
    if loaded.faults:
        raise InputError(loaded.faults)
    return loaded


def files_below(folder: Path, endings: tuple[str, ...], most: int) -> Iterator[Path]:
    """The first files below a folder that end so, in order; nothing is followed by link."""
    return itertools.islice(_files_below(folder, endings), most)


def _files_below(folder: Path, endings: tuple[str, ...]) -> Iterator[Path]:
    for here, folders, files in os.walk(folder):
        folders[:] = sorted(name for name in folders if not name.startswith("."))
        for path in (Path(here) / name for name in sorted(files)):
            if path.name.lower().endswith(endings) and not path.is_symlink():
                yield path
