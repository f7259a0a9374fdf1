"""One measuring, computed anew from the formulas: plain Python, nothing of the analysis used.

Errors are propagated one by one: every source of error is a list of how much each result would
move if that source were off by one standard uncertainty, and the squares are added up.
"""

import math

BANDS = ("centre", "middle", "tip")
SIDES = ("left", "right")


def phi(z):
    """Standard normal distribution function."""
    return 0.5 * math.erfc(-z / math.sqrt(2))


def effect(value, u, threshold, unit):
    """A quantity judged against the size from which it may be noticed."""
    size = abs(value)
    word = (
        "none expected"
        if size <= threshold - 2 * u
        else "expected"
        if size >= threshold + 2 * u
        else "possible"
    )
    beyond = phi((value - threshold) / u) + phi((-threshold - value) / u)
    return {
        "value": value,
        "u": u,
        "threshold": threshold,
        "unit": unit,
        "expectation": word,
        "probability": beyond,
        "why_not": "",
    }


def nothing(why, threshold, unit):
    """A quantity that was not assessed."""
    return {
        "value": None,
        "u": 0.0,
        "threshold": threshold,
        "unit": unit,
        "expectation": "not assessed",
        "probability": None,
        "why_not": why,
    }


def conforms(y, u, lower, upper):
    """Probability that the true value lies between two limits."""
    return phi((upper - y) / u) - phi((lower - y) / u)


def decide(rule, y, u, lower, upper):
    """The verdict by the decision rule."""
    kind, number = rule.acceptance.value, rule.value
    inside = lower - 1e-9 <= y <= upper + 1e-9
    clear = True
    if kind == "guarded" and u is not None:
        w = number * u
        clear = (
            lower + w - 1e-9 <= y <= upper - w + 1e-9
            if inside
            else y <= lower - w + 1e-9 or y >= upper + w - 1e-9
        )
    elif kind == "probability" and u is not None:
        p = conforms(y, u, lower, upper)
        clear = (p if inside else 1 - p) >= number - 1e-9
    return ("" if clear else "conditional ") + ("pass" if inside else "fail")


def band_of(number, count):
    """The third of the half span that a point stands in."""
    share = (number - 1) / (count - 1) if count > 1 else 0.0
    thirds = 3 * (number - 1)
    if count == 1 or thirds < count - 1:
        return "centre"
    return "middle" if thirds < 2 * (count - 1) and share < 1 else "tip"


class Load:
    """A measuring at the specification's load, corrected if that is allowed."""

    def __init__(self, spec, measuring, t):
        self.lengths = {
            (s.value, p.group, p.number): mm for (s, p), mm in measuring.lengths_mm.items()
        }
        self.raw = dict(self.lengths)
        self.by = {}
        wanted, load = spec.tension_n, measuring.tension_n
        self.tension = load
        if wanted is None or load is None:
            self.verdict = "not assessed"
            return
        if abs(load - wanted) <= t.load_ratio * wanted * (1 + 1e-12):
            self.verdict = "pass"
            return
        self.verdict = "fail"
        if self.raw and all(n <= len(spec.stiffness_n.get(g, ())) for _, g, n in self.raw):
            self.verdict = "conditional pass"
            for (s, g, n), mm in self.raw.items():
                self.by[s, g, n] = mm * (wanted - load) / spec.stiffness_n[g][n - 1]
                self.lengths[s, g, n] = mm + self.by[s, g, n]
            self.largest = max(self.by.values(), key=abs)
            self.u = t.load_correction_share * abs(self.largest)
            self.from_n, self.tension = load, wanted


class Bench:
    """The uncertainty of one length, by how far its errors reach."""

    def __init__(self, spec, measuring, load, t):
        reading = measuring.uncertainty_mm
        step = t.rounding_mm if spec.rounding_mm is None else spec.rounding_mm
        self.rounding = step / math.sqrt(12)
        self.own = [
            reading if reading is not None else t.u_instrument_mm,
            t.u_tension_mm,
            t.u_hook_up_mm,
        ]
        self.line = math.sqrt(sum(u * u for u in [*self.own, self.rounding]))
        self.line_less_rounding = math.sqrt(sum(u * u for u in self.own))
        self.correction = load.u if load.by else 0.0
        self.row = math.sqrt(t.u_row_mm**2 + self.correction**2)
        self.scale = t.u_scale_mm_per_m
        names = ("instrument", "tension", "hook_up", "rounding")
        stated = (reading is not None, False, False, spec.rounding_mm is not None)
        self.budget = [
            {"name": n, "u": u, "unit": "mm", "scope": "each line by itself", "stated": s}
            for n, u, s in zip(names, [*self.own, self.rounding], stated, strict=True)
        ]
        self.budget += [
            {
                "name": "row",
                "u": t.u_row_mm,
                "unit": "mm",
                "scope": "a row in common",
                "stated": False,
            },
            {
                "name": "scale",
                "u": self.scale,
                "unit": "mm/m",
                "scope": "all lines in common",
                "stated": False,
            },
        ]
        if load.by:
            self.budget.append(
                {
                    "name": "correction",
                    "u": load.u,
                    "unit": "mm",
                    "scope": "a row in common",
                    "stated": False,
                }
            )


