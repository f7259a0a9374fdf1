"""From checked values to the model. Nothing here can fail: every fault was found before."""

from collections.abc import Mapping
from dataclasses import replace
from typing import Any

from trimscribe.model.decision import SIMPLE
from trimscribe.model.job import (
    Adjustment,
    FlightDecision,
    Job,
    LoopTable,
    Measurement,
    OffsetMethod,
    TiedLoop,
    TiedLoops,
    Workshop,
    WrittenPlan,
)
from trimscribe.model.wing import LineKey, Side, Specification, Tolerances
from trimscribe.read.work_checks import sides
from trimscribe.schemas.retrim import DEFAULT
from trimscribe.schemas.wing_fields import point_named
from trimscribe.validation.lengths import Length

Values = Mapping[str, Any]
LineLengths = Mapping[LineKey, Length]


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
        service=replace(service, signed_by=service.signed_by or workshop.signatory),
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
        flight=job.get("decision") or FlightDecision(),
        plan=_plan(job.get("plan")),
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
        {side: loop for (side, line), loop in loops.items() if line == DEFAULT},
        {key: loop for key, loop in loops.items() if key[1] != DEFAULT},
    )


def stated_thresholds(job: Values, shop: Values) -> dict[str, float]:
    """What is set of the analysis's table, by name: the job's word goes before its workshop's."""
    return {**_stated(shop.get("thresholds")), **_stated(job.get("thresholds"))}


def _stated(values: Values | None) -> dict[str, Any]:
    """What was written; the model's own default stands for what was left empty."""
    return {name: value for name, value in (values or {}).items() if value is not None}


def _offset(written: Any) -> tuple[OffsetMethod, str]:
    if isinstance(written, Mapping):
        return OffsetMethod.ROW, str(written["row"])
    return OffsetMethod(written or OffsetMethod.MEAN), ""


def _measurement(values: Values | None, lengths: LineLengths) -> Measurement | None:
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
    return Measurement(
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
