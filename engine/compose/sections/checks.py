"""Brakes, cloth, line strength, risers and inspection: value, limit, verdict."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import Any

from trimscribe.compose.sections import NearLimit, why_finer
from trimscribe.contracts import SectionView, View, shape
from trimscribe.model.assessment import When
from trimscribe.model.findings import BrakeFinding, ReadingFinding, RiserFinding, State, Verdict
from trimscribe.model.job import Condition, PorosityUnit
from trimscribe.model.statements import Place
from trimscribe.model.template_values import ChecksValues
from trimscribe.model.wing import BRAKE, BRAKE_MAIN, Side

_BRAKES = (BRAKE, BRAKE_MAIN)
_CONDITIONS = {
    Condition.GOOD: Verdict.PASS,
    Condition.REPAIRED: Verdict.PASS,
    Condition.WORN: Verdict.CONDITIONAL_PASS,
    Condition.DAMAGED: Verdict.FAIL,
    Condition.NOT_CHECKED: Verdict.NOT_ASSESSED,
}


@dataclass(frozen=True)
class Checks:
    """One small table per check that was made; what has no verdict is named, as on page one."""

    contract: int = 2
    name: str = "checks"
    template: str = "checks.typ.j2"

    def view(self, view: View) -> SectionView | None:
        """Values for the tables; each row carries its verdict's shape."""
        parts = [_brakes(view), _cloth(view), _strength(view), _risers(view), _inspection(view)]
        if not any(part["rows"] or part["sentences"] for part in parts):
            return None
        labels = view.statements.labels
        silent = view.assessment.facts["not_assessed"]
        names = [labels[f"group_{name}"] for name in silent] if isinstance(silent, tuple) else []
        values: ChecksValues = {
            "title": labels["checks_title"],
            "parts": [part for part in parts if part["rows"] or part["sentences"]],
            "not_assessed": f"{labels['not_assessed']}: {' · '.join(names)}" if names else "",
        }
        return SectionView(values=values)


def _part(
    view: View,
    key: str,
    place: Place,
    columns: tuple[str, ...],
    rows: list[Any],
    method: str = "",
    near: Iterable[NearLimit] = (),
) -> Any:
    """A check with its table; `near` are the deviations that it prints."""
    labels = view.statements.labels
    finer = [why_finer(view)] if any(one.finer(view) for one in near) else []
    return {
        "title": labels[f"{key}_title"],
        "method": f"{labels['method']}: {method}." if method else "",
        "sentences": [*(s.text for s in view.statements.at(place)), *finer],
        "head": [labels[column] for column in columns],
        "rows": rows,
    }


def _row(view: View, cells: list[str], verdict: Verdict, words: str = "") -> dict[str, Any]:
    """A row with its verdict; `words` is the label to read in place of the verdict's own."""
    said = view.statements.labels[words or f"verdict_{verdict.name.lower()}"]
    return {"cells": [*cells, said], "shape": shape(verdict)}


def _brakes(view: View) -> Any:
    labels, facts = view.statements.labels, view.assessment.facts
    past = view.findings.after is not None or facts["lines_touched"]
    rows = []
    shown: list[NearLimit] = []
    for key, when, state in (
        ("before", When.FOUND, view.findings.before),
        ("now", When.NOW, view.findings.after),
    ):
        for side, brake in (state.brakes if state else {}).items():
            shown += _lengths(state, brake)
            rows.append(
                _row(
                    view,
                    [
                        _of_side(view, side, key, state) if past else labels[side.value],
                        # One column of both: six do not fit on a phone.
                        _deviations(view, state, brake),
                        _limit(view, brake.tolerance_mm),
                        _free_travel(view, when, brake),
                    ],
                    *_brake_verdict(view, when, brake),
                )
            )
    columns = ("side", "brake_deviation", "limit_mm", "free_travel", "verdict")
    return _part(view, "brakes", Place.BRAKES, columns, rows, near=shown)


def _deviations(view: View, state: State | None, brake: BrakeFinding) -> str:
    """Mean and furthest line; a main brake line that stands in for the mean is named."""
    mean, furthest = (one.text(view) for one in _lengths(state, brake))
    if brake.by_main:
        mean = view.statements.label("brake_by_main", value=mean)
    return f"{mean} / {furthest}"


