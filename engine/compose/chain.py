"""From the name of a theme to its folder and those of its parents."""

import os
from pathlib import Path

from trimscribe.compose.theme_files import ThemeFolder, read_folder
from trimscribe.errors import Fault, Mark, ThemeError
from trimscribe.hints import suggest
from trimscribe.model.workshop import names_folder
from trimscribe.registry import Registry
from trimscribe.resources import real_path

__all__ = ["chain_of"]

_MOST_PARENTS = 8


def chain_of(theme: str, registry: Registry) -> tuple[ThemeFolder, ...]:
    """The theme (a name or a folder) and its parents, child first; raises ThemeError."""
    chain: list[ThemeFolder] = []
    seen: set[str] = set()
    while theme:
        folder, shown = _place(theme, chain, registry)
        read = read_folder(folder, shown)
        if read.file.name in seen or len(chain) >= _MOST_PARENTS:
            trail = " → ".join([*(f.file.name for f in chain), read.file.name])
            raise ThemeError(
                Fault("theme-circle", f"This theme extends itself: {trail}.", Mark(shown))
            )
        seen.add(read.file.name)
        chain.append(read)
        theme = read.file.extends
    return tuple(chain)


def _place(theme: str, chain: list[ThemeFolder], registry: Registry) -> tuple[Path, str]:
    """Folder of a theme and its name for people.

    A parent's folder is named from its child's and with a dot first, such as `../coast`.
    """
    if not chain and names_folder(theme):
        return Path(theme), Path(theme).as_posix()
    if chain and theme.startswith("."):
        child = chain[-1]
        beside = real_path(child.path).parent
        if not Path(os.path.normpath(real_path(child.path) / theme)).is_relative_to(beside):
            message = f"“{theme}” does not lie beside the theme that extends it."
            hint = "Copy that theme to a folder beside this one."
            mark = child.file.marks.get(("extends",))
            raise ThemeError(Fault("file-outside", message, mark, hint))
        return child.path / theme, f"{child.shown}/{theme}"
    if theme not in registry.names("themes"):
        known = ", ".join(registry.names("themes"))
        hint = suggest(theme, registry.names("themes"), listed=False) or f"Installed: {known}."
        if not chain and Path(theme).is_dir():
            hint = f"For the folder write “./{theme}”."
        raise ThemeError(
            Fault(
                "theme-unknown",
                f"No theme “{theme}” is installed.",
                chain[-1].file.marks.get(("extends",)) if chain else None,
                hint,
            )
        )
    return registry.get("themes", theme).folder, theme
