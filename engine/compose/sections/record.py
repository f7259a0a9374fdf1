"""The record: identification, method, every line, and what the report does not cover."""

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

from trimscribe.contracts import SectionView, View
from trimscribe.model.findings import LineFinding, State, Verdict
from trimscribe.model.job import Measurement, OffsetMethod, Person
from trimscribe.model.statements import Place
from trimscribe.model.wing import BRAKE, BRAKE_MAIN, STABILO, Point, Side

__all__ = ["section"]

Facts = list[list[str]]
_MUCH = 2500  # characters of facts from which on a page break may fall among them
_ONE_PIECE = 800  # characters of a fact up to which it must not be torn over pages
_SHORT = 2  # letters of a row name that runs into its number, as in A3


@dataclass(frozen=True)
class Record:
    """What must still stand in ten years."""

    contract: int = 1
    name: str = "record"
    template: str = "record.typ.j2"

    def view(self, view: View) -> SectionView:
        """Values for the record's tables."""
        labels = view.statements.labels
        wing, visit, method, lines = _wing(view), _visit(view), _method(view), _lines(view)
        return SectionView(
            values={
                "title": labels["record_title"],
                "parts": [
                    {"title": labels["the_wing"], "facts": wing},
                    {"title": labels["the_visit"], "facts": visit},
                ],
                "keep_together": len(f"{wing}{visit}") < _MUCH,
                "method": {"title": labels["how_measured"], "facts": method},
                "notes_title": labels["notes"],
                "notes": view.job.notes.strip(),
                "lines": lines,
                "statements": [s.text for s in view.statements.at(Place.RECORD)],
                "scope_title": labels["scope"],
                "scope": [
                    labels[key]
                    for key in ("decision_rule", "handling_estimate_basis", "not_covered")
                ],
                "software": [f"{name} {version}" for name, version in view.versions.items()],
                "software_title": labels["software"],
                "hashes_title": labels["attached_files"],
                "hashes": [[name, digest] for name, digest in view.hashes.items()],
            },
            required=(
                *(value for _, value in (*wing, *visit, *method) if len(value) < _ONE_PIECE),
                *(" ".join(row) for group in (lines or {}).get("groups", ()) for row in group),
            ),
        )


def _facts(view: View, pairs: Iterable[tuple[str, str]]) -> Facts:
    """Label and value; what was not stated is left out."""
    return [[view.statements.labels[key], value] for key, value in pairs if value]


def _wing(view: View) -> Facts:
    wing, number = view.job.wing, view.formats.number
    weights = [number(w) for w in (wing.weight_min_kg, wing.weight_max_kg) if w is not None]
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
            ("weight_range", f"{'–'.join(weights)} kg" if weights else ""),
            ("trim_speed", _unit(view, wing.trim_speed_km_h, "km/h")),
        ],
    )


def _visit(view: View) -> Facts:
    job, date = view.job, view.formats.date
    service, pilot = job.service, job.pilot
    return _facts(
        view,
        [
            ("service", service.number),
            ("received", date(service.received) if service.received else ""),
            ("done_on", date(service.done)),
            ("visit_reason", service.reason),
            ("pilot", pilot.name if pilot else ""),
            ("all_up_weight", _unit(view, pilot.all_up_weight_kg if pilot else None, "kg")),
            ("reported", pilot.reported if pilot else ""),
            ("technician", _person(service.technician)),
            ("signed_by", _person(service.signed_by)),
            ("workshop", ", ".join((job.workshop.name, *job.workshop.address))),
            ("contact", ", ".join(job.workshop.contact)),
            ("registration", job.workshop.registration),
        ],
    )


def _person(person: Person | None) -> str:
    return ", ".join(part for part in (person.name, person.qualification) if part) if person else ""


def _unit(view: View, value: float | None, unit: str, digits: int = 0) -> str:
    return "" if value is None else f"{view.formats.number(value, digits)} {unit}"


