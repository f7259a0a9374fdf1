"""From checked values to the model: the job, its specification, the tolerances that hold.

Nothing here can fail: every fault was found before.
"""

from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import replace
from typing import Any

from trimscribe.model.decision import SIMPLE
from trimscribe.model.job import (
    NOT_DECIDED,
    Adjustment,
    Job,
    LoopTable,
    Measurement,
    OffsetMethod,
    TiedLoop,
    TiedLoops,
    WrittenPlan,
)
from trimscribe.model.wing import (
    BRAKE,
    BRAKE_MAIN,
    STABILO,
    CascadeLine,
    GroupKind,
    LineGroup,
    LineKey,
    Point,
    RetrimLimits,
    Side,
    Specification,
    Tolerances,
    TrimRule,
)
from trimscribe.model.workshop import Person, Workshop
from trimscribe.read.retrim_checks import sides
from trimscribe.schemas.wing_fields import UNNAMED, point_named
from trimscribe.validation.lengths import Length

Values = Mapping[str, Any]
LineLengths = Mapping[LineKey, Length]

# Where neither job nor specification nor workshop gives a line tolerance.
DEFAULT_TOLERANCE = Tolerances(default_mm=10.0, source="common practice, no source")


def build_job(
    job: Values,
    workshop: Workshop,
    shop: Values,
    specification: Specification | None,
    tolerances: Tolerances,
    lengths: Mapping[str, LineLengths],
) -> Job:
    """Put the job together; `lengths` has those of `before` and `after`."""
    method, row = _offset(job.get("common_offset"))
    service, cloth = job["service"], job.get("cloth") or {}
    return Job(
        service=replace(service, signed_by=_signed(service.signed_by, workshop.signatory)),
        workshop=workshop,
        wing=job["wing"],
        pilot=job.get("pilot"),
        specification=specification,
        tolerances=tolerances,
        offset_method=method,
        offset_row=row,
        before=_measurement(job.get("before"), lengths["before"]),
        after=_measurement(job.get("after"), lengths["after"]),
        loops=LoopTable({k: dict(v or {}) for k, v in (job.get("loops") or {}).items()}),
        adjustments=_adjustments(job.get("adjustments")),
        replacements=tuple(job.get("replacements") or ()),
        porosity=cloth.get("porosity"),
        tear=cloth.get("tear"),
        strength=tuple(job.get("strength") or ()),
        inspection=tuple(job.get("inspection") or ()),
        notes=job.get("notes") or "",
        redacted=bool(job.get("redacted")),
        thresholds=stated_thresholds(job, shop),
        decision_rule=job.get("decision_rule") or shop.get("decision_rule") or SIMPLE,
        confirmed=dict(job.get("confirmed") or {}),
        flight=job.get("decision") or NOT_DECIDED,
        plan=_plan(job.get("plan")),
    )


def _signed(signed: Person | None, signatory: Person | None) -> Person | None:
    """Who the job says has signed; the shop's signatory by that name adds the qualification."""
    if signed is None or signatory is None or signed.qualification:
        return signed
    return signatory if signed.name == signatory.name else signed


def _offset(written: Any) -> tuple[OffsetMethod, str]:
    if isinstance(written, Mapping):
        return OffsetMethod.ROW, str(written["row"])
    return OffsetMethod(written or OffsetMethod.MEAN), ""


def _measurement(values: Values | None, lengths: LineLengths) -> Measurement | None:
    """None where nothing was measured, be it that its day is written down, or gaps are."""
    if not values:
        return None
    plain = (
        "date",
        "method",
        "instrument",
        "tension_n",
        "uncertainty_mm",
        "repeat_mm",
        "session_mm",
        "deviations",
        "done_by",
    )
    measurement = Measurement(
        lengths_mm={key: length.value for key, length in lengths.items() if length.value},
        risers={
            (side, name): riser
            for side in Side
            for name, riser in ((values.get("risers") or {}).get(side) or {}).items()
        },
        controls=frozenset(
            (side, point)
            for name in values.get("control_lines") or ()
            if (point := point_named(name))
            for side in Side
        ),
        free_travel_mm={
            Side(side): travel for side, travel in _stated(values.get("free_travel_mm")).items()
        },
        tied=_tied(values.get("tied")),
        **_stated({name: values.get(name) for name in plain}),
    )
    found = measurement.lengths_mm or measurement.risers or measurement.free_travel_mm
    return measurement if found else None


