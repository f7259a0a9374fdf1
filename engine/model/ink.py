"""The colours of a theme: declared here once; schema, checks, page and drawings follow."""

from dataclasses import dataclass, field, fields
from enum import StrEnum
from typing import Any


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
    font: str


@dataclass(frozen=True)
class Colour:
    """One colour token: its name in theme files and in `Ink`, what it is for."""

    token: str
    ink: str
    about: str
    use: ColourUse


COLOURS = tuple(
    Colour(one.metadata["token"] or one.name, one.name, one.metadata["about"], one.metadata["use"])
    for one in fields(Ink)
    if one.metadata
)
