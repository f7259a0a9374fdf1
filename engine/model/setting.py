"""One part of a report's look, and who set it."""

from dataclasses import dataclass

from trimscribe.errors import Mark


@dataclass(frozen=True)
class Setting:
    """`source` is job, shop, theme, parent, base or language; `theme` the theme by name if one."""

    name: str
    value: str
    source: str
    theme: str = ""
    mark: Mark | None = None