def _tied(values: Values | None) -> TiedLoops | None:
    """Loops as found, line by line and side by side."""
    if not values:
        return None
    loops = {
        (Side(side), line): TiedLoop(stated[side], stated.get("maillon", ""))
        for line, stated in values.items()
        for side in Side
        if side in stated
    }
    return TiedLoops(
        {side: loop for (side, line), loop in loops.items() if line == UNNAMED},
        {key: loop for key, loop in loops.items() if key[1] != UNNAMED},
    )


def _adjustments(entries: Any) -> tuple[Adjustment, ...]:
    """One for each side of each entry."""
    return tuple(
        Adjustment(**{**_stated(entry), "side": side, "entry": index})
        for index, entry in enumerate(entries or ())
        for side in sides(entry["side"])
    )


def _plan(values: Values | None) -> WrittenPlan | None:
    if not values:
        return None
    return WrittenPlan(_adjustments(values.get("changes")), bool(values.get("done")))


def stated_thresholds(job: Values, shop: Values) -> dict[str, float]:
    """What is set of the analysis's table, by name: the job's word goes before its workshop's."""
    return {**_stated(shop.get("thresholds")), **_stated(job.get("thresholds"))}


def _stated(values: Values | None) -> dict[str, Any]:
    """What was written; the model's own default stands for what was left empty."""
    return {name: value for name, value in (values or {}).items() if value is not None}


def build_specification(values: Values) -> Specification:
    """The line set of one model and size."""
    brake = values.get("brake") or {}
    plain = ("includes_risers", "tension_n", "span_m", "lean_deg", "rounding_mm")
    groups = tuple(_groups(values, brake))
    return Specification(
        maker=values["maker"],
        model=values["model"],
        size=values["size"],
        source=values["source"],
        revision=values.get("revision") or "",
        groups=groups,
        cascade=_cascade(values.get("cascade") or {}, len(brake.get("fan_mm") or ())),
        risers=values.get("risers") or {},
        tolerances=_tolerances(values.get("tolerances")),
        trailing_edge_m=brake.get("trailing_edge_m"),
        brake_free_travel_mm=brake.get("free_travel_mm"),
        brakes_share_offset=bool(brake.get("shares_offset")),
        confirmed=dict(values.get("confirmed") or {}),
        stiffness_n=_stiffness(values.get("stiffness_n") or {}, groups),
        strength_rules=tuple(values.get("strength_rules") or ()),
        retrim=values.get("retrim") or RetrimLimits(),
        trim_rules=tuple(_trim_rule(rule) for rule in values.get("trim_rules") or ()),
        **_stated({name: values.get(name) for name in plain}),
    )


def _trim_rule(written: Values) -> TrimRule:
    return TrimRule(
        name=written["name"],
        plus=tuple(written["plus"]),
        minus=tuple(written.get("minus") or ()),
        each_side=written.get("side") != "both",
        target_mm=written.get("target_mm") or 0.0,
        within_mm=written["within_mm"],
    )


def _stiffness(
    written: Mapping[str, Sequence[float]], groups: tuple[LineGroup, ...]
) -> dict[str, tuple[float, ...]]:
    """One number for a whole group holds at each of its points."""
    counts = {group.name: len(group.lengths_mm) for group in groups}
    return {
        name: tuple(values) * (counts[name] if len(values) == 1 else 1)
        for name, values in written.items()
    }


