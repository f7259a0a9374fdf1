"""What loops promise against what was measured, computed anew in plain Python."""

import math
from statistics import median

from plain_basics import table
from plain_model import State


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
        value = limit = None
        if own:
            alike = max(own) - min(own) <= 4 * math.sqrt(2) * u
            value = (sum(own) / len(own) if alike else median(own)) - shift
            if comparable:
                chance = 4 * math.sqrt(2 / len(own)) * u * (1 if alike else 1.25)
                limit = max(t.doubt_group_mm, chance)
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
