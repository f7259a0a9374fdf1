"""Angles and differences between the sides, computed again (our own study, sections 5 to 7)."""

import math

import plain_turn
from plain_state import BANDS, SIDES, band_of, degrees, effect, nothing

TOO_FEW = "too few lines to know what all share"
UNLIKE = "a row has so few points that nobody knows where along the span they lie"


class Angles:
    """Angles of a table of deviations, or of changes since an earlier one."""

    def __init__(self, table, sides, lean, earlier=None):
        self.table, self.sides, self.lean, self.earlier = table, sides, lean, earlier
        self.t = table.t
        counts = {c.row: 0 for c in table.cells}
        for c in table.cells:
            counts[c.row] = max(counts[c.row], c.station)
        self.unlike = bool(counts) and min(counts.values()) < 0.75 * max(counts.values())
        self.band = {(c.row, c.station): band_of(c.station, counts[c.row]) for c in table.cells}

    def angle(self, keep):
        """(deg, u, slope, target) over some cells, or why there is none."""
        plane = self.table.plane(keep)
        return plane if isinstance(plane, str) else self.of(plane[0])

    def of(self, target, error=None):
        """The same from the slope's weights."""
        found = self.table.estimate(target, error)
        if isinstance(found, str):
            return found
        value, u, _ = found
        start = self.earlier.estimate(target) if self.earlier else "none"
        before = 0.0 if isinstance(start, str) else start[0]
        deg = degrees(before + value, self.lean) - degrees(before, self.lean)
        return deg, -degrees(u, self.lean), value, target

    def judged(self, found, threshold):
        """An angle against what may be noticed."""
        if isinstance(found, str):
            return nothing(found, threshold, "deg")
        return effect(found[0], found[1], threshold, "deg")

    def in_band(self, band):
        """The angle of one band."""
        found = self.angle(lambda c: self.band[c.row, c.station] == band)
        return UNLIKE if self.unlike and not isinstance(found, str) else found

    def joined(self, parts):
        """Bands joined by weights."""
        found = [(share, self.in_band(band)) for band, share in parts]
        for _, one in found:
            if isinstance(one, str):
                return one
        both = self.of(sum(share * one[3] for share, one in found))
        return (sum(share * one[0] for share, one in found), *both[1:])

    def pitch(self):
        """All angles."""
        t = self.t
        whole = self.angle(lambda c: True)
        shares = [t.band_weight_centre, t.band_weight_middle, t.band_weight_tip]
        effective = self.joined(list(zip(BANDS, [s / sum(shares) for s in shares], strict=True)))
        effective = whole if isinstance(effective, str) else effective
        return {
            "slope_mm_per_m": None if isinstance(whole, str) else whole[2],
            "wing": self.judged(whole, t.pitch_deg),
            "sides": {
                s: self.judged(self.angle(lambda c, s=s: c.side == s), t.pitch_deg) for s in SIDES
            },
            "bands": {b: self.judged(self.in_band(b), t.band_deg) for b in BANDS},
            "twist": self.judged(self.joined([("centre", -1.0), ("tip", 1.0)]), t.band_deg),
            "effective": self.judged(effective, t.pitch_deg),
        }

    def halves(self):
        """Right minus left: (deg, u, slope, target), or why there is none."""
        right, left = (self.angle(lambda c, s=s: c.side == s) for s in ("right", "left"))
        bad = [h for h in (right, left) if isinstance(h, str)]
        if bad:
            return bad[0]
        found = self.of(right[3] - left[3], self.sides)
        return found if isinstance(found, str) else (right[0] - left[0], *found[1:])

    def between(self, keep):
        """Right minus left mean in mm: (value, u, target), or why there is none."""
        if self.table.blocked:
            return self.table.blocked
        own = {s: [c for c in self.table.cells if keep(c) and c.side == s] for s in SIDES}
        if any(all(c.mm is None for c in cells) for cells in own.values()):
            return "not measured"
        target = self.table.share(lambda c: keep(c) and c.side == "right")
        target = target - self.table.share(lambda c: keep(c) and c.side == "left")
        found = self.table.estimate(target, self.sides)
        return found if isinstance(found, str) else (found[0], found[1], target)

    def mean(self, keep):
        """The same judged."""
        found = self.between(keep)
        if isinstance(found, str):
            return nothing(found, self.t.left_right_mm, "mm")
        return effect(found[0], found[1], self.t.left_right_mm, "mm")

    def symmetry(self):
        """Right minus left."""
        rows = dict.fromkeys(c.row for c in self.table.cells)
        return {
            "angle": self.judged(self.halves(), self.t.left_right_deg),
            "rows": {r: self.mean(lambda c, r=r: c.row == r) for r in rows},
            "all_lines": self.mean(lambda c: True),
            "turn": self.turn(),
        }

    def turn(self):
        """Turn tendency in one unit (section 5)."""
        t = self.t
        angle, lines = self.halves(), self.between(lambda c: True)
        why = next((x for x in (angle, lines) if isinstance(x, str)), "")
        if why:
            return _no_turn(why)
        per_slope = -math.degrees(0.001 / math.cos(math.radians(self.lean)))

        def u_rate(factor):
            weights = plain_turn.PER_DEGREE * per_slope * angle[3]
            weights = weights - factor * plain_turn.PER_MM * lines[2]
            return self.table.estimate(weights, self.sides)[1]

        given = (angle[0], lines[0], angle[1], lines[1])
        y, word, side = plain_turn.turn(*given, u_rate)
        rate = effect(y, u_rate(1.0), plain_turn.TURN_LIMIT, "deg/s")
        others = [
            effect(angle[0], angle[1], t.left_right_deg, "deg"),
            effect(lines[0], lines[1], t.left_right_mm, "mm"),
        ]
        if any(one["value"] is None for one in [rate, *others]):
            return _no_turn("too uncertain to tell")
        return {
            "rate": rate,
            "expectation": {"none": "none expected"}.get(word, word),
            "side": None if side == "open" else side,
            "opposed": plain_turn.opposed(*given),
        }

    def residuals(self):
        """Each row's mean minus the straight line."""
        t, table = self.t, self.table
        rows = list(dict.fromkeys(c.row for c in table.cells))
        if len(rows) < 3:
            return {}
        plane, found = table.plane(lambda c: True), {}
        for row in rows:
            own = [c for c in table.cells if c.row == row]
            why = plane if isinstance(plane, str) else ""
            if not why and all(c.mm is None for c in own):
                why = "not measured"
            if not why and table.why:
                why = "fewer than two rows at different chord positions"
            if why:
                found[row] = nothing(why, t.residual_mm, "mm")
                continue
            slope, mean, centre = plane
            share = table.share(lambda c, row=row: c.row == row)
            x = sum(c.x for c in own) / len(own)
            value, u, _ = table.estimate(share - mean - slope * (x - centre))
            u = max(u, table.estimate(share - mean)[1])
            found[row] = effect(value, u, t.residual_mm, "mm")
        return found

    def edge(self, spec):
        """The line set at the trailing edge, or how it moved there: (mm, u, why)."""
        plane = self.table.plane(lambda c: True)
        if isinstance(plane, str):
            return None, 0.0, plane
        if spec.trailing_edge_m is None:
            return None, 0.0, "trailing edge position not given"
        if len({c.side for c in self.table.cells if c.mm is not None}) < 2:
            return None, 0.0, TOO_FEW
        fans = [g for g in spec.groups if g.kind.value == "brake"]
        against = sum(fans[0].lengths_mm) / len(fans[0].lengths_mm) / 1000 if fans else 0.0
        slope, mean, centre = plane
        weights = mean + slope * (spec.trailing_edge_m - centre)
        found = self.table.estimate(weights, against=against)
        return (None, 0.0, found) if isinstance(found, str) else (found[0], found[1], "")


def _no_turn(why):
    return {
        "rate": nothing(why, plain_turn.TURN_LIMIT, "deg/s"),
        "expectation": "not assessed",
        "side": None,
        "opposed": False,
    }