def _groups(values: Values, brake: Values) -> Iterator[LineGroup]:
    for name, row in values["rows"].items():
        lengths, chord = tuple(row["lengths_mm"]), tuple(row.get("chord_m") or ())
        # One position for the whole row holds at each of its points.
        chord = chord * len(lengths) if len(chord) == 1 else chord
        yield LineGroup(name, GroupKind.ROW, lengths, chord)
    if lengths := tuple(values.get("stabilo_mm") or ()):
        yield LineGroup(STABILO, GroupKind.STABILO, lengths)
    if lengths := tuple(brake.get("fan_mm") or ()):
        yield LineGroup(BRAKE, GroupKind.BRAKE, lengths)
    if brake.get("main_mm") is not None:
        yield LineGroup(BRAKE_MAIN, GroupKind.BRAKE_MAIN, (brake["main_mm"],))


def _cascade(written: Values, fan: int) -> tuple[CascadeLine, ...]:
    """The tree as lines; the main brake line carries the whole fan without being written."""
    lines: list[CascadeLine] = []
    for name, above in written.items():
        points = _points(above)
        of_brake = {point.group for point in points} == {BRAKE} and name != BRAKE_MAIN
        lines += _lines(name, above, BRAKE_MAIN if of_brake else None)
    if fan and BRAKE_MAIN not in written:
        points = tuple(Point(BRAKE, n + 1) for n in range(fan))
        lines.append(CascadeLine(BRAKE_MAIN, points))
    return tuple(lines)


def _lines(name: str, above: Any, parent: str | None) -> Iterator[CascadeLine]:
    yield CascadeLine(name, tuple(_points(above)), parent)
    if isinstance(above, Mapping):
        for upper, further in above.items():
            yield from _lines(upper, further, name)


def _points(above: Any) -> Sequence[Point]:
    if isinstance(above, Mapping):
        return [point for further in above.values() for point in _points(further)]
    return list(above)


def effective_tolerances(groups: Collection[str], *layers: tuple[str, Values | None]) -> Tolerances:
    """Lay tolerances over each other, value by value; the first layer rules.

    Each layer comes with the name that stands for its `source` when it gives none. Common practice
    holds where nobody gives one for one of `groups`, the rows and the stabilo.
    """
    result = Tolerances()
    sources: list[str] = []
    for name, values in layers:
        under = _tolerances(values)
        merged = _over(result, under)
        if merged != result:
            sources.append(under.source or name)
        result = merged
    if result.default_mm is None and not set(groups) <= result.groups.keys():
        result = _over(result, DEFAULT_TOLERANCE)
        sources.append(DEFAULT_TOLERANCE.source)
    source = "; ".join(dict.fromkeys(sources))
    return Tolerances(
        result.default_mm, result.groups, result.riser_mm, result.left_right_mm, source
    )


def line_groups(values: Values) -> tuple[str, ...]:
    """The groups of lines that hold the wing: its rows and, where it has one, the stabilo."""
    return (*values["rows"], *([STABILO] if values.get("stabilo_mm") else []))


def _over(upper: Tolerances, under: Tolerances) -> Tolerances:
    return Tolerances(
        under.default_mm if upper.default_mm is None else upper.default_mm,
        {**under.groups, **upper.groups},
        under.riser_mm if upper.riser_mm is None else upper.riser_mm,
        under.left_right_mm if upper.left_right_mm is None else upper.left_right_mm,
    )


def _tolerances(values: Values | None) -> Tolerances:
    values = values or {}
    groups = dict(values.get("rows") or {})
    # One tolerance for all brake lines: the fan and the main line below it.
    for name, key in ((STABILO, "stabilo_mm"), (BRAKE, "brake_mm"), (BRAKE_MAIN, "brake_mm")):
        if values.get(key) is not None:
            groups[name] = values[key]
    return Tolerances(
        values.get("default_mm"),
        groups,
        values.get("riser_mm"),
        values.get("left_right_mm"),
        values.get("source") or "",
    )
