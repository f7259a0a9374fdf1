"""Do loops as found, the maker's limits and the plan agree with line set and loop table?"""

from trimscribe.hints import suggest
from trimscribe.model.wing import BRAKE_MAIN
from trimscribe.read.work_checks import check_entries, check_loops, no_loop_table
from trimscribe.schemas.retrim import DEFAULT
from trimscribe.validation.line_set import line_names, specified
from trimscribe.validation.values import FaultList, ValidValues


def check_retrim(job: ValidValues, specification: ValidValues | None, faults: FaultList) -> None:
    """All checks of what a proposed retrim needs, and of one that is in the job."""
    lines = line_names(specification) if specification else []
    if specification is not None:
        _check_never(specification, lines, faults)
        _check_rules(specification, faults)
    _check_tied(job, lines, faults)
    check_entries(job, ("plan", "changes"), lines, faults)
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
                suggest(name, lines),
            )


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
        no_loop_table(job.key("before", "tied"), faults)
    for line, stated in tied.items():
        place = ("before", "tied", line)
        if line != DEFAULT and lines and (line not in lines or line == BRAKE_MAIN):
            message = f"The specification has no line “{line}” with a loop."
            faults.error("unknown-line", message, job.key(*place), suggest(line, lines))
        elif tables and stated:
            loops = dict.fromkeys(stated[side] for side in ("left", "right") if side in stated)
            used = [(loop, place) for loop in loops]
            advice = ("this line", "Write {loop: …, maillon: …}.")
            check_loops(job, place, stated.get("maillon"), used, advice, faults)
