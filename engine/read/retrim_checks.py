"""Do adjustments, a proposed retrim and the loops as found agree with line set and loop table?

And with what the maker allows. Each check adds to a `FaultList`.
"""

from collections.abc import Collection, Iterable, Sequence

from trimscribe.errors import Mark, suggest
from trimscribe.model.wing import BRAKE_MAIN, Side
from trimscribe.schemas.faults import FaultList, ValidValues
from trimscribe.schemas.wing_fields import UNNAMED
from trimscribe.validation.line_set import line_names, specified

_LOOPS = ("loop_before", "loop_after")


def check_retrim(job: ValidValues, specification: ValidValues | None, faults: FaultList) -> None:
    """All checks of a retrim: the one that was done, one that is proposed, and what that needs."""
    lines = line_names(specification) if specification else []
    _check_entries(job, ("adjustments",), lines, faults)
    if specification is not None:
        _check_never(specification, lines, faults)
        _check_rules(specification, faults)
    _check_tied(job, lines, faults)
    _check_entries(job, ("plan", "changes"), lines, faults)
    if specification is not None:
        _check_forbidden(job, specification, faults)
    if job.part("plan") and not job.get("plan", "done"):
        faults.warning(
            "plan-not-done",
            "A retrim is proposed here that is not recorded as done; the report does not count it.",
            job.key("plan"),
            "Once it is done, `trimscribe plan JOB --done` makes it adjustments; or delete it.",
        )


def _check_never(specification: ValidValues, lines: list[str], faults: FaultList) -> None:
    for index, name in enumerate(specification.entries("retrim", "never")):
        if name and lines and name not in lines:
            faults.error(
                "unknown-line",
                f"The specification has no line “{name}”.",
                specification.mark("retrim", "never", index),
                _which(name, lines),
            )


def _which(name: str, lines: Collection[str]) -> str:
    """The lines of the same letters, small or large: c9 is a main line, C9 a point."""
    row = name.rstrip("0123456789")
    alike = [line for line in lines if line.rstrip("0123456789") == row]
    return suggest("", alike) if alike and name != row else suggest(name, lines)


def _check_forbidden(job: ValidValues, specification: ValidValues, faults: FaultList) -> None:
    """No plan changes a line that the maker forbids to change."""
    never = specification.entries("retrim", "never")
    for index, entry in enumerate(job.entries("plan", "changes")):
        line = (entry or {}).get("line")
        if line and line in never:
            faults.error(
                "line-forbidden",
                f"The specification forbids to change the loop of “{line}”.",
                job.mark("plan", "changes", index, "line"),
                "See `retrim.never` in the specification, and the maker's own trim procedure.",
            )


def _check_rules(specification: ValidValues, faults: FaultList) -> None:
    """Rules name points that exist, and have names of their own."""
    groups, seen = specified(specification), set()
    for index, rule in enumerate(specification.entries("trim_rules")):
        place, rule = ("trim_rules", index), rule or {}
        name = rule.get("name")
        if name and name in seen:
            faults.error(
                "rule-named-twice",
                f"Two rules are called “{name}”.",
                specification.mark(*place, "name"),
                "Give each rule a name of its own.",
            )
        seen.add(name)
        for key in ("plus", "minus"):
            for point in rule.get(key) or ():
                mark = specification.mark(*place, key)
                if groups and point.group not in groups:
                    message = f"`{point}` is of no row that the specification has."
                    faults.error("unknown-row", message, mark, suggest(point.group, groups))
                    break
                if groups.get(point.group) and point.number > len(groups[point.group]):
                    count = len(groups[point.group])
                    message = f"`{point}` does not exist: {point.group} has {count} points."
                    faults.error("point-not-in-specification", message, mark)
                    break


