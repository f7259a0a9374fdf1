"""Lines of one measuring, computed again from the formulas."""

import math

from plain_basics import fold
from plain_state import BANDS, SIDES, conforms, decide


class Lines:
    """Every line of one measuring, counted by row and group, and the risers."""

    def lines(self):
        """Every line of the specification."""
        found = []
        for side in SIDES:
            for group in self.spec.groups:
                kind, limit = group.kind.value, self.limit(group.name)
                level = self.level(kind, limit)
                for n, spec_mm in enumerate(group.lengths_mm, 1):
                    key = (side, group.name, n)
                    length = self.load.lengths.get(key)
                    d = None if length is None else length - spec_mm
                    own = level
                    if kind.startswith("brake") and key in self.carried.keys and not self.shares:
                        own = self.carried.shift  # as it was measured: nobody touched it
                    rel = None if d is None or own is None else d - own
                    u = None if rel is None else self.line_u(kind, key, spec_mm)
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
                            "u_mm": u,
                            "probability": conforms(rel, u, -limit, limit) if judged else None,
                            "correction_mm": by,
                            "carried": key in self.carried.keys,
                            "doubted": False,
                            "_group": group.name,
                            "_n": n,
                        }
                    )
        return found

    def rows(self, lines):
        """Rows by side and band."""
        band = self.angles.band
        found = []
        for row in self.spec.rows:
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
                            "worst_mm": next(
                                (mm for mm in rel if abs(mm) >= max(map(abs, rel)) - 1e-9), None
                            ),
                            "measured": sum(x["measured_mm"] is not None for x in chosen),
                            "specified": len(chosen),
                            "outside": sum(x["verdict"] == "fail" for x in chosen),
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
                    [(x["deviation_mm"], x["verdict"], x["probability"]) for x in own],
                )
            )
        limit = None if self.blocked else self.job.tolerances.left_right_mm
        if limit is not None:
            trim = {
                (x["side"], x["point"]): x["deviation_mm"]
                for x in lines
                if not x["kind"].startswith("brake")
            }
            u = math.sqrt(2) * math.hypot(self.bench.repeat, self.t.u_row_side_mm)
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
                            None if gap is None else conforms(gap, u, -limit, limit),
                        )
                    )
            found.append(self._count("left_right", limit, pairs))
        return found

    @staticmethod
    def _count(group, limit, pairs):
        verdicts = [v for _, v, _ in pairs]
        return {
            "group": group,
            "limit_mm": limit,
            "judged": sum(v != "not assessed" for v in verdicts),
            "outside": sum(v == "fail" for v in verdicts),
            "missing": sum(d is None for d, _, _ in pairs),
            "verdict": fold(verdicts),
            "close": sum(v.startswith("conditional") for v in verdicts),
            "least_sure": min((p for _, v, p in pairs if v == "pass"), default=None),
        }

    def riser_findings(self):
        """Every riser on both sides."""
        if not self.m.risers:
            return []
        limit, u = self.job.tolerances.riser_mm, self.t.u_riser_mm
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
                        "missing": sum(
                            getattr(own, k, None) is None and getattr(spec, k, None) is not None
                            for k in ("trim_mm", "accelerated_mm")
                        ),
                    }
                )
        return found
