"""Does the line set agree with itself? Each check adds to a `FaultList` what it finds."""

from collections.abc import Iterator, Mapping
from statistics import fmean
from typing import Any

from trimscribe.errors import suggest
from trimscribe.marked_yaml import ValuePath
from trimscribe.model.wing import BRAKE, BRAKE_MAIN, STABILO, Point
from trimscribe.schemas.faults import FaultList, ValidValues

_LEAST_POINTS = 3  # of a row that shows which way it goes


def specified(specification: ValidValues) -> dict[str, list[float | None]]:
    """Specified lengths in mm by group, front to rear, then stabilo and brake lines.

    A group of which only something faulty was written has no lengths.
    """
    groups: dict[str, list[float | None]] = {
        name: (row or {}).get("lengths_mm") or []
        for name, row in specification.part("rows").items()
    }
    brake = specification.faulty("brake")
    for name, path in (
        (STABILO, ("stabilo_mm",)),
        (BRAKE, ("brake", "fan_mm")),
        (BRAKE_MAIN, ("brake", "main_mm")),
    ):
        value = specification.get(*path)
        if value or specification.faulty(*path) or (brake and name != STABILO):
            groups[name] = value if isinstance(value, list) else [value] if value else []
    return groups


def line_names(specification: ValidValues) -> list[str]:
    """Every line of the cascade, the main brake line, and each single line by its point.

    Empty where faults of the specification leave open which lines there are.
    """
    groups = specified(specification)
    if (
        specification.faulty("cascade")
        or not specification.part("rows")
        or not all(groups.values())
    ):
        return []
    points = [f"{name}{n + 1}" for name, lengths in groups.items() for n in range(len(lengths))]
    cascade = [path[-1] for path, _ in _walk(specification.part("cascade"), ())]
    return [*cascade, *([BRAKE_MAIN] if BRAKE in groups else []), *points]


def lines_carrying(specification: ValidValues) -> dict[str, tuple[str, ...]]:
    """By point, the lines of the cascade between it and the maillon."""
    found: dict[str, tuple[str, ...]] = {}
    for path, above in _walk(specification.part("cascade"), ()):
        for point in above if isinstance(above, list) else ():
            if point is not None:
                found[str(point)] = tuple(str(name) for name in path)
    return found


def check_specification(specification: ValidValues, faults: FaultList) -> None:
    """Positions, order of rows and points, cascade, stiffness, strength rules, tolerances."""
    _check_positions(specification, faults)
    _check_order(specification, faults)
    _check_cascade(specification, faults)
    _check_groups(specification, faults)
    check_tolerance_rows(specification, specification, faults)


def check_tolerance_rows(where: ValidValues, specification: ValidValues, faults: FaultList) -> None:
    """Tolerances by row name rows that exist."""
    rows = specification.part("rows")
    for name in where.part("tolerances", "rows"):
        if rows and name not in rows:
            faults.error(
                "unknown-row",
                f"`{name}` is not a row of the specification.",
                where.key("tolerances", "rows", name),
                suggest(name, rows),
            )


def _check_positions(specification: ValidValues, faults: FaultList) -> None:
    front = None
    for name, row in specification.part("rows").items():
        lengths, chords = (row or {}).get("lengths_mm") or [], (row or {}).get("chord_m") or []
        if len(chords) not in (0, 1, len(lengths)):
            faults.error(
                "positions-do-not-match",
                f"Row {name} has {len(chords)} positions for {len(lengths)} lengths.",
                specification.key("rows", name, "chord_m"),
                "Give one position for the whole row, or one per point.",
            )
        known = [chord for chord in chords if chord is not None]
        if not known:
            continue
        if front and fmean(known) <= front[1]:
            faults.error(
                "rows-out-of-order",
                f"Row {name} does not lie behind row {front[0]}.",
                specification.key("rows", name),
                "Write the rows from front to rear, with positions in metres from the leading "
                "edge.",
            )
        front = name, fmean(known)
    edge = specification.get("brake", "trailing_edge_m")
    if front and edge is not None and edge <= front[1]:
        faults.error(
            "trailing-edge-in-front",
            f"The trailing edge at {edge:g} m does not lie behind row {front[0]}.",
            specification.mark("brake", "trailing_edge_m"),
            "Positions are in metres from the leading edge.",
        )


