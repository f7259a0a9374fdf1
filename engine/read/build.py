"""From checked values to the model. Nothing here can fail: every fault was found before."""

from collections.abc import Mapping
from typing import Any

from trimscribe.model.decision import SIMPLE, Acceptance, DecisionRule
from trimscribe.model.job import (
    Adjustment,
    Amendment,
    Condition,
    Flight,
    FlightDecision,
    InspectionItem,
    Job,
    LoopTable,
    Measurement,
    NextService,
    OffsetMethod,
    Person,
    Pilot,
    Porosity,
    PorosityReading,
    PorosityUnit,
    Replacement,
    Service,
    StrengthTest,
    TearReading,
    TearTest,
    TiedLoop,
    TiedLoops,
    Workshop,
    WrittenPlan,
)
from trimscribe.model.wing import Point, RiserLengths, Side, Specification, Tolerances, Wing
from trimscribe.read.work_checks import sides
from trimscribe.schemas.retrim import DEFAULT
from trimscribe.validation.lengths import Length

__all__ = ["build_job", "stated_thresholds"]

Values = Mapping[str, Any]
LineLengths = Mapping[tuple[Side, Point], Length]


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
    cloth = job.get("cloth") or {}
    return Job(
        service=_service(job["service"], workshop),
        workshop=workshop,
        wing=Wing(**_stated(job["wing"])),
        pilot=Pilot(**_stated(job["pilot"])) if job.get("pilot") else None,
        specification=specification,
        tolerances=tolerances,
        offset_method=method,
        offset_row=row,
        before=_measurement(job.get("before"), lengths["before"]),
        after=_measurement(job.get("after"), lengths["after"]),
        loops=LoopTable({k: dict(v or {}) for k, v in (job.get("loops") or {}).items()}),
        adjustments=_adjustments(job.get("adjustments")),
        replacements=tuple(
            Replacement(entry["part"], _side(entry), entry["reason"])
            for entry in job.get("replacements") or ()
        ),
        porosity=_porosity(cloth.get("porosity")),
        tear=_tear(cloth.get("tear")),
        strength=tuple(
            StrengthTest(**{**_stated(entry), "side": _side(entry)})
            for entry in job.get("strength") or ()
        ),
        inspection=tuple(
            InspectionItem(**{**_stated(entry), "condition": Condition(entry["condition"])})
            for entry in job.get("inspection") or ()
        ),
        notes=job.get("notes") or "",
        redacted=bool(job.get("redacted")),
        thresholds=stated_thresholds(job, shop),
        decision_rule=_decision_rule(job.get("decision_rule"), shop.get("decision_rule")),
        confirmed=dict(job.get("confirmed") or {}),
        flight=_flight(job.get("decision")),
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


def _side(entry: Values) -> Side | None:
    return Side(entry["side"]) if entry.get("side") else None


def _offset(written: Any) -> tuple[OffsetMethod, str]:
    if isinstance(written, Mapping):
        return OffsetMethod.ROW, str(written["row"])
    return OffsetMethod(written or OffsetMethod.MEAN), ""


def _decision_rule(*written: Values | None) -> DecisionRule:
    """The first that was written; an empty mapping is the word `simple`."""
    rule = next((rule for rule in written if rule is not None), {})
    return next((DecisionRule(Acceptance(k), v) for k, v in rule.items()), SIMPLE)


def _flight(values: Values | None) -> FlightDecision:
    if not values:
        return FlightDecision()
    return FlightDecision(**{**_stated(values), "flight": Flight(values["flight"])})


def _person(values: Values | None) -> Person | None:
    return Person(**_stated(values)) if values else None


def _service(values: Values, workshop: Workshop) -> Service:
    following = values.get("next_service")
    return Service(
        **{
            **_stated(values),
            "technician": _person(values.get("technician")),
            "signed_by": _person(values.get("signed_by")) or workshop.signatory,
            "next_service": NextService(**_stated(following)) if following else None,
            "replaces": Amendment(**values["replaces"]) if values.get("replaces") else None,
        }
    )


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
            (side, name): RiserLengths(**_stated(riser))
            for side in Side
            for name, riser in ((values.get("risers") or {}).get(side) or {}).items()
        },
        controls=frozenset(
            (side, point)
            for name in values.get("control_lines") or ()
            if (point := point_of(name))
            for side in Side
        ),
        free_travel_mm={
            Side(side): travel for side, travel in _stated(values.get("free_travel_mm")).items()
        },
        tied=_tied(values.get("tied")),
        **_stated({name: values.get(name) for name in plain}),
    )


def point_of(name: str) -> Point | None:
    """The point that is called so, such as A3; None for what is not a point's name."""
    group, digits = name.rstrip("0123456789"), name[len(name.rstrip("0123456789")) :]
    return Point(group, int(digits)) if group and digits else None


def _porosity(values: Values | None) -> Porosity | None:
    if not values:
        return None
    readings = tuple(PorosityReading(r["place"], r["value"]) for r in values["readings"])
    return Porosity(
        **{**_stated(values), "unit": PorosityUnit(values["unit"]), "readings": readings}
    )


def _tear(values: Values | None) -> TearTest | None:
    if not values:
        return None
    readings = tuple(TearReading(r["place"], r["tear_mm"]) for r in values["readings"])
    return TearTest(**{**_stated(values), "readings": readings})
