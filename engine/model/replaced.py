"""Which lines of a wing the free words for a part that was replaced, or pulled, name.

A line is named as the line set writes it; in other letters only where it names none that is written
so: `a1` may be the main line below `A1`. Other words are read in English, as the keys of a job.
"""

import re

from trimscribe.model.wing import BRAKE, BRAKE_MAIN, GroupKind, Point, Specification

_NAMES = re.compile(r"[^\s,;()]+")
_WORDS = re.compile(r"\w+")
_SEVERAL = frozenset({"lines", "row", "rows"})  # beside a row's name
# "A1-A4", also with "to" or a dash of its own.
_RANGE = re.compile(r"(\S*?[^\s0-9])([0-9]{1,3})\s*(?:[-–]|\bto\b)\s*(?:\1)?([0-9]{1,3})\b")
_WHOLE_SET = ("all lines", "line set", "lineset", "set of lines")
_WITH_BRAKES = re.compile(r"\b(?:incl\w*|with|and|plus)\b[^,;]*\bbrakes?\b|[+&][^,;]*\bbrakes?\b")
# "two B lines", "part of the line set": not the whole, and nobody says which.
_NOT_ALL = re.compile(
    r"\b(?:[0-9]{1,2}|one|two|three|four|five|six|seven|eight|nine|ten|eleven|twelve|some|few"
    r"|several|half|part|most|but|except|without)\b"
)
_A_LINE = re.compile(r"\b(?:lines?|mains)\b", re.IGNORECASE)
# What the free travel of a brake hangs on, by the front of its name.
_HOLDS_BRAKE = ("line", "handle", "toggle", "pulley")


def lines_named(part: str, specification: Specification) -> set[str]:
    """The lines that a part names one by one, as the line set writes them."""
    known = {str(point) for group in specification.groups for point in group.points}
    known |= {line.name for line in specification.cascade} | {BRAKE_MAIN}
    named: set[str] = set()
    for word in words_of(spelled_out(part)):
        named |= {word} & known or {name for name in known if name.lower() == word.lower()}
    return named | ({BRAKE_MAIN} if _of_brake(part, "main") else set())


def carried_points(line: str, specification: Specification) -> tuple[Point, ...]:
    """The attachment points that a line moves: those of the cascade, the brake fan, or itself.

    `line` is a line of the cascade, the main brake line, or a single line such as "A3".
    """
    for cascade in specification.cascade:
        if cascade.name == line:
            return cascade.points
    main = next((g for g in specification.groups if g.kind is GroupKind.BRAKE_MAIN), None)
    if line == BRAKE_MAIN or (main is not None and line == main.name):
        fan = [p for g in specification.groups if g.kind is GroupKind.BRAKE for p in g.points]
        return tuple(fan) or (main.points if main else ())
    near = (g for g in specification.groups if line.startswith(g.name))
    return tuple(p for g in near for p in g.points if str(p) == line)


def points_named(part: str, specification: Specification) -> frozenset[Point]:
    """The points of lines that a part names: "line B9", "lines A1-A4", "A lines", "line set".

    Where brake lines are not named one by one, all of them.
    """
    names = lines_named(part, specification)
    named = frozenset(p for name in names for p in carried_points(name, specification))
    if BRAKE_MAIN in names:  # which is measured by itself as well
        named |= {p for g in specification.groups if g.name == BRAKE_MAIN for p in g.points}
    if not named and _of_brake(part, "line") and not is_whole_set(part):
        return frozenset(p for g in specification.groups if g.kind.is_brake for p in g.points)
    return named or points_of_whole(part, specification)


def lacks_a_name(part: str, specification: Specification) -> bool:
    """Whether a part is a line, or more of them, and it is not said which."""
    return bool(_A_LINE.search(part)) and not points_named(part, specification)


def of_brakes(part: str, specification: Specification | None) -> bool:
    """Whether a part is a brake line or what one is tied to, or a set of all lines, by its name."""
    points = points_named(part, specification) if specification else ()
    return (
        _of_brake(part, *_HOLDS_BRAKE)
        or any(point.group in (BRAKE, BRAKE_MAIN) for point in points)
        or is_whole_set(part)
    )


def _of_brake(part: str, *fronts: str) -> bool:
    """Whether one of its words begins with "brake", and one with one of these."""
    words = words_of(part.lower())
    of_brake = any(word.startswith("brake") for word in words)
    return of_brake and any(word.startswith(fronts) for word in words)


def points_of_whole(part: str, specification: Specification) -> frozenset[Point]:
    """The points of each row that a part names as a whole; every point where it is a line set."""
    words, small = set(_WORDS.findall(part)), " ".join(part.lower().split())
    if not says_all(part):
        return frozenset()
    holding = [group for group in specification.groups if not group.kind.is_brake]
    tips = [g for g in holding if g.kind is GroupKind.STABILO and g.name in small]
    if rows := [group for group in holding if group.name in words] or tips:
        new = [] if "riser" in small else rows if words & _SEVERAL else tips
        return frozenset(p for group in new for p in group.points)
    return frozenset(p for g in specification.groups if is_whole_set(part) for p in g.points)


def is_whole_set(part: str) -> bool:
    """Whether a part is a set of all lines by its name, not one of the brakes alone."""
    small = " ".join(part.lower().split())
    others = "brake" not in small or _WITH_BRAKES.search(small)
    return bool(others) and any(whole in small for whole in _WHOLE_SET)


def says_all(part: str) -> bool:
    """Whether nothing in the words for a part says that it is not the whole."""
    return not _NOT_ALL.search(part.lower())


def words_of(part: str) -> set[str]:
    """Its words, without what ends a sentence."""
    return {word.strip(".") for word in _NAMES.findall(part)}


def spelled_out(part: str) -> str:
    """The words for a part, a range such as "A1-A3" as "A1 A2 A3"."""

    def each(found: re.Match[str]) -> str:
        numbers = range(int(found[2]), int(found[3]) + 1)
        return " ".join(f"{found[1]}{number}" for number in numbers) or found[0]

    return _RANGE.sub(each, part)