def _check_order(specification: ValidValues, faults: FaultList) -> None:
    """Outside, lines are shorter (common practice, no source): a wing typed from the tip is not."""
    ends = []
    for name in specification.part("rows"):
        known = [mm for mm in specification.get("rows", name, "lengths_mm") or [] if mm is not None]
        if len(known) >= _LEAST_POINTS:
            ends.append((known[0], known[-1]))
    if ends and all(last > first for first, last in ends):
        faults.warning(
            "rows-from-tip",
            "The lengths of every row grow from its first point to its last. Points count from the "
            "centre of the wing outwards, where lines get shorter.",
            specification.key("rows"),
            "Where the lists run from the tip, turn each, and `chord_m` with it.",
        )


def _check_cascade(specification: ValidValues, faults: FaultList) -> None:
    groups = specified(specification)
    if not specification.part("rows"):
        return
    seen: set[str] = set()
    hung: dict[Point, str] = {}
    for path, above in _walk(specification.part("cascade"), ()):
        line, place = path[-1], ("cascade", *path)
        if line in seen:
            faults.error(
                "line-named-twice",
                f"Two lines of the cascade are called `{line}`.",
                specification.key(*place),
                "Give each line a name of its own.",
            )
        seen.add(line)
        for index, point in enumerate(above if isinstance(above, list) else ()):
            mark = specification.mark(*place, index)
            if point is None:
                continue
            if point.group not in groups:
                faults.error(
                    "unknown-row",
                    f"`{point}` on line {line} is of no row that the specification has.",
                    mark,
                    suggest(point.group, groups),
                )
            elif groups[point.group] and point.number > len(groups[point.group]):
                faults.error(
                    "point-not-in-specification",
                    f"`{point}` on line {line} does not exist: {point.group} has "
                    f"{len(groups[point.group])} points.",
                    mark,
                )
            elif point in hung:
                faults.error(
                    "point-hangs-twice",
                    f"`{point}` already hangs on line {hung[point]}.",
                    mark,
                    "Each point hangs on one line.",
                )
            hung.setdefault(point, line)


def _check_groups(specification: ValidValues, faults: FaultList) -> None:
    """Stiffnesses and strength rules name what is there, with a value per point or one for all."""
    groups, rows = specified(specification), specification.part("rows")
    for name, values in specification.part("stiffness_n").items():
        key = specification.key("stiffness_n", name)
        if rows and name not in groups:
            hint = suggest(name, groups)
            faults.error("unknown-row", f"`{name}` is not in the specification.", key, hint)
        elif groups.get(name) and len(values or ()) not in (0, 1, len(groups[name])):
            faults.error(
                "positions-do-not-match",
                f"{name} has {len(values)} stiffnesses for {len(groups[name])} lengths.",
                key,
                "Give one for the whole group, or one per point.",
            )
    for index in range(len(specification.entries("strength_rules"))):
        for place, name in enumerate(specification.entries("strength_rules", index, "rows")):
            if rows and name and name not in rows:
                mark = specification.mark("strength_rules", index, "rows", place)
                message = f"`{name}` is not a row of the specification."
                faults.error("unknown-row", message, mark, suggest(name, rows))


def _walk(lines: Mapping[str, Any], below: ValuePath) -> Iterator[tuple[tuple[Any, ...], Any]]:
    """Every line with its path, and what is above it."""
    for name, above in lines.items():
        yield (*below, name), above
        if isinstance(above, dict):
            yield from _walk(above, (*below, name))
