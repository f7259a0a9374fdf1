"""Label and value of what identifies a service: the wing, the visit, how it was measured.

How certain the lengths are that were compared with limits is told as standard uncertainties
(k = 1), of each measuring where they differ: from them, and the decision rule, a reader can follow
every verdict of the record.
"""

import math
from collections.abc import Callable, Iterable, Iterator
from functools import partial

from trimscribe.compose.sections.letter import signature_of
from trimscribe.contracts import View
from trimscribe.model.findings import State
from trimscribe.model.job import Measurement, OffsetMethod
from trimscribe.model.report import Amendment
from trimscribe.model.thresholds import thresholds_of
from trimscribe.model.wing import GroupKind
from trimscribe.model.workshop import Person

FactRows = list[list[str]]


def _facts(view: View, pairs: Iterable[tuple[str, str]]) -> FactRows:
    """Label and value; what was not stated is left out."""
    return [[view.statements.labels[key], value] for key, value in pairs if value]


def wing_facts(view: View) -> FactRows:
    """The item that was serviced."""
    wing, number = view.job.wing, view.formats.number
    return _facts(
        view,
        [
            ("maker", wing.maker),
            ("model", f"{wing.model} {wing.size}"),
            ("serial_number", wing.serial_number),
            ("year", str(wing.year) if wing.year is not None else ""),
            ("hours", _unit(view, wing.hours, "h")),
            ("flights", number(wing.flights) if wing.flights is not None else ""),
            ("certification", wing.certification),
            ("weight_range", _weight_range(view)),
            ("trim_speed", _speed(view, wing.trim_speed_km_h)),
            ("condition_received", _stated(view, view.job.service.condition)),
        ],
    )


def _weight_range(view: View) -> str:
    """Both ends; one alone is reported as what it is, a least or a most."""
    wing, label = view.job.wing, view.statements.label
    least, most = wing.weight_min_kg, wing.weight_max_kg
    if least is not None and most is not None:
        return f"{view.formats.written(least)}–{view.formats.written(most)} kg"
    if most is not None:
        return label("weight_up_to", value=view.formats.written(most))
    return "" if least is None else label("weight_from", value=view.formats.written(least))


def visit_facts(view: View) -> FactRows:
    """The order, the people and the dates."""
    job, date = view.job, view.formats.date
    service, pilot = job.service, job.pilot
    return _facts(
        view,
        [
            ("service", service.number),
            ("replaces", _amendment(service.replaces)),
            ("received", date(service.received) if service.received else ""),
            ("done_on", date(service.done)),
            ("issued", date(service.issued or service.done)),
            ("done_at", service.place or view.statements.labels["at_the_workshop"]),
            ("visit_reason", service.reason),
            ("pilot", _joined(pilot.name, pilot.contact) if pilot else ""),
            ("all_up_weight", _unit(view, pilot.all_up_weight_kg if pilot else None, "kg")),
            ("reported", pilot.reported if pilot else ""),
            ("answer", pilot.answer if pilot else ""),
            ("technician", _person(service.technician)),
            ("signed_by" if signature_of(view) else "checked_by", _person(service.signed_by)),
            ("workshop", ", ".join((job.workshop.name, *job.workshop.address))),
            ("contact", ", ".join(job.workshop.contact)),
            ("registration", job.workshop.registration),
        ],
    )


def _amendment(amendment: Amendment | None) -> str:
    """The earlier report, what changed and why, and which file it was."""
    if amendment is None:
        return ""
    texts = [text.rstrip(". ") for text in (amendment.change, amendment.reason)]
    return f"{amendment.report}: {'; '.join(texts)}; SHA-256 {amendment.sha256}"


def _stated(view: View, text: str) -> str:
    return text or view.statements.labels["none_stated"]


def _person(person: Person | None) -> str:
    return _joined(person.name, person.qualification) if person else ""


def _joined(*parts: str) -> str:
    return ", ".join(part for part in parts if part)


def _unit(view: View, value: float | None, unit: str) -> str:
    return "" if value is None else f"{view.formats.written(value)} {unit}"


def _speed(view: View, km_h: float | None) -> str:
    writing = view.job.workshop.writing
    if km_h is None:
        return ""
    return f"{view.formats.number(writing.speed(km_h))} {writing.speeds}"


