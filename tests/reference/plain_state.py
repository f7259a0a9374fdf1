"""One measuring, computed again from the formulas: plain Python, nothing of the analysis used."""

import math

BANDS = ("centre", "middle", "tip")
SIDES = ("left", "right")


def phi(z):
    """Standard normal distribution function."""
    return 0.5 * math.erfc(-z / math.sqrt(2))


def effect(value, u, threshold, unit):
    """A quantity judged against the size from which it may be noticed."""
    size = abs(value)
    if 2 * u > threshold * (1 + 1e-12):
        return nothing("too uncertain to tell", threshold, unit)
    word = (
        "none expected"
        if size <= threshold - 2 * u
        else "expected"
        if size >= threshold + 2 * u
        else "possible"
    )
    if u:
        beyond = phi((value - threshold) / u) + phi((-threshold - value) / u)
    else:
        beyond = 1.0 if size > threshold else 0.0
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
    """The third of the half span that a point is in."""
    thirds = 3 * (number - 1)
    if count == 1 or thirds < count - 1:
        return "centre"
    return "middle" if thirds <= 2 * (count - 1) else "tip"


class Load:
    """A measuring at the specification's load, corrected if that is allowed."""

    def __init__(self, spec, measuring, t):
        self.lengths = {
            (s.value, p.group, p.number): mm for (s, p), mm in measuring.lengths_mm.items()
        }
        self.raw = dict(self.lengths)
        self.by, self.corrected, self.u = {}, False, 0.0
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
            self.corrected = True
            self.largest = max(self.by.values(), key=abs)
            self.u = t.load_correction_share * abs(self.largest)
            self.from_n, self.tension = load, wanted


def readings(measuring, t):
    """What differs whenever a line is measured: (name, u, whether the job stated it)."""
    if measuring.repeat_mm is not None:
        return [("repeat", measuring.repeat_mm, True)]
    stated = measuring.uncertainty_mm
    return [
        ("instrument", t.u_instrument_mm if stated is None else stated, stated is not None),
        ("tension", t.u_tension_mm, False),
        ("hook_up", t.u_hook_up_mm, False),
    ]


def repeat(measuring, t):
    """u_rep: scatter of the same line, hooked up and read again."""
    return math.sqrt(sum(u * u for _, u, _ in readings(measuring, t)))


class Bench:
    """The uncertainty of one length, by how far its errors reach."""

    def __init__(self, spec, measuring, load, t):
        step = t.rounding_mm if spec.rounding_mm is None else spec.rounding_mm
        rounding = step / math.sqrt(12)
        self.repeat = repeat(measuring, t)
        self.line = math.hypot(self.repeat, rounding)
        self.correction = load.u
        self.row = math.hypot(t.u_row_mm, self.correction)
        self.scale = t.u_scale_mm_per_m
        own = [*readings(measuring, t), ("rounding", rounding, spec.rounding_mm is not None)]
        self.budget = [
            {"name": n, "u": u, "unit": "mm", "scope": "each line by itself", "stated": s}
            for n, u, s in own
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
        if load.corrected:
            self.budget.append(
                {
                    "name": "correction",
                    "u": load.u,
                    "unit": "mm",
                    "scope": "a row in common",
                    "stated": False,
                }
            )


def degrees(slope, lean):
    """Pitch angle of a slope in mm/m, + = nose up."""
    return -math.degrees(math.atan(slope / 1000 / math.cos(math.radians(lean))))


def speed(angle, trim, t, beyond=False):
    """Range of the change of trim speed; beyond two degrees only the least is known."""
    if angle["value"] is None:
        return None
    base = t.speed_default_km_h if trim is None else trim
    size, guard = abs(angle["value"]), 2 * angle["u"]
    sign = -1 if angle["value"] > 0 else 1
    beyond = beyond or size > t.pitch_valid_deg
    least = min(max(0, size - guard), t.pitch_valid_deg)
    at = [
        (t.speed_percent_per_deg, size),
        (t.speed_percent_per_deg_low, least),
        (t.speed_percent_per_deg_high, size + guard),
    ]
    central, low, high = (sign * p / 100 * a * base for p, a in at)
    return {
        "central_km_h": None if beyond else central,
        "low_km_h": low,
        "high_km_h": None if beyond else high,
        "base_km_h": base,
        "assumed": trim is None,
    }
