"""What a worker does with one PDF; it is handed the bytes."""

from functools import cache

from trimscribe.model.proof import Proof
from trimscribe.registry import Registry
from trimscribe.verification.check import check
from trimscribe.world import World

__all__ = ["get_ready", "proved"]


@cache
def get_ready() -> tuple[Registry, World]:
    """What is installed, looked up once for all PDFs."""
    registry = Registry.installed()
    registry.listing()  # loads it all
    return registry, World.real()


def proved(task: tuple[str, bytes, str, tuple[bytes, ...]]) -> Proof:
    """The proof of a PDF: its path, bytes, theme and certificates that are trusted."""
    _, data, theme, trusted = task
    return check(data, *get_ready(), theme=theme, trusted=trusted)
