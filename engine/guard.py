"""A guard around each plugin that is not ours: whatever it does, it is named.

A plugin that raises or returns something else than the contract says is reported as its own fault,
with its package; one that never returns is what a worker's owner blames.
"""

import functools
import re
import traceback
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Any

from trimscribe.contracts import SectionView
from trimscribe.errors import Mark, PluginError, TrimscribeError, kind_of
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
    "read": (tuple, type(None)),
    "tables": (tuple, type(None)),
    "view": (SectionView, type(None)),
}
_FOLDERS = re.compile(r"(?<![\w.])(?:[A-Za-z]:)?[\\/](?:[^\\/\n'\"()]+[\\/])*")
_LONGEST = 300  # characters of an error that are shown
_HINT = "Update or uninstall that package, or report it to who wrote it."


def guarded(plugin: Any, who: str, place: str) -> Any:
    """The plugin itself where it is ours; else one that does the same and is named for it.

    `who` is how people know it, `place` where it is: `module:name`.
    """
    module = type(plugin).__module__
    if place.partition(".")[0] == "trimscribe" or not any(hasattr(plugin, n) for n in _RETURNS):
        return plugin
    # Since Python 3.12 a protocol is looked for in the class, not asked of the object.
    names = [name for name in dir(plugin) if not name.startswith("_")]
    seen = {name: property(functools.partial(_Guarded._handed_on, name=name)) for name in names}
    kind = type("Guarded", (_Guarded,), {"__module__": module, **seen})
    return kind(plugin, who, place)


class _Guarded:
    """Hands everything on, and looks at what comes back."""

    def __init__(self, plugin: Any, who: str, place: str) -> None:
        self._plugin, self._who, self._place = plugin, who, place

    def _handed_on(self, name: str) -> Any:
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
                where = _where(error, self._place)
                words = f"{self._who} raises in `{name}`{where}: {reason(error)}."
                raise PluginError.of("plugin-raises", words, hint=_HINT) from error
            pair = not isinstance(answer, tuple) or len(answer) == 2
            fits = isinstance(answer, wanted) and pair
            if not fits:
                words = f"{self._who} returns {type(answer).__name__} from `{name}`."
                raise PluginError.of("plugin-returns", words, hint=_HINT)
            if name == "read" and answer and (wrong := _wrong_length(answer[0])):
                words = f"{self._who} returns a length whose {wrong} from `read`."
                raise PluginError.of("plugin-returns", words, hint=_HINT)
            at(before)
            return answer

        return watched


def reason(error: BaseException) -> str:
    """An error in one line, without the folders of this machine."""
    first, *_ = str(error).splitlines() or [""]
    said = _FOLDERS.sub("", first)
    said = said if len(said) <= _LONGEST else said[:_LONGEST] + "…"
    return f"{type(error).__name__}: {said}".rstrip(": .")


def _where(error: Exception, place: str) -> str:
    """The file, without its folder, and the line in which a plugin failed.

    That is the innermost of its own package, not of a library that it has called.
    """
    frames = [*traceback.walk_tb(error.__traceback__)][1:]  # the first is ours
    package = place.partition(":")[0].partition(".")[0]
    own = [f for f in frames if f[0].f_globals.get("__name__", "").partition(".")[0] == package]
    if not frames:
        return ""
    frame, line = (own or frames)[-1]
    return f" ({Path(frame.f_code.co_filename).name}, line {line})"


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
                found = "is missing" if value is NotImplemented else f"is {kind_of(value)}"
                return f"`{name}` {found}"
    return ""
