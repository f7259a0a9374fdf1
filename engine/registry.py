"""Plugins by kind and name. The built-in ones come through the same door as anybody's.

A plugin is an entry point in the group `trimscribe.<kind>` of an installed package. It is loaded
when it is first asked for, and a broken one harms nobody who does not ask for it.
"""

import functools
import re
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from importlib.metadata import Distribution, EntryPoint, entry_points
from typing import Any, get_args, get_origin

from trimscribe.contracts import KINDS, OPTIONAL, SUPPORTED
from trimscribe.errors import Fault, PluginError, Severity, kind_of, suggest
from trimscribe.guard import guarded, reason, where_in
from trimscribe.world import build_of

_BROKEN = "Update or uninstall that package."
_LINKED = (
    "Workers read installed packages only, not where a symbolic link in them leads: install it "
    "with its files, such as with `pip install .`."
)


@dataclass(frozen=True)
class Listing:
    """One plugin as people see it; `fault` says why it cannot be used."""

    kind: str
    name: str
    package: str
    version: str
    fault: Fault | None = None


class Registry:
    """All plugins that are installed."""

    def __init__(self, found: Iterable[EntryPoint]) -> None:
        """Take entry points of the groups `trimscribe.<kind>`, whatever their order."""
        self._found: dict[tuple[str, str], list[EntryPoint]] = {}
        self._loaded: dict[tuple[str, str], Any] = {}
        self._passed_over: dict[tuple[str, str], Fault] = {}
        for entry in sorted(found, key=lambda e: (e.name, _package(e), e.value)):
            kind = entry.group.removeprefix("trimscribe.")
            self._found.setdefault((kind, entry.name), []).append(entry)

    @classmethod
    def installed(cls) -> "Registry":
        """Find the plugins of every package in this Python environment."""
        installed = entry_points()
        return cls(
            entry for kind in KINDS for entry in installed.select(group=f"trimscribe.{kind}")
        )

    def anew(self) -> "Registry":
        """The same plugins, loaded as far as they are, with none passed over yet."""
        other = Registry(())
        other._found, other._loaded = self._found, self._loaded
        return other

    def names(self, kind: str) -> list[str]:
        """Names of one kind, sorted."""
        return sorted(name for found, name in self._found if found == kind)

    def builds(self) -> dict[str, str]:
        """The build of every plugin by `kind/name`; nothing is loaded for it."""
        return {f"{kind}/{name}": _build(found[0]) for (kind, name), found in self._found.items()}

    def get(self, kind: str, name: str) -> Any:
        """Return one plugin; PluginError when it is unknown, clashes or cannot be used."""
        if (kind, name) not in self._loaded:
            try:
                self._loaded[kind, name] = self._load(kind, name)
            except PluginError as error:
                self._loaded[kind, name] = error  # a broken module is not run again
        loaded = self._loaded[kind, name]
        if isinstance(loaded, PluginError):
            raise PluginError(loaded.faults) from loaded.__cause__
        return loaded

    def unknown(self, kind: str, name: str) -> Fault | None:
        """What is wrong with the name of a plugin that none has; nothing is loaded for it."""
        known = (kind, name) in self._found
        return None if known else _unknown(kind, name, self.names(kind))

    def all(self, kind: str) -> Iterator[Any]:
        """Every plugin of one kind that can be used, by name; `faults` reports the others."""
        for name in self.names(kind):
            try:
                yield self.get(kind, name)
            except PluginError as error:
                self._passed_over[kind, name] = _as_warning(error)

    def package(self, kind: str, name: str) -> tuple[str, str] | None:
        """Name and build of the package that offers a plugin; None when none does."""
        found = self._found.get((kind, name))
        return (_package(found[0]), _build(found[0])) if found else None

    def faults(self) -> tuple[Fault, ...]:
        """Why `all` has passed over some plugins so far, as warnings: the work went on."""
        return tuple(fault for _, fault in sorted(self._passed_over.items(), key=_place))

    def listing(self) -> tuple[Listing, ...]:
        """Every installed plugin by kind and name, loaded to see whether it can be used."""
        rows = []
        for (kind, name), entries in sorted(self._found.items(), key=_place):
            fault = None
            try:
                self.get(kind, name)
            except PluginError as error:
                fault = _as_warning(error)
            rows += [
                Listing(kind, name, _package(entry), _version(entry), fault) for entry in entries
            ]
        return tuple(rows)

    def _load(self, kind: str, name: str) -> Any:
        found = self._found.get((kind, name), [])
        if not found:
            raise PluginError(_unknown(kind, name, self.names(kind)))
        if len(found) > 1:
            offers = " and ".join(_package(entry) for entry in found)
            raise PluginError.of(
                "plugin-clash",
                f"“{name}” in {kind} is offered by {offers}.",
                hint="Uninstall all but one of them; Trimscribe does not choose.",
            )
        entry = found[0]
        try:
            plugin = entry.load()
            fault = _unfit(kind, entry, plugin)
        except (Exception, SystemExit) as error:  # whatever a stranger's module does when imported
            raise PluginError.of(
                "plugin-broken",
                f"{_who(kind, entry)} does not load{where_in(error, entry.value)}: "
                f"{reason(error)}.",
                hint=_LINKED if isinstance(error, PermissionError) else _BROKEN,
            ) from error
        if fault:
            raise PluginError(fault)
        return guarded(plugin, _who(kind, entry), entry.value)


