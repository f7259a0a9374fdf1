"""All findings of a job but its doubts, computed anew from the formulas in plain Python."""

import math
from statistics import median

from plain_state import (
    BANDS,
    SIDES,
    Bench,
    Cells,
    Load,
    conforms,
    decide,
    degrees,
    effect,
    nothing,
    phi,
    slope_of,
    speed,
    u_of,
)

from trimscribe.model.thresholds import Thresholds

ORDER = ("fail", "conditional fail", "not assessed", "conditional pass", "pass")


def worst(verdicts):
    """The worst of several; what was not assessed outweighs a pass."""
    present = set(verdicts)
    return next((v for v in ORDER if v in present), "not assessed")


def fold(verdicts):
    """The worst of those that were assessed."""
    return worst(v for v in verdicts if v != "not assessed")


def table(job):
    """The thresholds of a job."""
    return Thresholds().with_overrides(job.thresholds)


class State:
    """One measuring."""

    def __init__(self, job, measuring):
        self.job, self.spec, self.m, self.t = job, job.specification, measuring, table(job)
        self.load = Load(self.spec, measuring, self.t)
        self.bench = Bench(self.spec, measuring, self.load, self.t)
        self.cells = Cells(self.spec, self.load)
        self.all = self.cells.cells
        self.blocked = (
            "measuring load differs from the specification's by more than 10 %"
            if self.load.verdict == "fail"
            else ""
        )
        self.line = slope_of(self.all, self.t, self.blocked)
        self.offset = self._offset()
        self.edge = self._edge()

    def limit(self, group):
        """The tolerance of a group."""
        tol = self.job.tolerances
        if self.blocked:
            return None
        if group == "brake_main" and group not in tol.groups:
            group = "brake"
        return tol.groups.get(group, tol.default_mm)

    def _offset(self):
        known = [c for c in self.all if c["d"] is not None]
        method, row = self.job.offset_method.value, self.job.offset_row
        if not known:
            return None
        values = [c["d"] for c in known]
        mean, middle = sum(values) / len(values), median(values)
        used, line = known, self.bench.line
        value = {"mean": mean, "median": middle, "none": 0.0}.get(method)
        if method == "row":
            used = [c for c in known if c["row"] == row]
            if not used:
                return None
            value = sum(c["d"] for c in used) / len(used)
        if method == "median":
            line *= math.sqrt(math.pi / 2)
        u = 0.0
        if method != "none":
            share = {id(c): 1 / len(used) for c in used}
            u = u_of(share, self.all, line, self.bench.row, self.bench.scale)
        return {
            "value_mm": value,
            "method": method,
            "row": row,
            "mean_mm": mean,
            "median_mm": middle,
            "u_mm": u,
        }

    def _edge(self):
        fans = [g for g in self.spec.groups if g.kind.value == "brake"]
        against = sum(fans[0].lengths_mm) / len(fans[0].lengths_mm) / 1000 if fans else 0.0
        if isinstance(self.line, str):
            return {"mm": None, "u": 0.0, "why": self.line}
        x = self.spec.trailing_edge_m
        if x is None:
            return {"mm": None, "u": 0.0, "why": "trailing edge position not given"}
        arm = x - self.line["x"]
        n = len(self.line["used"])
        weights = {id(c): 1 / n + self.line["w"][id(c)] * arm for c in self.line["used"]}
        u = u_of(
            weights, self.all, self.bench.line, self.bench.row, self.bench.scale, against=against
        )
        return {"mm": self.line["mean"] + self.line["slope"] * arm, "u": u, "why": ""}

    def level(self, kind):
        """What lines of a kind are held against, in mm."""
        if kind.startswith("brake") and self.edge["mm"] is not None:
            return self.edge["mm"]
        return None if self.offset is None else self.offset["value_mm"]

    def lines(self):
        """Every line of the specification."""
        found = []
        for side in SIDES:
            for group in self.spec.groups:
                kind, limit = group.kind.value, self.limit(group.name)
                u = math.hypot(self.bench.line, self.bench.correction)
                if kind.startswith("brake"):
                    u = math.hypot(u, self.edge["u"])
                for n, spec_mm in enumerate(group.lengths_mm, 1):
                    key = (side, group.name, n)
                    length, level = self.load.lengths.get(key), self.level(kind)
                    d = None if length is None else length - spec_mm
                    rel = None if d is None or level is None else d - level
                    judged = rel is not None and limit is not None
                    by = self.load.by.get(key, 0.0)
                    found.append(
                        {
                            "side": side,
                            "point": f"{group.name}{n}",
                            "kind": kind,
                            "specified_mm": spec_mm,
                            "measured_mm": None if length is None else length - by,
                            "deviation_mm": d,
                            "relative_mm": rel,
                            "tolerance_mm": limit,
                            "verdict": decide(self.job.decision_rule, rel, u, -limit, limit)
                            if judged
                            else "not assessed",
                            "u_mm": None if rel is None else u,
                            "probability": conforms(rel, u, -limit, limit) if judged else None,
                            "correction_mm": by,
                            "_group": group.name,
                            "_n": n,
                        }
                    )
        return found

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
        judged = fan if fan and len(fan) >= self.t.min_station_share * of else main
        mean = sum(judged) / len(judged) if judged else None
        return mean, min(fan, default=None), len(judged)

    def travel(self, side):
        """Free travel against the specification's."""
        mean, _, _ = self.brake(side)
        t = self.t
        if mean is None:
            return nothing("not measured", t.brake_mm, "mm")
        if self.edge["mm"] is None:
            return nothing(self.edge["why"], t.brake_mm, "mm")
        return effect(mean - self.edge["mm"], max(t.u_brake_mm, self.edge["u"]), t.brake_mm, "mm")

    def brakes(self):
        """Both brakes."""
        specified = any(g.kind.value.startswith("brake") for g in self.spec.groups)
        free = {s.value: mm for s, mm in self.m.free_travel_mm.items()}
        if not specified and not free:
            return {}
        found = {}
        for side in SIDES:
            mean, shortest, count = self.brake(side)
            travel, limit = self.travel(side), self.limit("brake")
            measured, estimated = free.get(side), False
            base = self.spec.brake_free_travel_mm
            if measured is None and base is not None and travel["value"] is not None:
                measured, estimated = base + travel["value"], True
            level = self.level("brake")
            rel = None if mean is None or level is None else mean - level
            u = math.hypot(self.bench.line / math.sqrt(count), self.edge["u"]) if count else 0.0
            judged = rel is not None and limit is not None
            found[side] = {
                "side": side,
                "mean_mm": mean,
                "shortest_mm": shortest,
                "line_set_mm": self.edge["mm"],
                "travel_change": travel,
                "free_travel_mm": measured,
                "estimated": estimated,
                "below_minimum": None
                if measured is None
                else measured < self.t.brake_free_travel_min_mm,
                "relative_mm": rel,
                "tolerance_mm": limit,
                "verdict": decide(self.job.decision_rule, rel, u, -limit, limit)
                if judged
                else "not assessed",
                "u_mm": None if mean is None else u,
                "probability": conforms(rel, u, -limit, limit) if judged and u else None,
            }
        return found

    def brake_difference(self):
        """Right minus left brake."""
        t = self.t
        (left, _, n), (right, _, m) = (self.brake(s) for s in SIDES)
        why = self.blocked or ("not measured" if left is None or right is None else "")
        if why:
            return nothing(why, t.left_right_mm, "mm")
        u = math.sqrt(2 * (self.bench.line_less_rounding**2 / min(n, m) + t.u_row_side_mm**2))
        return effect(right - left, u, t.left_right_mm, "mm")

    def rows(self, lines):
        """Rows by side and band."""
        band = {(c["row"], c["n"]): c["band"] for c in self.all}
        found = []
        for row in self.cells.rows:
            for side in (None, *SIDES):
                for part in (None, *BANDS):
                    chosen = [
                        x
                        for x in lines
                        if x["_group"] == row.name
                        and side in (None, x["side"])
                        and part in (None, band[row.name, x["_n"]])
                    ]
                    rel = [x["relative_mm"] for x in chosen if x["relative_mm"] is not None]
                    found.append(
                        {
                            "row": row.name,
                            "side": side,
                            "band": part,
                            "mean_mm": sum(rel) / len(rel) if rel else None,
                            "worst_mm": max(rel, key=abs, default=None),
                            "measured": sum(x["measured_mm"] is not None for x in chosen),
                            "specified": len(chosen),
                            "outside": sum(x["verdict"].endswith("fail") for x in chosen),
                            "verdict": fold(x["verdict"] for x in chosen),
                        }
                    )
        return found

    def tolerances(self, lines):
        """Counts per group, and between the sides where a limit is set."""
        found = []
        for group in self.spec.groups:
            own = [x for x in lines if x["_group"] == group.name]
            found.append(
                self._count(
                    group.name,
                    self.limit(group.name),
                    [(x["deviation_mm"], x["verdict"]) for x in own],
                )
            )
        limit = None if self.blocked else self.job.tolerances.left_right_mm
        if limit is not None:
            trim = {
                (x["side"], x["point"]): x["deviation_mm"]
                for x in lines
                if not x["kind"].startswith("brake")
            }
            u = math.sqrt(2) * self.bench.line_less_rounding
            pairs = []
            for (side, point), d in trim.items():
                if side == "left":
                    e = trim["right", point]
                    gap = None if d is None or e is None else e - d
                    pairs.append(
                        (
                            gap,
                            "not assessed"
                            if gap is None
                            else decide(self.job.decision_rule, gap, u, -limit, limit),
                        )
                    )
            found.append(self._count("left_right", limit, pairs))
        return found

    @staticmethod
    def _count(group, limit, pairs):
        verdicts = [v for _, v in pairs]
        return {
            "group": group,
            "limit_mm": limit,
            "judged": sum(v != "not assessed" for v in verdicts),
            "outside": sum(v.endswith("fail") for v in verdicts),
            "missing": sum(d is None for d, _ in pairs),
            "verdict": fold(verdicts),
            "close": sum(v.startswith("conditional") for v in verdicts),
        }

    def risers(self):
        """Every riser on both sides."""
        if not self.m.risers:
            return []
        limit, u = self.job.tolerances.riser_mm, self.bench.line
        names = list(dict.fromkeys([*self.spec.risers, *sorted(n for _, n in self.m.risers)]))
        measured = {(s.value, n): r for (s, n), r in self.m.risers.items()}
        found = []
        for side in SIDES:
            for name in names:
                spec, own = self.spec.risers.get(name), measured.get((side, name))
                gaps = [
                    None
                    if None in (a := getattr(own, k, None), b := getattr(spec, k, None))
                    else a - b
                    for k in ("trim_mm", "accelerated_mm")
                ]
                verdicts = [
                    "not assessed"
                    if g is None or limit is None
                    else decide(self.job.decision_rule, g, u, -limit, limit)
                    for g in gaps
                ]
                found.append(
                    {
                        "side": side,
                        "name": name,
                        "trim_mm": gaps[0],
                        "accelerated_mm": gaps[1],
                        "tolerance_mm": limit,
                        "verdict": fold(verdicts),
                        "u_mm": u,
                    }
                )
        return found

    def plain(self):
        """The whole state, as the findings have it."""
        lines, pitch, brakes = self.lines(), self.pitch(), self.brakes()
        tolerances, risers = self.tolerances(lines), self.risers()
        between = [c["verdict"] for c in tolerances if c["group"] == "left_right"]
        load = self.load
        return {
            "offset": self.offset,
            "lines": [{k: v for k, v in x.items() if k[0] != "_"} for x in lines],
            "rows": self.rows(lines),
            "tolerances": tolerances,
            "verdict": fold(
                [*(x["verdict"] for x in lines if not x["kind"].startswith("brake")), *between]
            ),
            "brake_verdict": worst(b["verdict"] for b in brakes.values()),
            "pitch": pitch,
            "symmetry": self.symmetry(),
            "residuals": self.residuals(),
            "brakes": brakes,
            "brake_difference": self.brake_difference(),
            "speed": speed(pitch["effective"], self.job.wing.trim_speed_km_h, self.t),
            "risers": risers,
            "riser_verdict": fold(r["verdict"] for r in risers),
            "comparable_load": load.verdict,
            "budget": self.bench.budget,
            "line_u_mm": math.hypot(self.bench.line, self.bench.correction),
            "correction": {
                "from_n": load.from_n,
                "to_n": load.tension,
                "largest_mm": load.largest,
                "u_mm": load.u,
            }
            if load.by
            else None,
        }


__all__ = ["State", "fold", "phi", "table", "worst"]