def method_facts(view: View) -> FactRows:
    """How it was measured, against what, and how certain a length is."""
    job, labels = view.job, view.statements.labels
    facts: FactRows = []
    # Nothing came after a wing that was measured once: then it was not measured before either.
    twice = job.before is not None and job.after is not None
    first, last = ("before", "after") if twice else ("once", "only_after")
    for key, measurement in ((first, job.before), (last, job.after)):
        if measurement is not None:
            facts.append([labels[f"measured_{key}"], _measurement(view, measurement)])
    if measured := [m for m in (job.before, job.after) if m is not None]:
        changed = "; ".join(dict.fromkeys(m.deviations for m in measured if m.deviations))
        facts.append([labels["deviations"], _stated(view, changed)])
    spec = job.specification
    if spec is not None:
        revision = f"{labels['revision'].lower()} {spec.revision}" if spec.revision else ""
        source = _joined(spec.source, revision)
        facts += _facts(
            view,
            [
                ("specification_source", source),
                ("specified_tension", _unit(view, spec.tension_n, "N")),
                (
                    "lengths_include",
                    labels["with_risers" if spec.includes_risers else "without_risers"],
                ),
                ("tolerance", _tolerances(view)),
                ("tolerance_source", job.tolerances.source),
            ],
        )
    last = "after" if twice else "once"
    for key, state in ((first, view.findings.before), (last, view.findings.after)):
        if state is not None and state.offset is not None:
            facts.append([labels[f"common_offset_{key}"], _offset(view, state)])
    facts += _budget_facts(view)
    facts += _facts(
        view, [("porosity_meter", _meter(view)), ("from_others", "; ".join(_from_others(view)))]
    )
    return facts


def _measurement(view: View, measurement: Measurement) -> str:
    parts = [
        view.formats.date(measurement.date) if measurement.date else "",
        measurement.method,
        measurement.instrument,
        _unit(view, measurement.tension_n, "N"),
        (
            view.statements.label(
                "standard_uncertainty", value=view.formats.written(measurement.uncertainty_mm)
            )
            if measurement.uncertainty_mm is not None
            else ""
        ),
    ]
    return "; ".join(part for part in parts if part) or view.statements.labels["nothing_recorded"]


def _tolerances(view: View) -> str:
    """Every limit in mm that lines or risers are compared with."""
    written, tolerances = view.formats.written, view.job.tolerances
    names, label = view.statements.labels, view.statements.label
    parts = [] if tolerances.default_mm is None else [f"±{written(tolerances.default_mm)} mm"]
    parts += [f"{names.get(k, k)} ±{written(v)} mm" for k, v in tolerances.groups.items()]
    if tolerances.left_right_mm is not None:
        parts.append(label("tolerance_left_right", value=written(tolerances.left_right_mm)))
    if tolerances.riser_mm is not None:
        parts.append(f"{names['risers_title']} ±{written(tolerances.riser_mm)} mm")
    return ", ".join(parts)


def _offset(view: View, state: State) -> str:
    offset = state.offset
    assert offset is not None  # the caller looked
    taken_out = offset.method is not OffsetMethod.NONE
    key = f"offset_{offset.method.value}"
    how = (
        view.statements.label(key, row=offset.row)
        if offset.method is OffsetMethod.ROW
        else view.statements.labels[key]
    )
    if taken_out and (gaps := _gaps(state)):
        how = view.statements.label(f"offset_{_bridged(view, state)}", how=how, count=gaps)
    # Against the specification's lengths, not against those of the same measuring.
    u_mm = math.hypot(offset.u_mm, _session_mm(view)) if taken_out else offset.u_mm
    value, u = view.formats.number(offset.value_mm, 1, sign=True), view.formats.number(u_mm, 1)
    return f"{value} mm, {how} ({view.statements.label('standard_uncertainty', value=u)})"


def _gaps(state: State) -> int:
    """How many lines of those that the offset is of were not measured, or are in doubt."""
    offset = state.offset
    row = offset.row if offset and offset.method is OffsetMethod.ROW else None
    return sum(
        line.deviation_mm is None or line.doubted
        for line in state.lines
        if line.kind is GroupKind.ROW and row in (None, line.point.group)
    )


def _bridged(view: View, state: State) -> str:
    """Whether lines that could not be used were estimated from the others, or left out.

    Where chords are not specified, nothing says what a line is like.
    """
    spec, offset = view.job.specification, state.offset
    by_chord = spec is not None and all(row.chord_m for row in spec.rows)
    of_all = offset is not None and offset.method is not OffsetMethod.ROW
    return "estimated" if of_all and by_chord else "left_out"