@functools.cache
def installed() -> Registry:
    """The plugins of this Python environment, looked up once in a process."""
    return Registry.installed()


def _place(item: tuple[tuple[str, str], object]) -> tuple[int, str]:
    """The order of `contracts.KINDS`, then by name."""
    kind, name = item[0]
    return list(KINDS).index(kind), name


def _as_warning(error: PluginError) -> Fault:
    return replace(error.faults[0], severity=Severity.WARNING)


def _unknown(kind: str, name: str, names: list[str]) -> Fault:
    if kind not in KINDS:
        raise KeyError(kind)
    listed = f"Installed are {', '.join(names)}." if names else "None are installed."
    hint = f"{suggest(name, names, listed=False)} {listed}".lstrip()
    return Fault("plugin-unknown", f"There is no “{name}” in {kind}.", hint=hint)


def _unfit(kind: str, entry: EntryPoint, plugin: Any) -> Fault | None:
    """What the contract asks and the plugin lacks."""
    wanted = KINDS[kind]
    lacking = f"trimscribe.contracts.{wanted.__name__} says what it must offer."
    if isinstance(plugin, type) and any(_methods(wanted)):
        said = f"{_who(kind, entry)} is the class {plugin.__name__}, where a value of it belongs."
        return Fault("plugin-incomplete", said, hint=f"Write {plugin.__name__}(). {lacking}")
    contract = getattr(plugin, "contract", None)
    oldest, newest = SUPPORTED[kind]
    if type(contract) is not int or not oldest <= contract <= newest:
        here = f"{oldest} to {newest}" if oldest < newest else f"{newest}"
        written = (
            "does not say its contract"
            if contract is None
            else f"is for contract {contract}"
            if type(contract) is int
            else f"says its contract as {kind_of(contract)}, not as a whole number"
        )
        return Fault(
            "plugin-contract",
            f"{_who(kind, entry)} {written}; this Trimscribe works with {here}.",
            hint="Update that package, or use the Trimscribe that it was written for.",
        )
    if wrong := [*_shortfalls(wanted, plugin)]:
        return Fault(
            "plugin-incomplete", f"{_who(kind, entry)} lacks {', '.join(wrong)}.", hint=lacking
        )
    if plugin.name != entry.name:
        return Fault(
            "plugin-name",
            f"{_who(kind, entry)} calls itself “{plugin.name}”.",
            hint="Give its `name` and its entry point the same name.",
        )
    return None


def _shortfalls(protocol: type, plugin: Any) -> Iterator[str]:
    """Attributes and methods that a Protocol asks and the plugin does not have as asked.

    What a kind may offer besides is looked at where it is offered.
    """
    asked = dict(sorted(protocol.__annotations__.items()))
    for name in asked:
        if not hasattr(plugin, name):
            yield f"`{name}`"
    for more in OPTIONAL:
        if protocol in more.__mro__:
            asked |= more.__annotations__
    for name, wanted in asked.items():
        for odd in _odd(getattr(plugin, name), wanted) if hasattr(plugin, name) else ():
            yield f"`{name}` as {_shown(wanted)} (it has {odd!r:.60})"
            break
    for name in _methods(protocol):
        if not callable(getattr(plugin, name, 0)):
            yield f"`{name}()`"


def _methods(protocol: type) -> Iterator[str]:
    for name, value in sorted(vars(protocol).items()):
        if callable(value) and not name.startswith("_"):
            yield name


def _odd(value: Any, wanted: Any) -> Iterator[Any]:
    """What of a value is not as `Path`, `tuple[str, ...]` or `Mapping[str, str]` asks."""
    of = get_args(wanted)
    if not isinstance(value, get_origin(wanted) or wanted):
        yield value
    elif isinstance(value, Mapping):
        for key, held in value.items():
            yield from (*_odd(key, of[0]), *_odd(held, of[1]))
    elif isinstance(value, tuple):
        for each in value:
            yield from _odd(each, of[0])


def _shown(wanted: Any) -> str:
    """A type as people write it, without the modules that its parts are in."""
    return re.sub(r"\b(\w+\.)+(?=\w)", "", str(wanted)) if get_args(wanted) else wanted.__name__


def _who(kind: str, entry: EntryPoint) -> str:
    return f"“{entry.name}” in {kind}, from {_package(entry)},"


def _package(entry: EntryPoint) -> str:
    return _name_and_version(entry.dist)[0]


def _version(entry: EntryPoint) -> str:
    return _name_and_version(entry.dist)[1]


def _build(entry: EntryPoint) -> str:
    """The version of its package with what its files hash to."""
    return build_of(entry.module.partition(".")[0], _version(entry))


@functools.cache
def _name_and_version(dist: Distribution | None) -> tuple[str, str]:
    """Read once: each look parses a package's metadata again, and most plugins share theirs."""
    return (dist and dist.name) or "an unknown package", (dist and dist.version) or ""
