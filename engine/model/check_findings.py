"""What was found on risers, cloth and line strength, and on each adjusted line."""

from dataclasses import dataclass

from trimscribe.model.job import PorosityUnit, StrengthTest
from trimscribe.model.verdicts import Verdict, WhyNot
from trimscribe.model.wing import Side


@dataclass(frozen=True)
class RiserFinding:
    """One riser: deviations in mm with their standard uncertainty, and verdict.

    `missing` counts what of it was specified and not measured, at trim or accelerated.
    """

    side: Side
    name: str
    trim_mm: float | None
    accelerated_mm: float | None
    tolerance_mm: float | None
    verdict: Verdict
    u_mm: float | None = None
    missing: int = 0


@dataclass(frozen=True)
class ReadingFinding:
    """One reading of a cloth test against its limit.

    `probability` is that of the true value meeting the limit, None when its uncertainty is unknown.
    """

    place: str
    value: float
    verdict: Verdict
    probability: float | None = None


@dataclass(frozen=True)
class PorosityFinding:
    """Cloth porosity; `mean` is taken in flow and given in `unit`."""

    unit: PorosityUnit
    mean: float
    mean_flow_l_m2_min: float | None
    worst: ReadingFinding
    readings: tuple[ReadingFinding, ...]
    limit: float | None
    verdict: Verdict


@dataclass(frozen=True)
class TearFinding:
    """Tear test; `worst` tore furthest."""

    worst: ReadingFinding
    readings: tuple[ReadingFinding, ...]
    limit_mm: float | None
    verdict: Verdict


@dataclass(frozen=True)
class StrengthFinding:
    """One line pull. Held below the requirement is NOT_ASSESSED, never a pass.

    `required_n` is the job's, else what the specification's rule makes of the wing's weight.
    """

    test: StrengthTest
    required_n: float | None
    margin_n: float | None
    verdict: Verdict
    why_not: WhyNot = WhyNot.ASSESSED


@dataclass(frozen=True)
class LedgerEntry:
    """One adjusted line: the change its loops promise against the change measured, in mm.

    `measured_mm` is what the `points` that the line carries moved together, without what other
    adjusted lines on the way did and what the whole line set changed by. `verdict` is PASS when the
    two agree within `limit_mm`, FAIL when not; NOT_ASSESSED where that cannot be told from a line
    that nobody touched, or where it is not known what the whole line set changed by. `shown` is
    True where measuring shows a change that way, False where it shows none as planned, and None
    where it cannot tell or nobody measured. `shift_mm` is what the whole line set changed by, which
    `measured_mm` is without; None where that is not known, and nothing was taken off. A change of
    up to `least_mm`, the same for all entries, may be chance; None where any may be. `apart` says
    that the points did not move together: then `measured_mm` is the middle one of their changes.
    """

    line: str
    side: Side
    loop_before: str
    loop_after: str
    expected_mm: float | None
    measured_mm: float | None
    points: int
    limit_mm: float | None
    verdict: Verdict
    remark: str = ""
    shown: bool | None = None
    shift_mm: float | None = None
    least_mm: float | None = None
    apart: bool = False

    @property
    def moved_mm(self) -> float | None:
        """What measuring shows that the line was moved by, + = longer; None where it does not."""
        return self.measured_mm if self.shown else None


@dataclass(frozen=True)
class WorkCheck:
    """What all adjusted lines together did against their plan, in mm, + = longer than planned.

    `shift_mm` is what the whole line set changed by between both measurings, with its standard
    uncertainty `u_shift_mm`: from `untouched` lines, or 0 where too few of them were measured twice
    in one session. `gap_mm` is the mean over all adjusted lines less that; `verdict` compares it
    with `limit_mm`. NOT_ASSESSED, by `why_not`, where the shift is not known: then lines can only
    be compared with each other.
    """

    shift_mm: float
    u_shift_mm: float
    untouched: int
    gap_mm: float | None
    limit_mm: float | None
    verdict: Verdict
    why_not: WhyNot = WhyNot.ASSESSED