def _budget_facts(view: View) -> FactRows:
    """Label and value for lines, brakes and risers; what was not judged is left out."""
    return [
        *_of_both(view, "budget", _lines_budget),
        *_of_both(view, "budget_brakes", _brakes_budget),
        *_risers_budget(view),
    ]


def _of_both(view: View, key: str, worded: Callable[[View, State], str]) -> FactRows:
    """One row where both measurings, or the only one, say the same."""
    labels, found = view.statements.labels, {}
    for when, state in (("before", view.findings.before), ("after", view.findings.after)):
        if state is not None and (text := worded(view, state)):
            found[when] = text
    if len(set(found.values())) > 1:
        return [[labels[f"{key}_{when}"], text] for when, text in found.items()]
    return [[labels[key], text] for text in dict.fromkeys(found.values())]


def _lines_budget(view: View, state: State) -> str:
    """What one deviation is uncertain by, and each source of error."""
    label, number = view.statements.label, view.formats.number
    known = _range(view, _of_lines(state, brakes=False))
    if not known:
        return ""
    sources = [
        label(f"budget_{source.name}", value=f"{number(source.u, 2)} {source.unit}")
        for source in state.budget
    ]
    tie = state.carry_over
    if tie is not None and tie.carried and tie.u_mm:  # 0 where only brakes were measured again
        sources.append(label("budget_carried", value=f"{number(tie.u_mm, 2)} mm"))
    words = label("budget_of_line", value=known, sources=", ".join(sources))
    taken_out = view.job.offset_method is not OffsetMethod.NONE
    return words if taken_out else f"{words}{_session_budget(view)}"


def _brakes_budget(view: View, state: State) -> str:
    """What a brake line, and the mean of a brake's lines, are uncertain by."""
    line = _range(view, _of_lines(state, brakes=True))
    mean = _range(view, (x.u_mm for x in state.brakes.values() if x.tolerance_mm is not None))
    if not line or not mean:
        return ""
    words = view.statements.label("budget_of_brakes", line=line, mean=mean)
    if view.job.specification is None or view.job.specification.brakes_share_offset:
        return words
    return f"{words}{_session_budget(view)}"


def _session_budget(view: View) -> str:
    """What lines err by together where nothing that they share is taken out."""
    value = f"{view.formats.number(_session_mm(view), 2)} mm"
    return view.statements.label("budget_session", value=value)


def _session_mm(view: View) -> float:
    """What all lengths of one measuring err by together, in mm (k = 1)."""
    return thresholds_of(view.job).u_session_shift_mm


def _risers_budget(view: View) -> FactRows:
    """Of the risers that the report lists, those measured last."""
    before, now = view.findings.before, view.findings.now
    risers = (now.risers if now else ()) or (before.risers if before else ())
    known = _range(view, (x.u_mm for x in risers if x.tolerance_mm is not None))
    labels, label = view.statements.labels, view.statements.label
    return [[labels["budget_risers"], label("budget_of_riser", value=known)]] if known else []


def _of_lines(state: State, *, brakes: bool) -> Iterable[float | None]:
    """Of every line that has a deviation to judge: brake lines, or all others."""
    return (
        x.u_mm
        for x in state.lines
        if x.kind.is_brake is brakes and x.relative_mm is not None and not x.doubted
    )


def _range(view: View, known_mm: Iterable[float | None]) -> str:
    """The least and the largest of them, or the one that all print as; empty without any."""
    known = [mm for mm in known_mm if mm is not None]
    if not known:
        return ""
    low, high = (view.formats.number(mm, 1) for mm in (min(known), max(known)))
    if low == high:
        return f"{high} mm"
    return view.statements.label("budget_range", low=low, high=high)


def _meter(view: View) -> str:
    """The volume, area and pressure that a porosity was measured with."""
    test, unit = view.job.porosity, partial(_unit, view)
    if test is None:
        return ""
    return _joined(
        unit(test.volume_l, "L"), unit(test.area_cm2, "cm²"), unit(test.pressure_pa, "Pa")
    )


def _from_others(view: View) -> Iterator[str]:
    """Results that somebody else than the workshop delivered, marked with whom."""
    job, labels = view.job, view.statements.labels
    for key, part in (
        ("measured_before", job.before),
        ("measured_after", job.after),
        ("porosity", job.porosity),
        ("tear_test", job.tear),
    ):
        if part is not None and part.done_by:
            yield f"{labels[key]}: {part.done_by}"
    for test in job.strength:
        if test.done_by:
            yield f"{test.line}: {test.done_by}"