def _method(view: View) -> Facts:
    job, labels = view.job, view.statements.labels
    facts: Facts = []
    for key, measurement in (("before", job.before), ("after", job.after)):
        if measurement is not None:
            facts.append([labels[f"measured_{key}"], _measurement(view, measurement)])
    spec = job.specification
    if spec is not None:
        revision = f"{labels['revision'].lower()} {spec.revision}" if spec.revision else ""
        source = ", ".join(part for part in (spec.source, revision) if part)
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
    for key, state in (("before", view.findings.before), ("after", view.findings.after)):
        if state is not None and state.offset is not None:
            facts.append([labels[f"common_offset_{key}"], _offset(view, state)])
    return facts


def _measurement(view: View, measurement: Measurement) -> str:
    parts = [
        view.formats.date(measurement.date) if measurement.date else "",
        measurement.method,
        measurement.instrument,
        _unit(view, measurement.tension_n, "N"),
        (
            view.statements.label(
                "standard_uncertainty", value=view.formats.number(measurement.uncertainty_mm, 1)
            )
            if measurement.uncertainty_mm is not None
            else ""
        ),
    ]
    return "; ".join(part for part in parts if part)


def _tolerances(view: View) -> str:
    number, tolerances = view.formats.number, view.job.tolerances
    parts = [] if tolerances.default_mm is None else [f"±{number(tolerances.default_mm)} mm"]
    names = view.statements.labels
    parts += [f"{names.get(k, k)} ±{number(v)} mm" for k, v in tolerances.groups.items()]
    return ", ".join(parts)


def _offset(view: View, state: State) -> str:
    offset = state.offset
    assert offset is not None  # the caller looked
    key = f"offset_{offset.method.value}"
    how = (
        view.statements.label(key, row=offset.row)
        if offset.method is OffsetMethod.ROW
        else (view.statements.labels[key])
    )
    return f"{view.formats.number(offset.value_mm, 1, sign=True)} mm, {how}"


def _lines(view: View) -> dict[str, Any] | None:
    """One table row per point: specified, then each side before, now and its deviation."""
    spec, now = view.job.specification, view.findings.now
    if spec is None or now is None:
        return None
    labels = view.statements.labels
    before = view.findings.before if view.findings.after is not None else None
    states = [s for s in (before, now) if s is not None]
    index = [{(x.side, x.point): x for x in state.lines} for state in states]
    groups = []
    for group in spec.groups:
        rows = []
        for point, specified in zip(group.points, group.lengths_mm, strict=True):
            cells = [_name(view, point), view.formats.number(specified)]
            for side in Side:
                found = [lines.get((side, point)) for lines in index]
                cells += [_length(view, x) for x in found] + [_deviation(view, x) for x in found]
            rows.append(cells)
        groups.append(rows)
    columns = ["before", "now"] if before is not None else ["measured"]
    per_side = [labels[c] for c in columns] + [labels[f"deviation_{c}"] for c in columns]
    return {
        "title": labels["every_line"],
        "explained": labels["record_lines_explained"],
        "sides": [labels[side.value] for side in Side],
        "head": [labels["line"], labels["specified"], *per_side, *per_side],
        "per_side": len(per_side),
        "groups": groups,
    }


def _name(view: View, point: Point) -> str:
    if point.group == BRAKE_MAIN:
        return view.statements.labels["brake_main"]
    if point.group in (STABILO, BRAKE):
        return f"{view.statements.labels[point.group]} {point.number}"
    return str(point) if len(point.group) <= _SHORT else f"{point.group} {point.number}"


def _length(view: View, line: LineFinding | None) -> str:
    return view.formats.number(line.measured_mm if line else None)


def _deviation(view: View, line: LineFinding | None) -> str:
    """Relative deviation; the ring of the charts marks what is outside tolerance."""
    if line is None or line.relative_mm is None:
        return "–"
    text = view.formats.number(line.relative_mm, 0, sign=True)
    return f"○ {text}" if line.verdict is Verdict.FAIL else text


section = Record()
