"""A guard around each plugin that is not ours: whatever it does, it is named.

A plugin that raises or returns something else than the contract says is reported as its own fault,
with its package; one that never returns is what a worker's owner blames.
"""

import functools
import re
import traceback
from collections.abc import Callable, Mapping
from dataclasses import fields
from pathlib import Path
from typing import Any

from trimscribe.contracts import SectionView
from trimscribe.errors import Fault, Mark, PluginError, TrimscribeError, kind_of
from trimscribe.model.document import Figure
from trimscribe.model.findings import Findings
from trimscribe.model.plain import to_plain
from trimscribe.model.report import Report
from trimscribe.model.tables import Sheet
from trimscribe.model.wing import Side
from trimscribe.whereabouts import at

# What each method of the contract may return, and how people call it.
_RETURNS: Mapping[str, tuple[tuple[type, ...], str]] = {
    "analyse": ((Findings,), "Findings belong"),
    "draw": ((Figure, type(None)), "a Figure or None belongs"),
    "make": ((Report,), "a Report belongs"),
    "read": ((tuple, type(None)), "(lengths, faults) or None belongs"),
    "tables": ((tuple, type(None)), "(sheets, faults) or None belongs"),
    "view": ((SectionView, type(None)), "a SectionView or None belongs"),
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
        return self._watched(found, name) if name in _RETURNS and callable(found) else found

    def _watched(self, method: Callable[..., Any], name: str) -> Callable[..., Any]:
        @functools.wraps(method)
        def watched(*given: Any) -> Any:
            before = at(self._place)
            try:
                answer = method(*given)
            except (TrimscribeError, MemoryError):
                raise
            except (Exception, SystemExit) as error:
                where = where_in(error, self._place)
                words = f"{self._who} raises in `{name}`{where}: {reason(error)}."
                raise PluginError.of("plugin-raises", words, hint=_HINT) from error
            if wrong := _wrong(name, answer, given, self._plugin):
                words = f"{self._who} returns {wrong} from `{name}`."
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


def where_in(error: BaseException, place: str) -> str:
    """The file, without its folder, and the line in which a plugin failed.

    That is the innermost of its own package, not of a library that it has called.
    """
    frames = [*traceback.walk_tb(error.__traceback__)][1:]  # the first is ours
    package = place.partition(":")[0].partition(".")[0]
    own = [f for f in frames if f[0].f_globals.get("__name__", "").partition(".")[0] == package]
    if not own:
        return ""
    frame, line = own[-1]
    return f" ({Path(frame.f_code.co_filename).name}, line {line})"


def _wrong(method: str, answer: Any, given: tuple[Any, ...], plugin: Any) -> str:
    """What is wrong with what a method has returned, and what belongs there; empty for nothing."""
    wanted, words = _RETURNS[method]
    fits = isinstance(answer, wanted) and not (isinstance(answer, tuple) and len(answer) != 2)
    if not fits:
        pieces = f" of {len(answer)}" if isinstance(answer, tuple) else ""
        return f"{kind_of(answer)}{pieces}, where {words},"
    if answer is None:
        return ""
    if method == "read":
        return _wrong_part("a length", answer[0], _OF_A_LENGTH) or _wrong_kind(answer[1], Fault)
    if method == "tables":
        return _wrong_kind(answer[0], Sheet) or _wrong_kind(answer[1], Fault)
    if method == "analyse":
        return _not_its_own(answer, given[-1], plugin.name)
    named = {"draw": "a figure", "view": "a view", "make": "a report"}[method]
    return _wrong_part(named, (answer,), _PARTS[method])


_SEVERAL = (tuple, list)
_NUMBER = (int, float)
# What the values of a length are; a bool is no number.
_OF_A_LENGTH: Mapping[str, tuple[type, ...]] = {
    "side": (Side,),
    "group": (str,),
    "point": (int,),
    "length_mm": (*_NUMBER, type(None)),
    "mark": (Mark,),
}
_PARTS: Mapping[str, Mapping[str, tuple[type, ...]]] = {
    "draw": {"svg": (str,), "width_pt": _NUMBER, "height_pt": _NUMBER, "alt": (str,)},
    "view": {"values": (Mapping,), "figures": _SEVERAL, "required": _SEVERAL},
    "make": {"data": (bytes,), "suffix": (str,), "media_type": (str,)},
}


def _wrong_part(named: str, parts: Any, wanted: Mapping[str, tuple[type, ...]]) -> str:
    """Which value of which part is of another kind than it should be."""
    if not isinstance(parts, _SEVERAL):
        return f"{kind_of(parts)} in place of several"
    for part in parts:
        for name, kinds in wanted.items():
            value = getattr(part, name, NotImplemented)
            fits = isinstance(value, kinds) and not isinstance(value, bool)
            if not fits:
                found = "is missing" if value is NotImplemented else f"is {kind_of(value)}"
                return f"{named} whose `{name}` {found}, where {_named(kinds)} belongs,"
            if kinds is _SEVERAL and (odd := _wrong_kind(value, str)):
                return f"{named} whose `{name}` has {odd}"
            if name == "alt" and isinstance(value, str) and not value.strip():
                return "a figure without `alt`, the words for those who cannot see it,"
    return ""


def _named(kinds: tuple[type, ...]) -> str:
    return " or ".join("None" if kind is type(None) else kind.__name__ for kind in kinds)


def _wrong_kind(parts: Any, kind: type) -> str:
    if not isinstance(parts, _SEVERAL):
        return f"{kind_of(parts)}, where several of {kind.__name__} belong,"
    odd = [part for part in parts if not isinstance(part, kind)]
    return f"{kind_of(odd[0])}, where {kind.__name__} belongs," if odd else ""


def _not_its_own(answer: Findings, given: Findings, own: str) -> str:
    """What an analysis has changed besides its part of `extra`, or what JSON cannot carry of it."""
    for field in fields(Findings):
        now, then = getattr(answer, field.name), getattr(given, field.name)
        if field.name != "extra" and now is not then and now != then:
            return f"another `{field.name}`, which is not its own: that is `extra.{own}` alone,"
    for name, then in given.extra.items():
        if name != own and answer.extra.get(name, NotImplemented) != then:
            return f"another `extra.{name}`, which is not its own: that is `extra.{own}` alone,"
    part = answer.extra.get(own, {})
    if not isinstance(part, Mapping):
        return f"{kind_of(part)} as `extra.{own}`, where values by name belong,"
    for name, value in part.items():
        try:
            to_plain(value)
        except (TypeError, ValueError) as error:
            return f"`extra.{own}.{name}` that JSON cannot carry ({error})"
    return ""
