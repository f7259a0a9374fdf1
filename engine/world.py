"""What the stages need to know of the machine, handed in by the caller.

There is little: a report's date is the service's, its fonts are the theme's. So the same job,
theme and versions give the same bytes anywhere.
"""

import functools
import platform
from collections.abc import Mapping
from dataclasses import dataclass
from importlib.metadata import version
from types import MappingProxyType

# Those whose version can change a report's numbers, words or bytes.
_COUNTED = ("trimscribe", "typst", "matplotlib", "numpy", "jinja2", "babel")


@dataclass(frozen=True)
class World:
    """Versions of the software by name, as the record prints them."""

    versions: Mapping[str, str]

    @classmethod
    @functools.cache  # it does not change while the process runs
    def real(cls) -> "World":
        """Look at the environment that this process runs in."""
        found = {name: version(name) for name in _COUNTED}
        return cls(MappingProxyType({**found, "Python": platform.python_version()}))
