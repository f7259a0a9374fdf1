"""Measuring loads: whether measurings compare, and a correction where the job allows one.

A line that is measured at F1 is longer at F2 by the factor 1 + (F2 - F1) / EA. Real lines are
softer at low load than their stiffness says, so a correction carries half of itself as
uncertainty, and none is made without the stiffness of every line measured.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field, replace

from trimscribe.model.findings import LoadCorrection, Verdict
from trimscribe.model.job import Job, Measurement
from trimscribe.model.thresholds import Thresholds
from trimscribe.model.wing import LineKey, Specification


def comparable(first_n: float | None, second_n: float | None, ratio: float) -> Verdict:
    """PASS when the second tension in N is within `ratio` of the first, else FAIL.

    NOT_ASSESSED when one is unknown.
    """
    if first_n is None or second_n is None:
        return Verdict.NOT_ASSESSED
    # A hair of slack, so that 55 N against 50 N is 10 % in binary too.
    near = abs(second_n - first_n) <= ratio * first_n * (1 + 1e-12)
    return Verdict.PASS if near else Verdict.FAIL


def measured_alike(first: Measurement, last: Measurement, thresholds: Thresholds) -> bool:
    """Both state one method, one instrument and a load within the share that compares."""
    return (
        bool(first.method and first.instrument)
        and same_words(first.method, last.method)
        and same_words(first.instrument, last.instrument)
        and comparable(first.tension_n, last.tension_n, thresholds.load_ratio) is Verdict.PASS
    )


def same_words(text: str, other: str) -> bool:
    """Whether two texts are the same but for capitals and blanks."""
    return text.casefold().split() == other.casefold().split()


@dataclass(frozen=True)
class LoadedMeasuring:
    """A measuring as it compares with the specification.

    `verdict` is PASS at the specification's load, CONDITIONAL_PASS when `measurement` was
    corrected to it by `by_mm` (+ = longer), FAIL when loads differ and nothing was corrected.
    """

    measurement: Measurement
    verdict: Verdict
    correction: LoadCorrection | None = None
    by_mm: Mapping[LineKey, float] = field(default_factory=dict)


def at_specified_load(
    specification: Specification, measurement: Measurement, thresholds: Thresholds
) -> LoadedMeasuring:
    """Correct the lengths when loads differ and the stiffness of each line measured is known."""
    wanted, load = specification.tension_n, measurement.tension_n
    verdict = comparable(wanted, load, thresholds.load_ratio)
    if verdict is not Verdict.FAIL or wanted is None or load is None:
        return LoadedMeasuring(measurement, verdict)
    by_mm = _corrections(specification, measurement, wanted - load)
    if not by_mm:
        return LoadedMeasuring(measurement, verdict)
    lengths = {key: mm + by_mm[key] for key, mm in measurement.lengths_mm.items()}
    largest = max(by_mm.values(), key=abs)
    u = thresholds.load_correction_share * abs(largest)
    return LoadedMeasuring(
        replace(measurement, lengths_mm=lengths, tension_n=wanted),
        Verdict.CONDITIONAL_PASS,
        LoadCorrection(load, wanted, largest, u),
        by_mm,
    )


def both_at_one_load(job: Job, thresholds: Thresholds) -> tuple[Measurement, Measurement] | None:
    """Both measurings, at the specification's load where that can be; None unless they compare.

    Without the same load the whole wing stretches differently: nothing agrees or disagrees.
    """
    if job.specification is None or job.before is None or job.after is None:
        return None
    first, last = (
        at_specified_load(job.specification, m, thresholds).measurement
        for m in (job.before, job.after)
    )
    differ = comparable(first.tension_n, last.tension_n, thresholds.load_ratio) is Verdict.FAIL
    return None if differ else (first, last)


def _corrections(
    specification: Specification, measurement: Measurement, more_n: float
) -> dict[LineKey, float]:
    """What each length changes by under this many N more; empty when one stiffness is not known."""
    stiffness = specification.stiffness_n
    lengths = measurement.lengths_mm
    if any(point.number > len(stiffness.get(point.group, ())) for _, point in lengths):
        return {}
    return {
        (side, point): mm * more_n / stiffness[point.group][point.number - 1]
        for (side, point), mm in lengths.items()
    }
