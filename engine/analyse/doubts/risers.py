"""Risers of which a length looks wrong: in each other's place, impossible, or far off."""

from collections.abc import Iterator

from trimscribe.model.findings import Doubt, DoubtKind
from trimscribe.model.job import Job, Measurement
from trimscribe.model.thresholds import Thresholds, thresholds_of
from trimscribe.model.wing import RiserLengths, Side, Specification

_UNKNOWN = RiserLengths()
_NEAR_MM = 15.0  # of the other length: that near, it may stand in its place; judgement
_LONGER_MM = 5.0  # more with the bar pushed than two readings of one riser differ by; judgement


def riser_doubts(job: Job) -> Iterator[Doubt]:
    """Measured risers that look wrong, each once and by the likeliest reason."""
    spec, thresholds = job.specification, thresholds_of(job)
    for when, measurement in (("before", job.before), ("after", job.after)):
        if spec is not None and measurement is not None:
            yield from _of(when, measurement, spec, thresholds)


def doubted_risers(job: Job, measurement: Measurement) -> frozenset[tuple[Side, str]]:
    """The risers of a measuring that count for no angle: they look wrong, unconfirmed."""
    when = "after" if measurement is job.after else "before"
    return frozenset(
        (side, name)
        for side, name in measurement.risers
        for doubt in riser_doubts(job)
        if doubt.at == (when, "risers", side.value, name) and doubt.name not in job.confirmed
    )


def _of(
    when: str, measurement: Measurement, spec: Specification, thresholds: Thresholds
) -> Iterator[Doubt]:
    for (side, name), found in measurement.risers.items():
        specified = spec.risers.get(name, _UNKNOWN)
        if (why := _why(found, specified, thresholds)) is not None:
            found_mm, expected_mm, other = why
            yield Doubt(
                DoubtKind.RISER,
                f"{when}.risers.{side.value}.{name}",
                (when, "risers", side.value, name),
                (),
                found=found_mm,
                expected=expected_mm,
                other=other,
            )


def _why(
    found: RiserLengths, specified: RiserLengths, thresholds: Thresholds
) -> tuple[float, float, str] | None:
    """A length in mm, the one expected, and "swapped", "longer" or "" for what is far off."""
    trim, pushed = found.trim_mm, found.accelerated_mm
    if trim is not None and pushed is not None:
        at_trim, at_bar = specified.trim_mm, specified.accelerated_mm
        if (
            at_trim is not None
            and at_bar is not None
            and abs(at_trim - at_bar) > 2.0 * _NEAR_MM
            and max(abs(trim - at_bar), abs(pushed - at_trim)) <= _NEAR_MM
        ):
            return trim, at_trim, "swapped"
        # A riser that the maker's own table lets grow is another system.
        grows = at_trim is not None and at_bar is not None and at_bar > at_trim
        if pushed > trim + _LONGER_MM and not grows:
            return pushed, trim, "longer"
    pairs = ((trim, specified.trim_mm), (pushed, specified.accelerated_mm))
    known = [(mm, wanted) for mm, wanted in pairs if mm is not None and wanted is not None]
    far = [(mm, wanted) for mm, wanted in known if abs(mm - wanted) > thresholds.doubt_few_mm]
    return (*far[0], "") if far else None
