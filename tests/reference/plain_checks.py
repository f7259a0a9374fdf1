"""Cloth, strength, inspection and the decision rule, computed again in plain Python."""

import math

from plain_basics import worst
from plain_state import conforms, decide, phi


def reading(job, place, value, limit, u, at_least):
    """One reading of a cloth test."""
    if limit is None:
        return {"place": place, "value": value, "verdict": "not assessed", "probability": None}
    limits = (limit, math.inf) if at_least else (-math.inf, limit)
    return {
        "place": place,
        "value": value,
        "verdict": decide(job.decision_rule, value, u, *limits),
        "probability": conforms(value, u, *limits) if u else None,
    }


def porosity(job):
    """Air through the cloth; the mean is taken in flow."""
    p = job.porosity
    if not p or not p.readings:
        return None
    seconds, values = p.unit.value == "s", [r.value for r in p.readings]
    found = [reading(job, r.place, r.value, p.limit, p.uncertainty, seconds) for r in p.readings]
    mean = len(values) / sum(1 / v for v in values) if seconds else sum(values) / len(values)
    flow = mean
    if seconds:
        known = p.volume_l is not None and p.area_cm2 is not None
        flow = 60 * p.volume_l / (p.area_cm2 / 1e4) / mean if known else None
    worst_at = (min if seconds else max)(range(len(values)), key=values.__getitem__)
    return {
        "unit": p.unit.value,
        "mean": mean,
        "mean_flow_l_m2_min": flow,
        "worst": found[worst_at],
        "readings": found,
        "limit": p.limit,
        "verdict": worst(r["verdict"] for r in found),
    }


def tear(job):
    """The tear test."""
    p = job.tear
    if not p or not p.readings:
        return None
    found = [
        reading(job, r.place, r.tear_mm, p.limit_mm, p.uncertainty_mm, False) for r in p.readings
    ]
    return {
        "worst": max(found, key=lambda r: r["value"]),
        "readings": found,
        "limit_mm": p.limit_mm,
        "verdict": worst(r["verdict"] for r in found),
    }


def strength(job):
    """Every pull."""
    found = []
    for s in job.strength:
        required = s.required_n
        if required is None and job.specification and job.wing.weight_max_kg is not None:
            first = (s.line.split() or [""])[0]
            lines = {c.name: {p.group for p in c.points} for c in job.specification.cascade}
            single = {
                f"{g.name}{n}": {g.name}
                for g in job.specification.groups
                for n in range(1, len(g.lengths_mm) + 1)
            }
            groups = lines.get(first) or single.get(first) or {first}
            for rule in job.specification.strength_rules:
                if len(groups) == 1 and groups <= set(rule.rows):
                    load = rule.times_weight * job.wing.weight_max_kg * rule.n_per_kg
                    required = max(load, rule.at_least_n) / rule.lines
                    break
        test = {
            "line": s.line,
            "load_n": s.load_n,
            "broke": s.broke,
            "required_n": s.required_n,
            "side": s.side.value if s.side else None,
            "uncertainty_n": s.uncertainty_n,
            "done_by": s.done_by,
            "remark": s.remark,
        }
        verdict, why = "not assessed", "no limit given"
        if required is not None:
            verdict, why = (
                decide(job.decision_rule, s.load_n, s.uncertainty_n, required, math.inf),
                "",
            )
            if verdict.endswith("fail") and not s.broke:
                verdict, why = "not assessed", "held at less than the required load"
        found.append(
            {
                "test": test,
                "required_n": required,
                "margin_n": None if required is None else s.load_n - required,
                "verdict": verdict,
                "why_not": why,
            }
        )
    return found


def counting(pulls):
    """Without those that ended early of lines that held in another pull."""
    held = {_which(p) for p in pulls if p["verdict"] in ("pass", "conditional pass")}
    early = "held at less than the required load"
    return [p for p in pulls if p["why_not"] != early or _which(p) not in held]


def _which(pull):
    return pull["test"]["line"].casefold(), pull["test"]["side"]


def inspection(job):
    """What the eye found, as one verdict."""
    seen = {i.condition.value for i in job.inspection} - {"not checked"}
    if not seen:
        return "not assessed"
    return "fail" if "damaged" in seen else "conditional pass" if "worn" in seen else "pass"


def decision(job, states, cloth, pulls):
    """The rule and its risk."""
    rule = job.decision_rule
    kind = rule.acceptance.value
    risk = {"simple": 0.5, "guarded": phi(-rule.value), "probability": 1 - rule.value}[kind]
    judged, risers = [], []
    # What the report shows as passed, of both measurings.
    for when in ("before", "after"):
        if state := states[when]:
            judged += [("pass", c["least_sure"]) for c in state["tolerances"]]
            judged += [(x["verdict"], x["probability"]) for x in state["brakes"].values()]
            risers += state["risers"]
    for r in risers:
        for mm in (r["trim_mm"], r["accelerated_mm"]):
            if mm is not None and r["tolerance_mm"] is not None:
                limit = r["tolerance_mm"]
                judged.append((r["verdict"], conforms(mm, r["u_mm"], -limit, limit)))
    for test in cloth.values():
        judged += [(x["verdict"], x["probability"]) for x in (test["readings"] if test else ())]
    for p in pulls:
        u, required = p["test"]["uncertainty_n"], p["required_n"]
        held = conforms(p["test"]["load_n"], u, required, math.inf) if u and required else None
        judged.append((p["verdict"], held))
    passed = [1 - p for v, p in judged if v == "pass" and p is not None]
    simple = []
    if kind != "simple":
        if cloth["porosity"] and job.porosity.limit and job.porosity.uncertainty is None:
            simple.append("porosity")
        if cloth["tear"] and job.tear.limit_mm and job.tear.uncertainty_mm is None:
            simple.append("tear")
        if any(p["required_n"] is not None and p["test"]["uncertainty_n"] is None for p in pulls):
            simple.append("strength")
    return {
        "rule": {"acceptance": kind, "value": rule.value},
        "false_acceptance": risk,
        "worst_accepted": max(passed, default=None),
        "simple_for": simple,
    }
