"""What changed, the work, the other checks and the decision rule: computed anew in plain Python."""

import math
from dataclasses import replace
from statistics import median

from plain_model import State, fold, table, worst
from plain_state import (
    BANDS,
    SIDES,
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

WRONG_LOAD = "measuring load differs from the specification's by more than 10 %"


def plain_findings(job):
    """All findings of a job but its doubts, shaped like the JSON of `trimscribe findings`."""
    both = {"before": None, "after": None}
    if job.specification is not None:
        both = {
            w: State(job, m) if m else None
            for w, m in (("before", job.before), ("after", job.after))
        }
    states = {when: state.plain() if state else None for when, state in both.items()}
    change = None
    if both["before"] and both["after"]:
        change = change_of(job, states)
    cloth = {"porosity": porosity(job), "tear": tear(job)}
    pulls = strength(job)
    return {
        **states,
        "change": change,
        "ledger": ledger(job),
        **cloth,
        "strength": pulls,
        "strength_verdict": worst(p["verdict"] for p in pulls),
        "cloth_verdict": worst(c["verdict"] for c in cloth.values() if c),
        "inspection_verdict": inspection(job),
        "defects": [
            {"part": i.part, "condition": i.condition.value, "remark": i.remark}
            for i in job.inspection
            if i.condition.value in ("worn", "damaged")
        ],
        "decision": decision(job, states, cloth, pulls),
    }


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


def ledger(job):
    """What loops promise against what was measured."""
    spec, t, found = job.specification, table(job), []
    work = [(a, promise(job, a), moved_by(job, a)) for a in job.adjustments]
    measured = bool(spec and job.before and job.after)
    if measured:
        one, two = (State(job, m).load for m in (job.before, job.after))
        gaps = {k: two.lengths[k] - one.lengths[k] for k in one.lengths.keys() & two.lengths.keys()}
        comparable = None in (one.tension, two.tension) or abs(
            two.tension - one.tension
        ) <= t.load_ratio * one.tension * (1 + 1e-12)
        us = [
            m.uncertainty_mm if m.uncertainty_mm is not None else t.u_instrument_mm
            for m in (job.before, job.after)
        ]
        u = math.sqrt((us[0] ** 2 + us[1] ** 2) / 2)
        trim = {g.name for g in spec.groups if g.kind.value in ("row", "stabilo")}
        touched = {k for _, _, (keys, _) in work for k in keys}
        untouched = [mm for k, mm in gaps.items() if k[1] in trim and k not in touched]
        if len(untouched) >= 5:
            shift = median(untouched)
        else:
            rest = [left_over(k, mm, work) for k, mm in gaps.items() if k[1] in trim]
            known = [mm for mm in rest if mm is not None]
            shift = median(known) if known else 0.0
    for item in work:
        a, expected, (keys, itself) = item
        own = []
        if measured:
            others = [w for w in work if w is not item]
            chosen = [k for k in keys if k in gaps] or [k for k in itself if k in gaps]
            own = [mm for k in chosen if (mm := left_over(k, gaps[k], others)) is not None]
        value = median(own) - shift if own else None
        limit = None
        if own and comparable:
            limit = max(t.doubt_group_mm, 3.5 * 1.25 * math.sqrt(2) * u / math.sqrt(len(own)))
        verdict = "not assessed"
        if value is not None and expected is not None and limit is not None:
            verdict = "pass" if abs(value - expected) <= limit + 1e-9 else "fail"
        found.append(
            {
                "line": a.line,
                "side": a.side.value,
                "loop_before": a.loop_before,
                "loop_after": a.loop_after,
                "expected_mm": expected,
                "measured_mm": value,
                "points": len(own),
                "limit_mm": limit,
                "verdict": verdict,
                "remark": a.remark,
            }
        )
    return found


def left_over(key, mm, work):
    """A point's change less what the work promises there; None when a promise is unknown."""
    promises = [p for _, p, (keys, _) in work if key in keys]
    return None if None in promises else mm - sum(promises)


def promise(job, a):
    """The take-up before minus that after."""
    if a.change_mm is not None:
        return a.change_mm
    tables = job.loops.take_up_mm
    name = a.maillon or (next(iter(tables)) if len(tables) == 1 else "")
    take_up = tables.get(name, {})
    if a.loop_before not in take_up or a.loop_after not in take_up:
        return None
    return take_up[a.loop_before] - take_up[a.loop_after]


def moved_by(job, a):
    """The points that an adjusted line moves, and itself if it is the main brake line."""
    if job.specification is None:
        return set(), set()
    side, groups = a.side.value, job.specification.groups
    main = {
        (side, g.name, n)
        for g in groups
        if g.kind.value == "brake_main" and g.name == a.line
        for n in range(1, len(g.lengths_mm) + 1)
    }
    for line in job.specification.cascade:
        if line.name == a.line:
            return {(side, p.group, p.number) for p in line.points}, main
    if a.line == "brake_main" or main:
        fan = {
            (side, g.name, n)
            for g in groups
            if g.kind.value == "brake"
            for n in range(1, len(g.lengths_mm) + 1)
        }
        return fan or main, main
    return {
        (side, g.name, n)
        for g in groups
        for n in range(1, len(g.lengths_mm) + 1)
        if f"{g.name}{n}" == a.line
    }, main


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
    now = states["after"] or states["before"]
    judged = []
    if now:
        judged += [(x["verdict"], x["probability"]) for x in now["lines"]]
        judged += [(x["verdict"], x["probability"]) for x in now["brakes"].values()]
        for r in now["risers"]:
            for mm in (r["trim_mm"], r["accelerated_mm"]):
                if mm is not None and r["tolerance_mm"] is not None:
                    limit = r["tolerance_mm"]
                    judged.append((r["verdict"], conforms(mm, r["u_mm"], -limit, limit)))
    for test in cloth.values():
        judged += [(x["verdict"], x["probability"]) for x in (test["readings"] if test else ())]
    passed = [1 - p for v, p in judged if v == "pass" and p is not None]
    simple = []
    if kind != "simple":
        if (cloth["porosity"] and job.porosity.uncertainty is None) or (
            cloth["tear"] and job.tear.uncertainty_mm is None
        ):
            simple.append("cloth")
        if any(p["required_n"] is not None and p["test"]["uncertainty_n"] is None for p in pulls):
            simple.append("strength")
    return {
        "rule": {"acceptance": kind, "value": rule.value},
        "false_acceptance": risk,
        "worst_accepted": max(passed, default=None),
        "simple_for": simple,
    }


__all__ = ["fold", "plain_findings"]
