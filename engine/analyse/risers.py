"""Risers against their specified lengths, at trim and accelerated."""

from trimscribe.analyse.verdicts import fold, within
from trimscribe.model.decision import DecisionRule
from trimscribe.model.findings import RiserFinding
from trimscribe.model.job import Measurement
from trimscribe.model.wing import RiserLengths, Side, Specification

_UNKNOWN = RiserLengths()


def riser_findings(
    specification: Specification,
    measurement: Measurement,
    limit_mm: float | None,
    u_mm: float,
    rule: DecisionRule,
) -> tuple[RiserFinding, ...]:
    """Every specified or measured riser on both sides; none when no riser was measured."""
    if not measurement.risers:
        return ()
    # dict keys keep the specification's order, then that of the measuring
    names = dict.fromkeys([*specification.risers, *sorted(n for _, n in measurement.risers)])
    return tuple(
        _finding(
            side,
            name,
            specification.risers.get(name, _UNKNOWN),
            measurement.risers.get((side, name), _UNKNOWN),
            limit_mm,
            u_mm,
            rule,
        )
        for side in Side
        for name in names
    )


def _finding(
    side: Side,
    name: str,
    specified: RiserLengths,
    measured: RiserLengths,
    limit_mm: float | None,
    u_mm: float,
    rule: DecisionRule,
) -> RiserFinding:
    pairs = (
        (measured.trim_mm, specified.trim_mm),
        (measured.accelerated_mm, specified.accelerated_mm),
    )
    trim, accelerated = (_deviation(*pair) for pair in pairs)
    return RiserFinding(
        side=side,
        name=name,
        trim_mm=trim,
        accelerated_mm=accelerated,
        tolerance_mm=limit_mm,
        verdict=fold(within(mm, limit_mm, u_mm, rule) for mm in (trim, accelerated)),
        u_mm=u_mm,
        missing=sum(found is None and wanted is not None for found, wanted in pairs),
    )


def _deviation(measured_mm: float | None, specified_mm: float | None) -> float | None:
    if measured_mm is None or specified_mm is None:
        return None
    return measured_mm - specified_mm