class Cells:
    """Row points of both sides with chord, band, specified length and deviation (None = gap)."""

    def __init__(self, spec, load):
        self.rows = [g for g in spec.groups if g.kind.value == "row"]
        self.cells = []
        for side in SIDES:
            for r, row in enumerate(self.rows):
                count = len(row.lengths_mm)
                for n in range(1, count + 1):
                    length = load.lengths.get((side, row.name, n))
                    spec_mm = row.lengths_mm[n - 1]
                    self.cells.append(
                        {
                            "side": side,
                            "row": row.name,
                            "r": r,
                            "n": n,
                            "band": band_of(n, count),
                            "x": row.chord_m[n - 1] if row.chord_m else None,
                            "long": spec_mm / 1000,
                            "d": None if length is None else length - spec_mm,
                        }
                    )
        gaps = {(c["side"], c["n"]) for c in self.cells if c["d"] is None}
        for c in self.cells:
            c["whole"] = (c["side"], c["n"]) not in gaps
            c["paired"] = not gaps & {("left", c["n"]), ("right", c["n"])}


def rows_apart(cells):
    """Metres from the foremost row to the rearmost."""
    per_row = {}
    for c in cells:
        per_row.setdefault(c["row"], []).append(c["x"])
    means = [sum(v) / len(v) for v in per_row.values()]
    return max(means) - min(means) if means else 0.0


def slope_of(cells, t, blocked, key="whole"):
    """Weights per cell, slope, mean, centre; or why there is none."""
    if blocked:
        return blocked
    if not any(c["d"] is not None for c in cells):
        return "not measured"
    if any(c["x"] is None for c in cells):
        return "chord positions not given"
    used = [c for c in cells if c[key]]
    few = len(used) < t.min_station_share * len(cells)
    if rows_apart(cells) < 0.01:
        return "fewer than two rows at different chord positions"
    if few:
        return "too few stations measured"
    if rows_apart(used) < 0.01:
        return "fewer than two rows at different chord positions"
    mean_x = sum(c["x"] for c in used) / len(used)
    mean_d = sum(c["d"] for c in used) / len(used)
    sxx = sum((c["x"] - mean_x) ** 2 for c in used)
    weights = {id(c): (c["x"] - mean_x) / sxx for c in used}
    slope = math.fsum((c["x"] - mean_x) * (c["d"] - mean_d) for c in used) / sxx
    return {"slope": slope, "mean": mean_d, "x": mean_x, "w": weights, "used": used}


def u_of(weights, cells, line, row, scale, sides_apart=False, against=0.0):
    """Uncertainty of a weighted sum of deviations, source by source."""
    alone = sum((weights.get(id(c), 0.0) * line) ** 2 for c in cells)
    shared = {}
    for c in cells:
        key = (c["side"], c["row"]) if sides_apart else c["row"]
        shared[key] = shared.get(key, 0.0) + weights.get(id(c), 0.0)
    rows = sum((w * row) ** 2 for w in shared.values())
    reach = sum(weights.get(id(c), 0.0) * c["long"] for c in cells) - against
    return math.sqrt(alone + rows + (scale * reach) ** 2)


def degrees(slope, lean):
    """Pitch angle of a slope in mm/m, + = nose up."""
    return -math.degrees(math.atan(slope / 1000 / math.cos(math.radians(lean))))


def speed(angle, trim, t):
    """Range of the change of trim speed."""
    if angle["value"] is None or abs(angle["value"]) > t.pitch_valid_deg:
        return None
    base = t.speed_default_km_h if trim is None else trim
    size, guard = abs(angle["value"]), 2 * angle["u"]
    sign = -1 if angle["value"] > 0 else 1
    at = [
        (t.speed_percent_per_deg, size),
        (t.speed_percent_per_deg_low, max(0, size - guard)),
        (t.speed_percent_per_deg_high, size + guard),
    ]
    central, low, high = (sign * p / 100 * a * base for p, a in at)
    return {
        "central_km_h": central,
        "low_km_h": low,
        "high_km_h": high,
        "base_km_h": base,
        "assumed": trim is None,
    }
