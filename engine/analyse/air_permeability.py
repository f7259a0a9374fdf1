"""Air permeability in its two forms: seconds for a fixed volume of air, or flow."""

import math
from collections.abc import Sequence

__all__ = ["flow_l_m2_min", "mean_seconds"]

_CM2_PER_M2 = 10_000.0
_S_PER_MIN = 60.0


def flow_l_m2_min(seconds: float, volume_l: float | None, area_cm2: float | None) -> float | None:
    """Flow in L/m²/min when `volume_l` passes through `area_cm2` in this many seconds.

    At the meter's own pressure: flows of meters that suck harder are not comparable. None when
    the meter's volume or area is unknown.
    """
    if volume_l is None or area_cm2 is None:
        return None
    return _S_PER_MIN * volume_l / (area_cm2 / _CM2_PER_M2 * seconds)


def mean_seconds(seconds: Sequence[float]) -> float:
    """The seconds of the mean flow: 10 s and 40 s give 16 s.

    Flow goes with one over the time, so averaging seconds would hide the leakiest cloth.
    """
    return len(seconds) / math.fsum(1.0 / t for t in seconds)
