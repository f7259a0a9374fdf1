"""A look: everything about how a report looks, and where each part of it comes from."""

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum
from typing import Any

from trimscribe.compose.templates import Templates
from trimscribe.compose.theme_files import ThemeFolder
from trimscribe.errors import Mark
from trimscribe.model.document import FontFolder

# These may be restyled and moved; a report without them is not safe to hand out.
REQUIRED_SECTIONS = ("letter", "cautions", "record")

_PAPER_WIDTH_MM = {"a4": 210.0, "us-letter": 215.9}
_POINTS_PER_MM = 72 / 25.4


class TokenSource(StrEnum):
    """Who can set a token, the strongest first."""

    JOB = "job"
    SHOP = "shop"
    THEME = "theme"
    PARENT = "parent"
    BASE = "base"


@dataclass(frozen=True)
class TokenOrigin:
    """Who set a token: the theme by name where it is one, and the place."""

    source: TokenSource
    theme: str = ""
    mark: Mark | None = None


@dataclass(frozen=True)
class Look:
    """A theme with its parents and the workshop's brand joined to one.

    `chain` has the theme and its parents, child first; `origins` says of each token who set it,
    `section_marks` where each section was listed or added.
    """

    chain: tuple[ThemeFolder, ...]
    tokens: Mapping[str, Any]
    origins: Mapping[str, TokenOrigin]
    sections: tuple[str, ...]
    templates: Templates
    fonts: tuple[FontFolder, ...]
    section_marks: Mapping[str, Mark | None]

    @property
    def name(self) -> str:
        """The theme's own name."""
        return self.chain[0].file.name

    @property
    def theme_chain(self) -> str:
        """The names from the theme to its last parent."""
        return " → ".join(folder.file.name for folder in self.chain)

    @property
    def assets(self) -> Mapping[str, bytes]:
        """The pictures by name; a theme's own are before its parents'."""
        return {name: data for f in reversed(self.chain) for name, data in f.assets.items()}

    @property
    def width_pt(self) -> float:
        """Width of the text in points."""
        margins = 2 * float(self.tokens["margin_x_mm"])
        return (_PAPER_WIDTH_MM[self.tokens["paper"]] - margins) * _POINTS_PER_MM
