"""Brakes, cloth, line strength, risers and inspection: value, limit, verdict."""

from dataclasses import dataclass
from typing import Any

from trimscribe.compose.sections.letter import shape
from trimscribe.contracts import SectionView, View
from trimscribe.model.findings import Verdict
from trimscribe.model.job import Condition, PorosityUnit
from trimscribe.model.statements import Place

__all__ = ["section"]

_CONDITIONS = {
    Condition.GOOD: Verdict.PASS,
    Condition.REPAIRED: Verdict.PASS,
    Condition.WORN: Verdict.CONDITIONAL_PASS,
    Condition.DAMAGED: Verdict.FAIL,
    Condition.NOT_CHECKED: Verdict.NOT_ASSESSED,
}


@dataclass(frozen=True)
class Checks:
    """One small table per check that was made; those that were not made are named."""

    contract: int = 1
    name: str = "checks"
    template: str = "checks.typ.j2"

    def view(self, view: View) -> SectionView | None:
        """Values for the tables; each row carries its verdict's shape."""
        parts = [_brakes(view), _cloth(view), _strength(view), _risers(view), _inspection(view)]
        if not any(part["rows"] or part["sentences"] for part in parts):
            return None
        labels = view.statements.labels
        silent = [part["title"] for part in parts if not part["rows"] and not part["sentences"]]
        return SectionView(
            values={
                "title": labels["checks_title"],
                "parts": [part for part in parts if part["rows"] or part["sentences"]],
                "not_assessed": f"{labels['not_assessed']}: {', '.join(silent)}." if silent else "",
            }
        )


def _part(
    view: View, key: str, place: Place, columns: tuple[str, ...], rows: list[Any], method: str = ""
) -> Any:
    labels = view.statements.labels
    return {
        "title": labels[f"{key}_title"],
        "method": f"{labels['method']}: {method}." if method else "",
        "sentences": [s.text for s in view.statements.at(place)],
        "head": [labels[column] for column in columns],
        "rows": rows,
    }


def _row(view: View, cells: list[str], verdict: Verdict) -> dict[str, Any]:
    words = view.statements.labels[f"verdict_{verdict.name.lower()}"]
    return {"cells": [*cells, words], "shape": shape(verdict)}


def _brakes(view: View) -> Any:
    labels, number = view.statements.labels, view.formats.number
    rows = []
    for key, state in (("before", view.findings.before), ("now", view.findings.after)):
        for side, brake in (state.brakes if state else {}).items():
            free = number(brake.free_travel_mm)
            if brake.estimated and brake.free_travel_mm is not None:
                free = view.statements.label("estimated", value=free)
            rows.append(
                _row(
                    view,
                    [
                        f"{labels[side.value]}, {labels[key].lower()}",
                        number(brake.relative_mm, 0, sign=True),
                        _limit(view, brake.tolerance_mm),
                        free,
                    ],
                    brake.verdict,
                )
            )
    columns = ("side", "brake_deviation", "limit_mm", "free_travel", "verdict")
    return _part(view, "brakes", Place.BRAKES, columns, rows)


def _limit(view: View, mm: float | None) -> str:
    return "–" if mm is None else f"±{view.formats.number(mm)}"


def _cloth(view: View) -> Any:
    labels, number = view.statements.labels, view.formats.number
    rows = []
    method = view.job.porosity.method if view.job.porosity else ""
    if porosity := view.findings.porosity:
        seconds = porosity.unit is PorosityUnit.SECONDS
        unit = "s" if seconds else "L/m²/min"
        at = "≥" if seconds else "≤"
        limit = "–" if porosity.limit is None else f"{at} {number(porosity.limit)} {unit}"
        rows += [
            _row(view, [labels["porosity"], r.place, f"{number(r.value)} {unit}", limit], r.verdict)
            for r in porosity.readings
        ]
    if tear := view.findings.tear:
        limit = "–" if tear.limit_mm is None else f"≤ {number(tear.limit_mm)} mm"
        rows += [
            _row(view, [labels["tear_test"], r.place, f"{number(r.value)} mm", limit], r.verdict)
            for r in tear.readings
        ]
    columns = ("test", "place", "value", "limit", "verdict")
    return _part(view, "cloth", Place.CLOTH, columns, rows, method)


def _strength(view: View) -> Any:
    labels, number = view.statements.labels, view.formats.number
    rows = []
    for finding in view.findings.strength:
        test = finding.test
        side = f", {labels[test.side.value].lower()}" if test.side else ""
        needed = finding.required_n
        required = "–" if needed is None else f"≥ {number(needed)} N"
        outcome = labels["broke_at" if test.broke else "held_at"].format(load=number(test.load_n))
        rows.append(_row(view, [f"{test.line}{side}", outcome, required], finding.verdict))
    columns = ("line", "value", "limit", "verdict")
    return _part(view, "strength", Place.STRENGTH, columns, rows)


def _risers(view: View) -> Any:
    labels, number = view.statements.labels, view.formats.number
    now = view.findings.now
    rows = [
        _row(
            view,
            [
                f"{riser.name}, {labels[riser.side.value].lower()}",
                number(riser.trim_mm, 0, sign=True),
                number(riser.accelerated_mm, 0, sign=True),
                _limit(view, riser.tolerance_mm),
            ],
            riser.verdict,
        )
        for riser in (now.risers if now else ())
    ]
    columns = ("riser", "at_trim", "accelerated", "limit_mm", "verdict")
    return _part(view, "risers", Place.RISERS, columns, rows)


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
