"""Free travel that was read with a ruler: of both brakes, and of one brake twice.

To read it is the surer way to know it: what lengths say leaves the trailing edge of this wing and
the maker's way of measuring to be guessed.
"""

import math
from collections.abc import Mapping
from dataclasses import replace

from trimscribe.analyse.judging import assess_effect, not_assessed
from trimscribe.model.findings import BrakeFinding, Effect, WhyNot
from trimscribe.model.thresholds import Thresholds
from trimscribe.model.wing import Side

_EXPANDED = 2.0  # standard uncertainties


def travel_difference(brakes: Mapping[Side, BrakeFinding], thresholds: Thresholds) -> Effect:
    """Right minus left free travel in mm, where both were read; + = the left brake acts sooner."""
    left, right = (_read_mm(brakes.get(side)) for side in (Side.LEFT, Side.RIGHT))
    return _of_two(left, right, thresholds)


def travel_gained(
    had: BrakeFinding | None, has: BrakeFinding | None, thresholds: Thresholds
) -> Effect:
    """What one brake gained (+) or lost (-) of free travel in mm, where it was read both times."""
    return _of_two(_read_mm(had), _read_mm(has), thresholds)


def _of_two(first_mm: float | None, last_mm: float | None, thresholds: Thresholds) -> Effect:
    """The second less the first; each reading is as uncertain as a brake's lines are soft."""
    if first_mm is None or last_mm is None:
        return not_assessed(WhyNot.NOT_MEASURED, thresholds.brake_mm, "mm")
    u = math.sqrt(2.0) * thresholds.u_brake_mm
    return assess_effect(last_mm - first_mm, u, thresholds.brake_mm, "mm")


def _read_mm(brake: BrakeFinding | None) -> float | None:
    return None if brake is None or brake.estimated else brake.free_travel_mm


def carried_over(
    unread: BrakeFinding,
    read: BrakeFinding,
    gained_mm: float | None,
    u_mm: float,
    thresholds: Thresholds,
) -> BrakeFinding:
    """Free travel read at one measuring only, for the other, where it is `gained_mm` more.

    What one reading says of this brake is worth more than its lengths: those leave the trailing
    edge of this wing and the maker's way of measuring to be guessed, both times alike. `u_mm` is
    the standard uncertainty of the gain in mm.
    """
    known = unread.free_travel_mm is not None and not unread.estimated
    if read.free_travel_mm is None or read.estimated or gained_mm is None or known:
        return unread
    free = read.free_travel_mm + gained_mm
    return replace(
        unread,
        free_travel_mm=free,
        estimated=True,
        below_minimum=free < thresholds.brake_free_travel_min_mm,
        free_travel_u_mm=math.hypot(thresholds.u_brake_mm, u_mm),
        from_reading=True,
    )


def as_read(
    now: BrakeFinding, read: BrakeFinding, gained: Effect, u_brake_mm: float
) -> BrakeFinding:
    """The brake of a wing that nobody worked on, with the free travel that was read as it came.

    What measuring made of its lengths since is no change, unless it is clearly more than that.
    """
    unknown = now.free_travel_mm is None or now.estimated
    if read.free_travel_mm is None or read.estimated or not unknown:
        return now
    if gained.value is not None and abs(gained.value) > _EXPANDED * math.hypot(
        u_brake_mm, gained.u
    ):
        return now
    return replace(
        now,
        free_travel_mm=read.free_travel_mm,
        estimated=False,
        below_minimum=read.below_minimum,
        free_travel_u_mm=None,
        from_reading=True,
    )
