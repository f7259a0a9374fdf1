"""A guard around each plugin that is not ours: whatever it does, it is named.

A plugin that raises or returns something else than the contract says is reported as its own fault,
with its package; one that never returns is what a worker's owner blames.
"""

import functools
import traceback
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Any

from trimscribe.contracts import SectionView
from trimscribe.errors import Mark, PluginError, TrimscribeError
from trimscribe.model.document import Figure
from trimscribe.model.findings import Findings
from trimscribe.model.report import Report
from trimscribe.model.wing import Side
from trimscribe.whereabouts import at

# What each method of the contract may return.
_RETURNS: Mapping[str, tuple[type, ...]] = {
    "analyse": (Findings,),
    "draw": (Figure, type(None)),
    "make": (Report,),
    "read": (tuple,),
    "tables": (tuple,),
    "view": (SectionView, type(None)),
}
_HINT = "Update or uninstall that package, or report it to who wrote it."


def guarded(plugin: Any, who: str, place: str) -> Any:
    """The plugin itself where it is ours; else one that does the same and is named for it.

    `who` is how people know it, `place` where it is: `module:name`.
    """
    module = type(plugin).__module__
    if place.partition(".")[0] == "trimscribe" or not any(hasattr(plugin, n) for n in _RETURNS):
        return plugin
    kind = type("Guarded", (_Guarded,), {"__module__": module})
    return kind(plugin, who, place)


class _Guarded:
    """Hands everything on, and looks at what comes back."""

    def __init__(self, plugin: Any, who: str, place: str) -> None:
        self._plugin, self._who, self._place = plugin, who, place

    def __getattr__(self, name: str) -> Any:
        found = getattr(self._plugin, name)
        wanted = _RETURNS.get(name)
        return self._watched(found, name, wanted) if wanted and callable(found) else found

    def _watched(
        self, method: Callable[..., Any], name: str, wanted: tuple[type, ...]
    ) -> Callable[..., Any]:
        @functools.wraps(method)
        def watched(*given: Any) -> Any:
            before = at(self._place)
            try:
                answer = method(*given)
            except (TrimscribeError, MemoryError):
                raise
            except Exception as error:
                words = f"{self._who} raises {type(error).__name__} in `{name}`{_where(error)}."
                raise PluginError.of("plugin-raises", words, hint=_HINT) from error
            pair = not isinstance(answer, tuple) or len(answer) == 2
            fits = isinstance(answer, wanted) and pair
            if not fits:
                words = f"{self._who} returns {type(answer).__name__} from `{name}`."
                raise PluginError.of("plugin-returns", words, hint=_HINT)
            if name == "read" and (wrong := _wrong_length(answer[0])):
                words = f"{self._who} returns a length whose {wrong} from `read`."
                raise PluginError.of("plugin-returns", words, hint=_HINT)
            at(before)
            return answer

        return watched


def _where(error: Exception) -> str:
    """The file and line of a plugin, without its folder, in which it failed."""
    frames = traceback.extract_tb(error.__traceback__)
    last = frames[-1] if len(frames) > 1 else None  # the first is ours
    return f" ({Path(last.filename).name}, line {last.lineno})" if last else ""


# What the values of a length are; a bool is no number.
_OF_A_LENGTH: Mapping[str, tuple[type, ...]] = {
    "side": (Side,),
    "group": (str,),
    "point": (int,),
    "length_mm": (int, float, type(None)),
    "mark": (Mark,),
}


def _wrong_length(lengths: Any) -> str:
    """What is wrong with one of the lengths that an importer has read; empty for nothing."""
    for length in lengths:
        for name, kinds in _OF_A_LENGTH.items():
            value = getattr(length, name, NotImplemented)
            if not isinstance(value, kinds) or isinstance(value, bool):
                found = "is missing" if value is NotImplemented else f"is a {type(value).__name__}"
                return f"`{name}` {found}"
    return ""
