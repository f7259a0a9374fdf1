"""Gone to `trimscribe.errors`; plugins may still take these names from here, with a warning."""

import warnings
from typing import Any

from trimscribe import errors

_MOVED = ("number_hint", "suggest")


def __getattr__(name: str) -> Any:
    if name not in _MOVED:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    message = f"`{name}` is in trimscribe.errors since December 2026; trimscribe.hints will go."
    warnings.warn(message, DeprecationWarning, stacklevel=2)
    return getattr(errors, name)