def _check_tied(job: ValidValues, lines: list[str], faults: FaultList) -> None:
    """Loops as found are of lines that exist, and in the table of take-up."""
    tied, tables = job.part("before", "tied"), job.part("loops")
    if tied and not tables and not job.faulty("loops"):
        _no_loop_table(job.key("before", "tied"), faults)
    for line, stated in tied.items():
        place = ("before", "tied", line)
        if line != UNNAMED and lines and (line not in lines or line == BRAKE_MAIN):
            message = f"The specification has no line “{line}” with a loop."
            faults.error("unknown-line", message, job.key(*place), _which(line, lines))
        elif tables and stated:
            loops = dict.fromkeys(stated[side] for side in ("left", "right") if side in stated)
            used = [(loop, place) for loop in loops]
            advice = ("this line", "Write {loop: …, maillon: …}.")
            _check_loops(job, place, stated.get("maillon"), used, advice, faults)


def _check_entries(
    job: ValidValues, at: tuple[str, ...], lines: Collection[str], faults: FaultList
) -> None:
    """Adjustments, done or planned: lines that exist, once on each side, loops of the table."""
    _check_loop_table(job, at, faults)
    seen: set[tuple[str, Side]] = set()
    for index, entry in enumerate(job.entries(*at)):
        place: tuple[str | int, ...] = (*at, index)
        entry = entry or {}
        line = entry.get("line")
        if line and lines and line not in lines:
            faults.error(
                "unknown-line",
                f"The specification has no line “{line}”.",
                job.mark(*place, "line"),
                _which(line, lines),
            )
        for side in sides(entry.get("side")):
            if line and (line, side) in seen:
                faults.error(
                    "line-adjusted-twice",
                    f"“{line}” on the {side} side was already adjusted above.",
                    job.mark(*place, "line"),
                    "Write one entry per line and side, from the first loop to the last.",
                )
                break
            seen.add((line or "", side))
        if used := [(entry[key], (*place, key)) for key in _LOOPS if entry.get(key)]:
            advice = ("this adjustment", "Add `maillon`.")
            _check_loops(job, place, entry.get("maillon"), used, advice, faults)


def sides(word: str | None) -> Iterable[Side]:
    """The sides that a word means; both is left and right."""
    return tuple(Side) if word == "both" else tuple(side for side in Side if side == word)


def _check_loop_table(job: ValidValues, at: tuple[str, ...], faults: FaultList) -> None:
    """Loops require a table of their take-up. A missing one is reported once, at the first."""
    for index, entry in enumerate(job.entries(*at)):
        for key in _LOOPS:
            if (entry or {}).get(key) and not job.part("loops") and not job.faulty("loops"):
                _no_loop_table(job.mark(*at, index, key), faults)
                return


def _no_loop_table(mark: Mark, faults: FaultList) -> None:
    """The fault of a job that names loops and has no table of them."""
    faults.error(
        "no-loop-table",
        "Loops are named here, but the job has no table of their take-up.",
        mark,
        "Write under `loops` what each loop takes up in mm, measured at your bench.",
    )


def _check_loops(
    job: ValidValues,
    place: tuple[str | int, ...],
    maillon: str | None,
    used: Sequence[tuple[str, tuple[str | int, ...]]],
    advice: tuple[str, str],
    faults: FaultList,
) -> None:
    """The loops of one entry, each with where it is named, are in the table of its maillon.

    `advice` says what the entry is called, and how it names a table where there are several.
    """
    tables = job.part("loops")
    if not tables:
        return
    if maillon and maillon not in tables:
        faults.error(
            "unknown-maillon",
            f"`loops` has no table “{maillon}”.",
            job.mark(*place, "maillon"),
            suggest(maillon, tables),
        )
        return
    if not maillon and len(tables) > 1:
        called, hint = advice
        faults.error(
            "maillon-not-named",
            f"`loops` has several tables, and {called} does not say which one holds.",
            job.mark(*used[0][1]),
            f"{hint} {suggest('', tables)}",
        )
        return
    table = tables[maillon or next(iter(tables))] or {}
    for loop, where in used:
        if table and loop not in table:
            message = f"`loops` has no take-up for “{loop}”."
            faults.error("unknown-loop", message, job.mark(*where), suggest(loop, table))
