"""Which lines the free words for a part that was replaced, or pulled, name."""

from trimscribe.model.replaced import is_whole_set
from trimscribe.model.wing import BRAKE, BRAKE_MAIN, Specification

# What the free travel of a brake hangs on, by the front of its name.
_HOLDS_BRAKE = ("line", "handle", "toggle", "pulley")


def of_brakes(part: str, spec: Specification | None) -> bool:
    """Whether a part is a brake line or what one is tied to, or a set of all lines, by its name."""
    words = words_of(part)
    of_brake = any(word.startswith("brake") for word in words)
    holds = any(word.startswith(_HOLDS_BRAKE) for word in words)
    lines = [line for line in spec.cascade if line.name.lower() in words] if spec else []
    groups = {point.group for line in lines for point in line.points}
    return (
        (of_brake and holds)
        or bool(groups & {BRAKE, BRAKE_MAIN} or words & _brake_points(spec))
        or is_whole_set(part)
    )


def _brake_points(spec: Specification | None) -> set[str]:
    groups = spec.groups if spec else ()
    return {
        str(point).lower()
        for group in groups
        if group.name in (BRAKE, BRAKE_MAIN)
        for point in group.points
    }


def named(text: str, spec: Specification | None) -> set[str]:
    """The lines of the line set whose names are in a text."""
    if spec is None:
        return set()
    points = {str(point).lower() for group in spec.groups for point in group.points}
    return words_of(text) & (points | {line.name.lower() for line in spec.cascade})


def words_of(text: str) -> set[str]:
    """Its words in small letters, without what ends a sentence."""
    return {word.strip(".,;").lower() for word in text.split()}
