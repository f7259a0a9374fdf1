"""Do dates, wing, pilot, tests and control lines agree? Each check adds to a `FaultList`."""

from collections.abc import Collection

from trimscribe.errors import suggest
from trimscribe.model.job import Condition, Flight, PorosityUnit
from trimscribe.model.wing import BRAKE, BRAKE_MAIN, LineKey, Point, Side
from trimscribe.schemas.faults import FaultList, ValidValues
from trimscribe.validation.line_set import check_tolerance_rows, lines_carrying, specified


def check_work(
    job: ValidValues,
    specification: ValidValues | None,
    measured: Collection[str],
    faults: FaultList,
) -> None:
    """All checks of what was done, when, on which wing; `measured` before, after or both."""
    _check_dates(job, faults)
    _check_weights(job, faults)
    _check_porosity(job, faults)
    _check_strength(job, faults)
    _check_replaces(job, faults)
    _check_flight(job, faults)
    _check_worked_on(job, measured, faults)
    if specification is not None:
        _check_wing(job, specification, faults)
        _check_offset(job, specification, faults)
        _check_controls(job, specification, faults)
        check_tolerance_rows(job, specification, faults)


def _check_worked_on(job: ValidValues, measured: Collection[str], faults: FaultList) -> None:
    """A wing that was measured once, and that nobody worked on, was not measured after work."""
    looked_at = range(len(job.entries("inspection")))
    work = (
        any(job.has(key) or job.faulty(key) for key in ("adjustments", "replacements"))
        or job.faulty("inspection")
        or any(job.get("inspection", n, "condition") == Condition.REPAIRED for n in looked_at)
    )
    if [*measured] == ["after"] and not work:
        faults.error(
            "after-without-work",
            "The job has a measuring after the work, but no work.",
            job.key("after"),
            "Write what was done under `adjustments` or `replacements`; where nothing was done, "
            "write the measuring under `before`.",
        )


def _check_replaces(job: ValidValues, faults: FaultList) -> None:
    number, replaced = job.get("service", "number"), job.get("service", "replaces", "report")
    if number and replaced and number.casefold() == replaced.casefold():
        faults.error(
            "replaces-itself",
            f"The report “{number}” replaces one of the same number.",
            job.mark("service", "replaces", "report"),
            "Give the correction a number of its own; the earlier report stays.",
        )


def _check_flight(job: ValidValues, faults: FaultList) -> None:
    """Conditions belong to a release with conditions, and to no other decision."""
    flight, conditions = job.get("decision", "flight"), job.get("decision", "conditions")
    conditional = flight == Flight.WITH_CONDITIONS.value
    if flight is None or conditional is bool(conditions):
        return
    if conditional:
        faults.error(
            "no-conditions",
            "The wing is released with conditions, and none is stated.",
            job.mark("decision", "flight"),
            "Write them under `conditions`, or `flight: released`.",
        )
    else:
        faults.error(
            "conditions-without-release",
            f"Conditions are stated, but the decision is “{flight}”.",
            job.mark("decision", "conditions"),
            "Write `flight: released with conditions`, or take the conditions out.",
        )


def _check_porosity(job: ValidValues, faults: FaultList) -> None:
    """No air passes cloth in no time, whereas a flow may well be 0."""
    at = ("cloth", "porosity")
    if job.get(*at, "unit") != PorosityUnit.SECONDS.value:
        return
    for number in range(len(job.entries(*at, "readings"))):
        if job.get(*at, "readings", number, "value") == 0:
            faults.error(
                "out-of-range",
                "A reading of 0 s would mean that nothing holds the air back.",
                job.mark(*at, "readings", number, "value"),
                "Write the seconds that the meter showed, or leave the place out.",
            )


def _check_dates(job: ValidValues, faults: FaultList) -> None:
    """Every date is compared with those that must not lie after it, until one of the two fails."""
    received, done = ("service", "received"), ("service", "done")
    before, after = ("before", "date"), ("after", "date")
    next_service = ("service", "next_service", "date")
    doubtful: set[tuple[str, ...]] = set()
    for earlier, later in (
        (received, before),
        (received, after),
        (received, done),
        (before, after),
        (before, done),
        (after, done),
        (done, next_service),
    ):
        first, second = job.get(*earlier), job.get(*later)
        if doubtful & {earlier, later} or not (first and second) or first <= second:
            continue
        doubtful |= {earlier, later}
        faults.error(
            "dates-out-of-order",
            f"`{job.shown(*later)}` is {second}, before `{job.shown(*earlier)}`, {first}.",
            job.mark(*later),
            "Check which of the two is right.",
        )
    year, finished = job.get("wing", "year"), job.get(*done)
    if year and finished and year > finished.year:
        faults.error(
            "dates-out-of-order",
            f"The wing is of {year}, but was serviced in {finished.year}.",
            job.mark("wing", "year"),
            "Check which of the two is right.",
        )


