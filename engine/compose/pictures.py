"""The workshop's own pictures: their place in the document's root, and how templates name them."""

from collections.abc import Mapping
from pathlib import PurePosixPath

from trimscribe.model.workshop import InputFile, Workshop

__all__ = ["picture_path", "pictures_of"]


def picture_path(role: str, picture: InputFile) -> str:
    """The path of a picture below the root; only its ending comes from the person's name for it."""
    return f"pictures/{role}{PurePosixPath(picture.name).suffix.lower()}"


def pictures_of(workshop: Workshop) -> Mapping[str, bytes]:
    """All pictures by path."""
    named = {"logo": workshop.logo, "signature": workshop.signature}
    return {picture_path(role, p): p.data for role, p in named.items() if p}
