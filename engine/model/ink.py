"""The colours of a theme: declared here once; schema, checks, page and drawings follow."""

from collections.abc import Mapping
from dataclasses import Field, dataclass, field, fields
from enum import StrEnum
from typing import Any, Self


class ColourUse(StrEnum):
    """What a colour serves for, which decides how clear of the page it must be."""

    TEXT = "text"
    DRAWING = "drawing"
    LINE = "line"
    GROUND = "ground"


def _as(about: str, use: ColourUse = ColourUse.TEXT, token: str = "") -> dict[str, Any]:
    return {"about": about, "use": use, "token": token}


@dataclass(frozen=True)
class Ink:
    """The colours (`#rrggbb`) and the font family that figures draw with.

    Each colour with what it is for; `token` is what theme files call it, where that differs.
    """

    text: str = field(metadata=_as("Body text."))
    quiet: str = field(metadata=_as("Labels, captions, footers."))
    rule: str = field(metadata=_as("Thin lines.", ColourUse.LINE))
    before: str = field(metadata=_as("The line before the work, in charts.", ColourUse.DRAWING))
    before_text: str = field(metadata=_as("The same as text."))
    after: str = field(metadata=_as("The line as it is now, and what is within limits."))
    outside: str = field(metadata=_as("What is outside tolerance."))
    accent: str = field(
        metadata=_as(
            "The workshop's name and smaller headings; a shop's own `accent` goes before it."
        )
    )
    paper: str = field(metadata=_as("The page.", ColourUse.GROUND, token="background"))
    wash: str = field(
        metadata=_as("A light ground, such as that of the wing's outline.", ColourUse.GROUND)
    )
    font: str = field(metadata={"token": "font_drawings"})

    @classmethod
    def of(cls, tokens: Mapping[str, Any]) -> Self:
        """The ink that a theme's tokens give."""
        return cls(**{one.name: tokens[_token(one)] for one in fields(cls)})


def _token(of_ink: Field[str]) -> str:
    return of_ink.metadata["token"] or of_ink.name


@dataclass(frozen=True)
class Colour:
    """One colour token: its name in theme files, what it is for."""

    token: str
    about: str
    use: ColourUse


COLOURS = tuple(
    Colour(_token(one), one.metadata["about"], one.metadata["use"])
    for one in fields(Ink)
    if "use" in one.metadata
)
