"""Angles of one measuring, computed anew from the formulas."""

import math

from plain_state import BANDS, SIDES, degrees, effect, nothing, slope_of, u_of


class Angles:
    """Angles and differences between the sides of one measuring."""

    def effect(self, cells, threshold, key="whole"):
        """An angle over some cells."""
        line = slope_of(cells, self.t, self.blocked, key)
        if isinstance(line, str):
            return nothing(line, threshold, "deg")
        return self._judged(line["slope"], line["w"], threshold)

    def _judged(self, slope, weights, threshold):
        u = u_of(weights, self.all, self.bench.line, self.bench.row, self.bench.scale)
        lean = self.spec.lean_deg
        return effect(degrees(slope, lean), -degrees(u, lean), threshold, "deg")

    def joined(self, parts, threshold):
        """Bands joined by weights."""
        total, weights = 0.0, {}
        for band, share in parts:
            line = slope_of([c for c in self.all if c["band"] == band], self.t, self.blocked)
            if isinstance(line, str):
                return line
            total += share * degrees(line["slope"], self.spec.lean_deg)
            for k, w in line["w"].items():
                weights[k] = weights.get(k, 0.0) + share * w
        u = u_of(weights, self.all, self.bench.line, self.bench.row, self.bench.scale)
        return effect(total, -degrees(u, self.spec.lean_deg), threshold, "deg")

    def pitch(self):
        """All angles."""
        t = self.t
        whole = self.effect(self.all, t.pitch_deg)
        shares = [t.band_weight_centre, t.band_weight_middle, t.band_weight_tip]
        weights = list(zip(BANDS, [s / sum(shares) for s in shares], strict=True))
        effective = self.joined(weights, t.pitch_deg)
        twist = self.joined([("centre", -1.0), ("tip", 1.0)], t.band_deg)
        return {
            "slope_mm_per_m": None if isinstance(self.line, str) else self.line["slope"],
            "wing": whole,
            "sides": {
                s: self.effect([c for c in self.all if c["side"] == s], t.pitch_deg) for s in SIDES
            },
            "bands": {
                b: self.effect([c for c in self.all if c["band"] == b], t.band_deg) for b in BANDS
            },
            "twist": nothing(twist, t.band_deg, "deg") if isinstance(twist, str) else twist,
            "effective": whole if isinstance(effective, str) else effective,
        }

    def symmetry(self, angle_row=None, line=None):
        """Right minus left."""
        t = self.t
        line = self.bench.line_less_rounding if line is None else line
        row = t.u_row_side_mm if angle_row is None else angle_row
        halves = [
            slope_of([c for c in self.all if c["side"] == s], t, self.blocked, "paired")
            for s in SIDES
        ]
        bad = next((h for h in halves if isinstance(h, str)), None)
        if bad:
            angle = nothing(bad, t.left_right_deg, "deg")
        else:
            left, right = halves
            weights = {**{k: -w for k, w in left["w"].items()}, **right["w"]}
            u = u_of(weights, self.all, line, row, self.bench.scale, sides_apart=True)
            lean = self.spec.lean_deg
            angle = effect(
                degrees(right["slope"], lean) - degrees(left["slope"], lean),
                -degrees(u, lean),
                t.left_right_deg,
                "deg",
            )
        pairs = {}
        for c in self.all:
            pairs.setdefault((c["row"], c["n"]), {})[c["side"]] = c["d"]
        return {
            "angle": angle,
            "rows": {
                r.name: self._mean({k: v for k, v in pairs.items() if k[0] == r.name})
                for r in self.cells.rows
            },
            "all_lines": self._mean(pairs),
        }

    def _mean(self, pairs):
        t = self.t
        known = [v["right"] - v["left"] for v in pairs.values() if None not in v.values()]
        why = self.blocked
        if not why and not known:
            why = "not measured"
        if not why and len(known) < t.min_station_share * len(pairs):
            why = "too few stations measured"
        if why:
            return nothing(why, t.left_right_mm, "mm")
        u = math.sqrt(2 * (self.bench.line_less_rounding**2 / len(known) + t.u_row_side_mm**2))
        return effect(sum(known) / len(known), u, t.left_right_mm, "mm")

    def residuals(self):
        """Each row's mean minus the straight line."""
        t = self.t
        if len(self.cells.rows) < 3:
            return {}
        found = {}
        for row in self.cells.rows:
            if isinstance(self.line, str):
                found[row.name] = nothing(self.line, t.residual_mm, "mm")
                continue
            used = [c for c in self.line["used"] if c["row"] == row.name]
            if not used:
                found[row.name] = nothing("not measured", t.residual_mm, "mm")
                continue
            x = sum(c["x"] for c in used) / len(used)
            d = sum(c["d"] for c in used) / len(used)
            fitted = self.line["mean"] + self.line["slope"] * (x - self.line["x"])
            u = math.sqrt(self.bench.line**2 / len(used) + self.bench.row**2)
            found[row.name] = effect(d - fitted, u, t.residual_mm, "mm")
        return found