def _lengths(state: State | None, brake: BrakeFinding) -> list[NearLimit]:
    """The mean of a brake's lines, and the one that lies furthest from its table."""
    limit_mm = brake.tolerance_mm
    return [
        NearLimit(brake.relative_mm, limit_mm, brake.u_mm),
        NearLimit(brake.furthest_mm, limit_mm, _furthest_u_mm(state, brake)),
    ]


def _furthest_u_mm(state: State | None, brake: BrakeFinding) -> float | None:
    """The standard uncertainty of the line that lies furthest from its table."""
    lines = state.lines if state else ()
    own = (x for x in lines if x.side is brake.side and x.point.group in _BRAKES)
    return next((x.u_mm for x in own if x.relative_mm == brake.furthest_mm), None)


def _of_side(view: View, side: Side, key: str, state: State | None) -> str:
    """Which brake, when; lines that nobody measured again are not of now by measuring."""
    labels = view.statements.labels
    name, when = labels[side.value], labels[key].lower()
    lines = state.lines if state else ()
    carried = any(x.carried and x.side is side and x.point.group in _BRAKES for x in lines)
    if carried:
        return view.statements.label("brake_carried", side=name, when=when)
    return f"{name}, {when}"


def _limit(view: View, mm: float | None) -> str:
    return "–" if mm is None else f"±{view.formats.written(mm)}"


def _brake_verdict(view: View, when: When, brake: BrakeFinding) -> tuple[Verdict, str]:
    """No brake passes here that page one warns of: its free travel counts beside its length."""
    facts, at = view.assessment.facts, when.value
    low, close = (facts[f"{at}_free_travel_{name}"] for name in ("low", "close"))
    if isinstance(low, tuple) and brake.side.value in low:
        sure = "" if facts[f"{at}_free_travel_sure"] else "_perhaps"
        also = "_and_outside" if not sure and brake.verdict.outside else ""
        return Verdict.FAIL, f"words_little_free_travel{sure}{also}"
    enough = facts[f"{at}_brakes_travel_only"]
    if isinstance(enough, tuple) and brake.side.value in enough:
        again = brake.side.value in _sides(facts["now_brakes_again"])
        known = facts["remeasured"] and when is When.NOW and facts["found_brakes"] != "not_assessed"
        return Verdict.NOT_ASSESSED, f"words_travel_enough{'_again' if known and not again else ''}"
    near = isinstance(close, tuple) and brake.side.value in close
    if brake.verdict is Verdict.PASS and (near or facts[f"{at}_free_travel_open"]):
        return Verdict.CONDITIONAL_PASS, "length_within"
    if brake.verdict is Verdict.PASS and _lines_missing(view, when, brake.side):
        return Verdict.CONDITIONAL_PASS, "words_within_lines_missing"
    return brake.verdict, ""


def _sides(fact: object) -> tuple[object, ...]:
    return fact if isinstance(fact, tuple) else ()


def _lines_missing(view: View, when: When, side: Side) -> bool:
    state = view.findings.before if when is When.FOUND else view.findings.now
    lines = state.lines if state else ()
    own = [x for x in lines if x.side is side and x.point.group in _BRAKES]
    return any(x.measured_mm is None for x in own)


def _free_travel(view: View, when: When, brake: BrakeFinding) -> str:
    """As page one has it; what was calculated from lengths that do not carry it is not known."""
    facts = view.assessment.facts
    known, least = (
        facts[name]
        for name in (f"{when.value}_free_travel_{brake.side.value}_mm", "free_travel_limit_mm")
    )
    if not isinstance(known, float) or not isinstance(least, float):
        open_now = brake.mean_mm is not None and facts[f"{when.value}_free_travel_open"]
        labels = view.statements.labels
        return labels["free_travel_open"] if open_now else view.formats.number(None)
    free = view.formats.at_least(known, least)
    if brake.estimated:
        return view.statements.label("estimated", value=free)
    return view.statements.label("as_it_came_value", value=free) if brake.from_reading else free