def _check_weights(job: ValidValues, faults: FaultList) -> None:
    low, high = job.get("wing", "weight_min_kg"), job.get("wing", "weight_max_kg")
    weight = job.get("pilot", "all_up_weight_kg")
    if low and high and low >= high:
        faults.error(
            "weight-range-upside-down",
            f"The weight range goes from {low:g} to {high:g} kg.",
            job.mark("wing", "weight_max_kg"),
            "weight_min_kg is the smaller of the two.",
        )
    elif weight and ((low and weight < low) or (high and weight > high)):
        way = "below" if low and weight < low else "above"
        faults.warning(
            "pilot-outside-weight-range",
            f"{weight:g} kg all-up is {way} the wing's range.",
            job.mark("pilot", "all_up_weight_kg"),
            "Check the weight; the report says so to the pilot.",
        )


def _check_wing(job: ValidValues, specification: ValidValues, faults: FaultList) -> None:
    for name in ("maker", "model", "size"):
        own, other = job.get("wing", name), specification.get(name)
        if own and other and own.casefold() != other.casefold():
            faults.warning(
                "wing-differs-from-specification",
                f"The wing's {name} is “{own}”, the specification's “{other}”.",
                job.mark("wing", name),
                "Check that this is the right specification.",
            )


def _check_offset(job: ValidValues, specification: ValidValues, faults: FaultList) -> None:
    row = job.get("common_offset", "row") if job.part("common_offset") else None
    rows = specification.part("rows")
    if row is not None and rows and row not in rows:
        faults.error(
            "unknown-row",
            f"The specification has no row “{row}”.",
            job.mark("common_offset", "row"),
            suggest(row, rows),
        )


def left_alone(
    points: Collection[LineKey], job: ValidValues, specification: ValidValues | None
) -> list[LineKey]:
    """Those of the points that no adjustment moves, by the line itself or by one below it."""
    carrying = lines_carrying(specification) if specification else {}
    adjusted = {
        ((entry or {}).get("line"), (entry or {}).get("side"))
        for entry in job.entries("adjustments")
    }

    def moved(side: Side, point: Point) -> bool:
        lines = {f"{point.group}{point.number}", point.group, *carrying.get(str(point), ())}
        if point.group == BRAKE:
            lines.add(BRAKE_MAIN)  # the fan is measured with it
        return any((line, where) in adjusted for line in lines for where in (side.value, "both"))

    return [key for key in points if not moved(*key)]


def _check_controls(job: ValidValues, specification: ValidValues, faults: FaultList) -> None:
    """Control lines are points of rows, and nobody worked on them."""
    rows = specified(specification)
    points = [
        f"{row}{n + 1}"
        for row in specification.part("rows")
        for n in range(len(rows.get(row) or ()))
    ]
    adjusted = {
        (entry or {}).get("line"): index for index, entry in enumerate(job.entries("adjustments"))
    }
    moved = lines_carrying(specification)
    for index, name in enumerate(job.inside("after").entries("control_lines")):
        mark = job.mark("after", "control_lines", index)
        if not isinstance(name, str) or not points:
            continue
        if name not in points:
            faults.error(
                "unknown-point",
                f"“{name}” is not a point of a row of the specification.",
                mark,
                suggest(name, points),
            )
        elif line := next((x for x in (name, *moved.get(name, ())) if x in adjusted), None):
            faults.error(
                "control-line-adjusted",
                f"“{name}” cannot be a control line: “{line}” was adjusted.",
                mark,
                "Control lines are lines that nobody worked on. Choose another one.",
            )


def _check_strength(job: ValidValues, faults: FaultList) -> None:
    for index in range(len(job.entries("strength"))):
        load, required, broke = (
            job.get("strength", index, key) for key in ("load_n", "required_n", "broke")
        )
        if load and required and load < required and broke is False:
            faults.warning(
                "load-below-required",
                f"The line held {load:g} N, but was not pulled to the {required:g} N required.",
                job.mark("strength", index, "load_n"),
                "Such a test shows neither pass nor fail.",
            )
