"""A guard around each plugin that is not ours: whatever it does, it is named.

A plugin that raises or returns something else than the contract says is reported as its own fault,
with its package; one that never returns is what a worker's owner blames.
"""

import functools
from collections.abc import Callable, Mapping
from typing import Any

from trimscribe.contracts import SectionView
from trimscribe.errors import Fault, PluginError, TrimscribeError
from trimscribe.model.document import Figure
from trimscribe.model.findings import Findings
from trimscribe.model.report import Report
from trimscribe.whereabouts import at

__all__ = ["CODES", "guarded"]

CODES: Mapping[str, str] = {
    "fact-clash": "An analysis declares a fact that is there already.",
    "fact-name": "An analysis gives a fact a name that no rule can ask for.",
    "fact-value": "An analysis gives a fact a value that is neither a number nor text.",
    "plugin-raises": "A plugin raises while it works.",
    "plugin-returns": "A plugin returns something else than the contract says.",
}
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
                words = f"{self._who} raises {type(error).__name__} in `{name}`."
                raise PluginError(Fault("plugin-raises", words, hint=_HINT)) from error
            pair = not isinstance(answer, tuple) or len(answer) == 2
            fits = isinstance(answer, wanted) and pair
            if not fits:
                words = f"{self._who} returns {type(answer).__name__} from `{name}`."
                raise PluginError(Fault("plugin-returns", words, hint=_HINT))
            at(before)
            return answer

        return watched