def _cloth(view: View) -> Any:
    rows: list[dict[str, Any]] = []
    method = view.job.porosity.method if view.job.porosity else ""
    if porosity := view.findings.porosity:
        seconds = porosity.unit is PorosityUnit.SECONDS
        at, unit = ("≥", "s") if seconds else ("≤", "L/m²/min")
        u = view.job.porosity.uncertainty if view.job.porosity else None
        rows += _readings(view, "porosity", porosity.readings, at, porosity.limit, unit, u)
    if tear := view.findings.tear:
        u = view.job.tear.uncertainty_mm if view.job.tear else None
        rows += _readings(view, "tear_test", tear.readings, "≤", tear.limit_mm, "mm", u)
    columns = ("test", "place", "value", "limit", "verdict")
    return _part(view, "cloth", Place.CLOTH, columns, rows, method)


def _readings(
    view: View,
    test: str,
    readings: Iterable[ReadingFinding],
    at: str,
    limit: float | None,
    unit: str,
    u: float | None,
) -> Iterator[dict[str, Any]]:
    """One row per reading, `at` being the sign between it and its limit, `u` its uncertainty."""
    borders = view.job.decision_rule.borders(limit, u, one_sided=True)
    formats, name = view.formats, view.statements.labels[test]
    reported = "–" if limit is None else f"{at} {formats.written(limit)} {unit}"
    for reading in readings:
        value = f"{formats.beside(reading.value, limit, borders=borders)} {unit}"
        yield _row(view, [name, reading.place, value, reported], reading.verdict)


def _strength(view: View) -> Any:
    labels, formats = view.statements.labels, view.formats
    broken = view.assessment.facts["strength_broken"]
    rows = []
    for finding in view.findings.strength:
        test = finding.test
        side = f", {labels[test.side.value].lower()}" if test.side else ""
        needed = finding.required_n
        # A maker's rule may come to any number of decimals.
        shown_n = needed if needed is None or test.required_n is not None else round(needed, 1)
        required = "–" if shown_n is None else f"≥ {formats.written(shown_n)} N"
        borders = view.job.decision_rule.borders(needed, test.uncertainty_n, one_sided=True)
        load = formats.beside(test.load_n, needed, borders=borders)
        outcome = labels["broke_at" if test.broke else "held_at"].format(load=load)
        shown = (finding.verdict, "")
        # No line passes here that page one warns of.
        named = (test.line, test.side.value if test.side else "")
        if finding.verdict is Verdict.PASS and isinstance(broken, tuple) and named in broken:
            shown = (Verdict.CONDITIONAL_PASS, "words_held_broken")
        elif finding.verdict is Verdict.NOT_ASSESSED and needed is not None:
            shown = (finding.verdict, "words_not_proven")
        rows.append(_row(view, [f"{test.line}{side}", outcome, required], *shown))
    columns = ("line", "value", "limit", "verdict")
    return _part(view, "strength", Place.STRENGTH, columns, rows)


def _risers(view: View) -> Any:
    labels = view.statements.labels
    before, after = view.findings.before, view.findings.after
    past = after is not None or view.assessment.facts["lines_touched"]
    moments = (("before", before), ("now", after))
    rows = [
        _row(
            view,
            [
                f"{riser.name}, {labels[riser.side.value].lower()}"
                + (f", {labels[when].lower()}" if past else ""),
                *(one.text(view) for one in _riser_lengths(riser)),
                _limit(view, riser.tolerance_mm),
            ],
            riser.verdict,
        )
        for when, state in moments
        for riser in (state.risers if state else ())
    ]
    columns = ("riser", "at_trim", "accelerated", "limit_mm", "verdict")
    shown = [
        one
        for _, state in moments
        for riser in (state.risers if state else ())
        for one in _riser_lengths(riser)
    ]
    return _part(view, "risers", Place.RISERS, columns, rows, near=shown)


def _riser_lengths(riser: RiserFinding) -> list[NearLimit]:
    return [
        NearLimit(mm, riser.tolerance_mm, riser.u_mm)
        for mm in (riser.trim_mm, riser.accelerated_mm)
    ]


def _inspection(view: View) -> Any:
    labels = view.statements.labels
    rows = [
        {
            "cells": [
                item.part,
                item.remark or "–",
                labels[f"condition_{item.condition.name.lower()}"],
            ],
            "shape": shape(_CONDITIONS[item.condition]),
        }
        for item in view.job.inspection
    ]
    columns = ("part", "remark", "condition")
    return _part(view, "inspection", Place.INSPECTION, columns, rows)


section = Checks()
