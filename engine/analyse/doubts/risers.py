"""Risers of which a length looks wrong: in each other's place, impossible, far off, or changed.

The maker's lengths are the same left and right, so that one measuring does not tell risers of one
side from those of the other. Two do: a riser that nobody exchanged is as long as it was.
"""

import math
import re
from collections.abc import Iterator, Mapping

from trimscribe.model.doubts import CHANGED, Doubt, DoubtKind
from trimscribe.model.job import Condition, Job, Measurement
from trimscribe.model.thresholds import Thresholds, thresholds_of
from trimscribe.model.wing import RiserLengths, Side, Specification

_UNKNOWN = RiserLengths()
_NEAR_MM = 15.0  # of the other length: that near, it may stand in its place; judgement
_LONGER_MM = 5.0  # more with the bar pushed than two readings of one riser differ by; judgement
# Standard uncertainties of what two readings of one riser differ by: chance goes beyond the first
# once in 37,000 times (normal distribution), within the second both are taken for one length.
_CHANGED, _SAME = 4.2, 2.0
_A_RISER = re.compile(r"\briser", re.IGNORECASE)
# What work on may leave a riser with another length.
_AT_A_RISER = re.compile(
    r"riser|maillon|link|shackle|trimmer|pulley|speed|accelerator", re.IGNORECASE
)
_Risers = Mapping[tuple[Side, str], RiserLengths]


def riser_doubts(job: Job) -> Iterator[Doubt]:
    """Measured risers that look wrong, each once and by the likeliest reason."""
    spec, thresholds = job.specification, thresholds_of(job)
    for when, measurement in (("before", job.before), ("after", job.after)):
        if spec is not None and measurement is not None:
            yield from _of(when, measurement, spec, thresholds)
    if spec is not None and job.before is not None and job.after is not None:
        yield from _changed(job, job.before.risers, job.after.risers, spec, thresholds)


def riser_exchanged(job: Job) -> bool:
    """Whether a part was exchanged that is a riser or on one."""
    return any(_A_RISER.search(item.part) for item in job.replacements)


def doubted_risers(job: Job, measurement: Measurement) -> frozenset[tuple[Side, str]]:
    """The risers of a measuring that count for no angle: they look wrong, unconfirmed.

    Of one that changed and that nobody exchanged either reading may be wrong: neither counts.
    """
    when = "after" if measurement is job.after else "before"
    return frozenset(
        (side, name)
        for side, name in measurement.risers
        for doubt in riser_doubts(job)
        if doubt.at[1:] == ("risers", side.value, name)
        and (doubt.at[0] == when or doubt.other in CHANGED)
        and doubt.name not in job.confirmed
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


def _changed(
    job: Job, before: _Risers, after: _Risers, spec: Specification, thresholds: Thresholds
) -> Iterator[Doubt]:
    """Risers that were measured as one length before and another after, and look right both times.

    "sides" where each of a row has the length that the other one had.
    """
    worked_on = [
        *(item.part for item in job.replacements),
        *(item.part for item in job.inspection if item.condition is Condition.REPAIRED),
    ]
    if any(map(_AT_A_RISER.search, worked_on)):
        return
    u_mm = math.sqrt(2.0) * thresholds.u_riser_mm
    for (side, name), found in after.items():
        other = Side.RIGHT if side is Side.LEFT else Side.LEFT
        had = before.get((side, name), _UNKNOWN)
        specified = spec.risers.get(name, _UNKNOWN)
        if _why(had, specified, thresholds) or _why(found, specified, thresholds):
            continue
        apart = [(now, was) for was, now in _pairs(had, found) if abs(now - was) > _CHANGED * u_mm]
        if not apart:
            continue
        crossed = [
            *_pairs(before.get((other, name), _UNKNOWN), found),
            *_pairs(had, after.get((other, name), _UNKNOWN)),
        ]
        mirrored = len(crossed) > 1 and all(abs(now - was) <= _SAME * u_mm for was, now in crossed)
        found_mm, expected_mm = apart[0]
        yield Doubt(
            DoubtKind.RISER,
            f"after.risers.{side.value}.{name}",
            ("after", "risers", side.value, name),
            (),
            found=found_mm,
            expected=expected_mm,
            other="sides" if mirrored else "changed",
        )


def _pairs(first: RiserLengths, last: RiserLengths) -> list[tuple[float, float]]:
    """The lengths in mm that both have, at trim and with the bar pushed."""
    pairs = ((first.trim_mm, last.trim_mm), (first.accelerated_mm, last.accelerated_mm))
    return [(was, now) for was, now in pairs if was is not None and now is not None]
