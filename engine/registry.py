"""Plugins by kind and name. The built-in ones come through the same door as anybody's.

A plugin is an entry point in the group `trimscribe.<kind>` of an installed package. It is loaded
when it is first asked for, and a broken one harms nobody who does not ask for it.
"""

import difflib
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from importlib.metadata import EntryPoint, entry_points
from typing import Any

from trimscribe.contracts import CONTRACT, KINDS
from trimscribe.errors import Fault, PluginError, Severity

__all__ = ["Listing", "Registry"]


@dataclass(frozen=True)
class Listing:
    """One plugin as people see it; `fault` tells why it cannot be used."""

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
        for entry in sorted(found, key=lambda e: (e.name, _package(e))):
            self._found.setdefault((entry.group.removeprefix("trimscribe."), entry.name), []).append(
                entry
            )

    @classmethod
    def installed(cls) -> "Registry":
        """Find the plugins of every package in this Python environment."""
        return cls(entry for kind in KINDS for entry in entry_points(group=f"trimscribe.{kind}"))

    def names(self, kind: str) -> list[str]:
        """Names of one kind, sorted."""
        return sorted(name for found, name in self._found if found == kind)

    def get(self, kind: str, name: str) -> Any:
        """Return one plugin; PluginError when it is unknown, clashes or cannot be used."""
        if (kind, name) not in self._loaded:
            self._loaded[kind, name] = self._load(kind, name)
        return self._loaded[kind, name]

    def all(self, kind: str) -> Iterator[Any]:
        """Every plugin of one kind that can be used, by name; `faults` tells of the others."""
        for name in self.names(kind):
            try:
                yield self.get(kind, name)
            except PluginError:
                continue

    def faults(self) -> tuple[Fault, ...]:
        """Why some plugins cannot be used, as warnings: nothing else depends on them."""
        return tuple(entry.fault for entry in self.listing() if entry.fault)

    def listing(self) -> tuple[Listing, ...]:
        """Every plugin that is installed, loaded to see whether it can be used."""
        rows = []
        for kind, name in sorted(self._found, key=lambda key: (list(KINDS).index(key[0]), key[1])):
            fault = None
            try:
                self.get(kind, name)
            except PluginError as error:
                told = error.faults[0]
                fault = Fault(told.code, told.message, None, told.hint, Severity.WARNING)
            rows += [
                Listing(kind, name, _package(entry), _version(entry), fault)
                for entry in self._found[kind, name]
            ]
        return tuple(rows)

    def _load(self, kind: str, name: str) -> Any:
        found = self._found.get((kind, name), [])
        if not found:
            raise PluginError(_unknown(kind, name, self.names(kind)))
        if len(found) > 1:
            offers = " and ".join(_package(entry) for entry in found)
            raise PluginError(
                Fault(
                    "plugin-clash",
                    f"{offers} both offer “{name}” in {kind}.",
                    hint="Uninstall one of them; Trimscribe does not choose.",
                )
            )
        entry = found[0]
        try:
            plugin = entry.load()
        except Exception as error:  # whatever a stranger's module raises while it is imported
            raise PluginError(
                Fault(
                    "plugin-broken",
                    f"“{name}” in {kind}, from {_package(entry)}, does not load: "
                    f"{type(error).__name__}: {error}",
                    hint="Update or uninstall that package.",
                )
            ) from error
        if fault := _unfit(kind, entry, plugin):
            raise PluginError(fault)
        return plugin


def _unknown(kind: str, name: str, names: list[str]) -> Fault:
    if kind not in KINDS:
        raise KeyError(kind)
    near = difflib.get_close_matches(name, names, n=1)
    hint = f"Did you mean {near[0]}? " if near else ""
    listed = f"Installed are {', '.join(names)}." if names else "None are installed."
    return Fault("plugin-unknown", f"There is no “{name}” in {kind}.", hint=hint + listed)


def _unfit(kind: str, entry: EntryPoint, plugin: Any) -> Fault | None:
    """What the contract asks and the plugin lacks."""
    who = f"“{entry.name}” in {kind}, from {_package(entry)},"
    contract = getattr(plugin, "contract", None)
    if contract != CONTRACT:
        return Fault(
            "plugin-contract",
            f"{who} was written for contract {contract}; this is contract {CONTRACT}.",
            hint="Update that package, or use the Trimscribe that it was written for.",
        )
    wanted = KINDS[kind]
    lacking = sorted(name for name in _asked(wanted) if not hasattr(plugin, name))
    if lacking:
        return Fault(
            "plugin-incomplete",
            f"{who} lacks {', '.join(lacking)}.",
            hint=f"trimscribe.contracts.{wanted.__name__} says what it must offer.",
        )
    if plugin.name != entry.name:
        return Fault("plugin-name", f"{who} calls itself “{plugin.name}”.")
    return None


def _asked(protocol: type) -> set[str]:
    """Attributes and methods that a Protocol names."""
    methods = {name for name, value in vars(protocol).items() if callable(value)}
    return set(protocol.__annotations__) | {name for name in methods if not name.startswith("_")}


def _package(entry: EntryPoint) -> str:
    return entry.dist.name if entry.dist else "an unknown package"


def _version(entry: EntryPoint) -> str:
    return entry.dist.version if entry.dist else ""
