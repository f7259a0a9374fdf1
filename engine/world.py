"""What the stages need to know of the machine, handed in by the caller.

There is little: a report's date is the service's, its fonts are the theme's. So the same job,
theme and versions give the same bytes anywhere.
"""

import functools
import hashlib
import os
import platform
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from importlib.metadata import version
from importlib.util import find_spec
from pathlib import Path
from types import MappingProxyType

# Those whose version can change a report's numbers, words or bytes.
_COUNTED = ("typst", "matplotlib", "numpy", "jinja2", "babel")
_OURS = "trimscribe"
# Where we are installed from our own folder, the three lie apart.
_OWN_FOLDERS = (_OURS, f"{_OURS}.schemas", f"{_OURS}.themes")
_SHOWN = 12  # digits of a hash; two builds share them once in 10^14


@dataclass(frozen=True)
class World:
    """Versions of the software by name, as the record prints them.

    `packages` are builds of packages with plugins by name, where the manifest shall name others
    than the installed ones: a report that is made again names those of the time.
    """

    versions: Mapping[str, str]
    packages: Mapping[str, str] = field(default_factory=dict)

    @classmethod
    @functools.cache  # it does not change while the process runs
    def real(cls) -> "World":
        """Look at the environment that this process runs in."""
        found = {_OURS: build_of(_OURS, version(_OURS))}
        found |= {name: version(name) for name in _COUNTED}
        return cls(MappingProxyType({**found, "Python": platform.python_version()}))


@functools.cache
def build_of(module: str, number: str) -> str:
    """A version with what the module's files hash to, such as `0.1.0+3f2a9c41b07e`.

    Whoever works on code changes it without a new number. A report must not be called altered for
    that, and only the hash tells one build from another.
    """
    names = _OWN_FOLDERS if module == _OURS else (module,)
    found = {place: path for name in names for place, path in _files(name)}
    total = hashlib.sha256()
    for place, path in sorted(found.items()):
        total.update(f"{place}\0{_hash(path)}\n".encode("utf-8", "surrogateescape"))
    return f"{number}{'.' if '+' in number else '+'}{total.hexdigest()[:_SHOWN]}"


def _files(module: str) -> Iterator[tuple[str, Path]]:
    """Every file of a module with its name, but for hidden ones and what Python compiles."""
    try:
        spec = find_spec(module)
    except (ImportError, ValueError):  # what cannot be imported is named where it is loaded
        return
    folders = (spec and spec.submodule_search_locations) or ()
    if spec and spec.origin and not folders:
        yield module, Path(spec.origin)
    for folder in folders:
        for inner, below, files in os.walk(folder):
            below[:] = [name for name in below if name[0] != "." and name != "__pycache__"]
            parts = (*module.split("."), *Path(inner).relative_to(folder).parts)
            yield from (
                ("/".join((*parts, name)), Path(inner, name)) for name in files if name[0] != "."
            )


def _hash(path: Path) -> str:
    try:
        return hashlib.sha256(path.read_bytes()).hexdigest()
    except OSError:  # a link that leads nowhere, or a file that a worker may not read
        return ""
