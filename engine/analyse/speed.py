"""Change of trim speed that an angle brings: a range, never a single figure.

The wing counts as rigid, the air as calm, brakes as slack and the accelerator as free. A range of
3.0 to 5.7 % per degree nose up (centre 4.2) holds a dynamics library, two flight tests and a
simulation over wing shapes; it says nothing about stall or collapse. It was checked up to 2
degrees: beyond, only the least is known.
"""

from trimscribe.model.findings import Effect, SpeedRange
from trimscribe.model.thresholds import Thresholds


def speed_range(
    angle: Effect | None,
    trim_speed_km_h: float | None,
    thresholds: Thresholds,
    *,
    beyond: bool = False,
) -> SpeedRange | None:
    """The change in km/h, + = faster; nose up is slower. `low` and `high` are in order of size.

    The range takes the angle's own uncertainty U = 2 u in, so `low` is 0 when the angle might be.
    `beyond` says that a change began or ended beyond what was checked. None when the angle was not
    assessed.
    """
    if angle is None or angle.value is None:
        return None
    base = thresholds.speed_default_km_h if trim_speed_km_h is None else trim_speed_km_h
    size, guard = abs(angle.value), 2.0 * angle.u
    faster = -1.0 if angle.value > 0 else 1.0

    def change(percent_per_deg: float, deg: float) -> float:
        # `or 0.0` turns -0.0 into 0.0
        return faster * percent_per_deg / 100.0 * deg * base or 0.0

    least = min(max(size - guard, 0.0), thresholds.pitch_valid_deg)
    low = change(thresholds.speed_percent_per_deg_low, least)
    assumed = trim_speed_km_h is None
    if beyond or size > thresholds.pitch_valid_deg:
        return SpeedRange(None, low, None, base, assumed)
    return SpeedRange(
        central_km_h=change(thresholds.speed_percent_per_deg, size),
        low_km_h=low,
        high_km_h=change(thresholds.speed_percent_per_deg_high, size + guard),
        base_km_h=base,
        assumed=assumed,
    )
