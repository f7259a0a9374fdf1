"""Brakes of one measuring, computed again from the formulas."""

import math

from plain_basics import worst
from plain_state import SIDES, conforms, decide, effect, nothing


def travel_difference(brakes, t):
    """Right minus left free travel, where both were read."""
    return read_apart(brakes.get("left"), brakes.get("right"), t)


def read_apart(first, last, t):
    """The free travel of one brake less that of another one, or less its own the other time."""
    read = [b["free_travel_mm"] if b and not b["estimated"] else None for b in (first, last)]
    if None in read:
        return nothing("not measured", t.brake_mm, "mm")
    return effect(read[1] - read[0], t.u_brake_mm * math.sqrt(2), t.brake_mm, "mm")


class Brakes:
    """The brakes of one measuring, against the line set."""

    def brake(self, side):
        """One brake's mean, shortest and count of lines."""

        def deviations(kind):
            groups = [g for g in self.spec.groups if g.kind.value == kind]
            of = sum(len(g.lengths_mm) for g in groups)
            known = [
                self.load.lengths[side, g.name, n] - mm
                for g in groups
                for n, mm in enumerate(g.lengths_mm, 1)
                if (side, g.name, n) in self.load.lengths
            ]
            return known, of

        fan, of = deviations("brake")
        main, _ = deviations("brake_main")
        by_fan = fan and len(fan) >= self.t.min_station_share * of
        judged = fan if by_fan else main
        self.judged_kind = "brake" if by_fan else "brake_main"
        groups = [g for g in self.spec.groups if g.kind.value == self.judged_kind]
        lengths = [mm for g in groups for mm in g.lengths_mm]
        self.long = sum(lengths) / len(lengths) / 1000 if lengths else 0.0
        mean = sum(judged) / len(judged) if judged else None
        return mean, min(fan, default=None), len(judged)

    def travel(self, side):
        """Free travel against the specification's."""
        mean, _, _ = self.brake(side)
        t = self.t
        if mean is None:
            return nothing("not measured", t.brake_mm, "mm")
        at, u, why = self.edge
        if at is None:
            return nothing(why, t.brake_mm, "mm")
        return effect(mean - at, math.hypot(t.u_brake_mm, u), t.brake_mm, "mm")

    def brakes(self, lines):
        """Both brakes; each is as good as the worst of its mean and of its lines."""
        specified = any(g.kind.value.startswith("brake") for g in self.spec.groups)
        free = {s.value: mm for s, mm in self.m.free_travel_mm.items()}
        if not specified and not free:
            return {}
        found = {}
        kinds = {g.name: g.kind.value for g in self.spec.groups}
        for side in SIDES:
            mean, shortest, count = self.brake(side)
            long, edge = self.long, self.edge[0]
            travel, limit = self.travel(side), self.limit("brake")
            measured, estimated = free.get(side), False
            base = self.spec.brake_free_travel_mm
            if measured is None and base is not None and mean is not None and edge is not None:
                first = mean if shortest is None else min(mean, shortest)
                measured, estimated = base + first - edge, True
            own = [x for x in lines if x["kind"].startswith("brake") and x["side"] == side]
            like = [x["relative_mm"] for x in own if x["kind"] == self.judged_kind]
            like = [mm for mm in like if mm is not None]
            rel = sum(like) / len(like) if like else None
            over = any(
                key[0] == side and kinds[key[1]].startswith("brake") for key in self.carried.keys
            )
            u = self.brake_u(long, max(count, 1), over)
            judged = rel is not None and limit is not None
            of_mean = decide(self.job.decision_rule, rel, u, -limit, limit) if judged else None
            of_lines = [x["verdict"] for x in own if x["verdict"] != "not assessed"]
            apart = [x["relative_mm"] for x in own if x["relative_mm"] is not None]
            found[side] = {
                "side": side,
                "mean_mm": mean,
                "shortest_mm": shortest,
                "line_set_mm": edge,
                "travel_change": travel,
                "free_travel_mm": measured,
                "estimated": estimated,
                "below_minimum": None
                if measured is None
                else measured < self.t.brake_free_travel_min_mm,
                "relative_mm": rel,
                "tolerance_mm": limit,
                "verdict": worst([of_mean or "not assessed", *of_lines]),
                "u_mm": None if rel is None else u,
                "probability": conforms(rel, u, -limit, limit) if judged else None,
                "furthest_mm": max(apart, key=abs, default=None),
                "free_travel_u_mm": math.hypot(self.t.u_brake_mm, self.edge[1])
                if estimated
                else None,
                "from_reading": False,
                "by_main": mean is not None
                and self.judged_kind == "brake_main"
                and "brake" in kinds.values(),
            }
        return found

    def brake_difference(self):
        """Right minus left brake."""
        t = self.t
        found, kinds = [], set()
        for side in SIDES:
            found.append(self.brake(side))
            kinds.add(self.judged_kind)
        (left, _, n), (right, _, m) = found
        unlike = left is None or right is None or len(kinds) > 1  # a fan, and a main line
        why = self.blocked or ("not measured" if unlike else "")
        if why:
            return nothing(why, t.left_right_mm, "mm")
        u = math.sqrt(2 * (self.bench.repeat**2 / min(n, m) + t.u_row_side_mm**2))
        return effect(right - left, u, t.left_right_mm, "mm")
