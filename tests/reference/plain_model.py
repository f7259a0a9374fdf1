"""One measuring as a whole, computed anew from the formulas in plain Python."""

import math
from statistics import median

from plain_angles import Angles
from plain_basics import fold, table, worst
from plain_brakes import Brakes
from plain_lines import Lines
from plain_state import Bench, Cells, Load, slope_of, speed, u_of


class State(Lines, Angles, Brakes):
    """One measuring."""

    def __init__(self, job, measuring):
        self.job, self.spec, self.m, self.t = job, job.specification, measuring, table(job)
        self.load = Load(self.spec, measuring, self.t)
        self.bench = Bench(self.spec, measuring, self.load, self.t)
        self.cells = Cells(self.spec, self.load)
        self.all = self.cells.cells
        self.blocked = (
            "measuring load differs too much from the specification's"
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
            "brake_verdict": worst(
                [
                    *(b["verdict"] for b in brakes.values()),
                    *(
                        x["verdict"]
                        for x in lines
                        if x["kind"].startswith("brake") and x["verdict"] != "not assessed"
                    ),
                ]
            ),
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
