"""What changed between two measurings, computed anew in plain Python."""

import math
from dataclasses import replace

from plain_basics import table
from plain_model import State
from plain_state import BANDS, SIDES, degrees, effect, nothing, slope_of, speed, u_of

WRONG_LOAD = "measuring load differs too much from the specification's"


def change_of(job, states):
    """After minus before, over lines measured both times."""
    common = job.before.lengths_mm.keys() & job.after.lengths_mm.keys()
    first, last = (
        State(job, replace(m, lengths_mm={k: v for k, v in m.lengths_mm.items() if k in common}))
        for m in (job.before, job.after)
    )
    t, spec, lean = table(job), job.specification, job.specification.lean_deg
    one, two = first.load.tension, last.load.tension
    apart = (
        one is not None and two is not None and abs(two - one) > t.load_ratio * one * (1 + 1e-12)
    )
    if "fail" in (first.load.verdict, last.load.verdict) or apart:
        blocked = WRONG_LOAD
        first = _blocked(first, blocked)
        last = _blocked(last, blocked)
    line = math.hypot(first.bench.line_less_rounding, last.bench.line_less_rounding)
    row = math.hypot(t.u_row_change_mm, last.bench.correction - first.bench.correction)

    def slopes(keep, key="whole"):
        found = [slope_of([c for c in s.all if keep(c)], t, s.blocked, key) for s in (last, first)]
        return next((f for f in found if isinstance(f, str)), found)

    def joined(parts, threshold):
        total, weights = 0.0, {}
        for keep, share in parts:
            found = slopes(keep)
            if isinstance(found, str):
                return found
            later, earlier = found
            total += share * (degrees(later["slope"], lean) - degrees(earlier["slope"], lean))
            for k, w in later["w"].items():
                weights[k] = weights.get(k, 0.0) + share * w
        u = u_of(weights, last.all, line, row, 0.0)
        return effect(total, -degrees(u, lean), threshold, "deg")

    def angle(keep, threshold):
        found = joined([(keep, 1.0)], threshold)
        return nothing(found, threshold, "deg") if isinstance(found, str) else found

    def in_band(band):
        return lambda c: c["band"] == band

    pitch = angle(lambda c: True, t.pitch_deg)
    shares = [t.band_weight_centre, t.band_weight_middle, t.band_weight_tip]
    effective = joined(
        [(in_band(b), s / sum(shares)) for b, s in zip(BANDS, shares, strict=True)], t.pitch_deg
    )
    effective = pitch if isinstance(effective, str) else effective
    twist = joined([(in_band("centre"), -1.0), (in_band("tip"), 1.0)], t.band_deg)
    halves = [slopes(lambda c, s=s: c["side"] == s, "paired") for s in SIDES]
    bad = next((h for h in halves if isinstance(h, str)), None)
    if bad:
        turn = nothing(bad, t.left_right_deg, "deg")
    else:
        (l1, l0), (r1, r0) = halves
        weights = {**{k: -w for k, w in l1["w"].items()}, **r1["w"]}
        u = u_of(weights, last.all, line, row, 0.0, sides_apart=True)
        value = degrees(r1["slope"], lean) - degrees(r0["slope"], lean)
        value -= degrees(l1["slope"], lean) - degrees(l0["slope"], lean)
        turn = effect(value, -degrees(u, lean), t.left_right_deg, "deg")
    lines = {
        (s, g.name, n): last.load.lengths[s, g.name, n] - first.load.lengths[s, g.name, n]
        for s in SIDES
        for g in spec.groups
        for n in range(1, len(g.lengths_mm) + 1)
        if (s, g.name, n) in last.load.lengths
    }
    rows = {}
    for r in spec.rows:
        own = [mm for (_, g, _), mm in lines.items() if g == r.name]
        if own:
            rows[r.name] = sum(own) / len(own)
    brakes = {}
    for side in SIDES:
        had, has = first.travel(side), last.travel(side)
        if had["value"] is None or has["value"] is None:
            brakes[side] = nothing(had["why_not"] or has["why_not"], t.brake_mm, "mm")
        else:
            u = max(had["u"], has["u"])
            brakes[side] = effect(has["value"] - had["value"], u, t.brake_mm, "mm")
    offsets = [states[w]["offset"] for w in ("before", "after")]
    return {
        "offset_mm": None if None in offsets else offsets[1]["value_mm"] - offsets[0]["value_mm"],
        "pitch": pitch,
        "bands": {b: angle(in_band(b), t.band_deg) for b in BANDS},
        "twist": nothing(twist, t.band_deg, "deg") if isinstance(twist, str) else twist,
        "symmetry_angle": turn,
        "rows_mm": rows,
        "lines_mm": {f"{s} {g}{n}": mm for (s, g, n), mm in lines.items()},
        "brakes": brakes,
        "speed": speed(effective, job.wing.trim_speed_km_h, t),
        "effective": effective,
    }


def _blocked(state, why):
    state.blocked = why
    state.line = slope_of(state.all, state.t, why)
    state.edge = state._edge()
    return state
