"""How a fact is declared: once, with its meaning and the findings that it comes from."""

from dataclasses import dataclass, field, fields
from typing import Any


@dataclass(frozen=True)
class Declared:
    """What a fact means, and the paths of the findings or of the job's values behind it.

    Paths are separated by spaces; `{found}`, `{now}`, `{travel}` and `{corrected}` stand for
    the measuring that is meant, before or after.
    """

    meaning: str
    trail: str


def fact(default: Any, meaning: str, trail: str = "") -> Any:
    """Declare a field of facts; `default` is its value where nothing is known."""
    return field(default=default, metadata={"fact": Declared(meaning, trail)})


def declared(part: type) -> dict[str, Declared]:
    """The facts of one group by name, in the order of their declaration."""
    return {f.name: f.metadata["fact"] for f in fields(part)}
