"""What changed between two measurings, computed again in plain Python."""

import math
from statistics import NormalDist

import numpy as np
from plain_angles import Angles
from plain_basics import table
from plain_brakes import read_apart, travel_difference
from plain_cells import SIDE_ONCE
from plain_ledger import moved_by
from plain_model import WRONG_LOAD, occasion
from plain_state import BANDS, SIDES, effect, nothing, repeat, speed
from plain_table import Errors, Table, each_line, each_row, each_row_and_side, errors
from plain_work import exchanged_risers


def change_of(job, both, states):
    """After minus before, over lines measured both times; those carried over did not change."""
    first, last = both["before"], both["after"]
    t, spec = table(job), job.specification
    angles = _angles(job, first, last, t)
    apart = [c.mm for c in angles.table.cells if c.mm is not None]
    shared = sum(apart) / len(apart) if apart else 0.0
    pitch, symmetry = angles.pitch(), angles.symmetry()
    lines = {
        (s, g.name, n): last.load.lengths[s, g.name, n] - first.load.lengths[s, g.name, n]
        for s in SIDES
        for g in spec.groups
        for n in range(1, len(g.lengths_mm) + 1)
        if (s, g.name, n) in last.load.lengths
        and (s, g.name, n) in first.load.lengths
        and (s, g.name, n) not in last.carried.keys
    }
    rows = {}
    for r in spec.rows:
        own = [mm for (_, g, _), mm in lines.items() if g == r.name]
        if own:
            rows[r.name] = sum(own) / len(own)
    offsets = [states[w]["offset"] for w in ("before", "after")]
    beyond = any(
        (a := states[w]["pitch"]["effective"]["value"]) is not None and abs(a) > t.pitch_valid_deg
        for w in ("before", "after")
    )
    return {
        "offset_mm": None if None in offsets else offsets[1]["value_mm"] - offsets[0]["value_mm"],
        "pitch": pitch["wing"],
        "bands": {b: pitch["bands"][b] for b in BANDS},
        "twist": pitch["twist"],
        "symmetry_angle": symmetry["angle"],
        "all_lines": symmetry["all_lines"],
        "turn": symmetry["turn"],
        "rows_mm": rows,
        "lines_mm": {f"{s} {g}{n}": mm for (s, g, n), mm in lines.items()},
        "brakes": {
            side: found
            if found["value"] is not None
            or (read := read_apart(*(states[w]["brakes"].get(side) for w in states), t))["value"]
            is None
            else read
            for side, found in _brakes(first, last, angles.edge(spec), t)[0].items()
        },
        "brake_lines_mm": {
            side: mm - shared for side, mm in _brakes(first, last, angles.edge(spec), t)[1].items()
        },
        "speed": speed(pitch["effective"], job.wing.trim_speed_km_h, t, beyond),
        "effective": pitch["effective"],
        "chance_mm": largest_by_chance(job, len(lines), t),
        "_lines": lines,
    }


def largest_by_chance(job, lines, t):
    """What the largest of so many changes is beyond in one wing of twenty that nobody touched."""
    if not lines:
        return None
    scatter = (repeat(job.before, t) ** 2 + repeat(job.after, t) ** 2) / 2 + SIDE_ONCE**2
    return NormalDist().inv_cdf(1 - 0.05 / lines / 2) * math.sqrt(2 * scatter)


def carry_travel_over(states, change, t):
    """Free travel measured at one time only, for the other: with what each brake gained between."""
    read = {
        when: {
            side: brake["free_travel_mm"]
            for side, brake in states[when]["brakes"].items()
            if brake["free_travel_mm"] is not None and not brake["estimated"]
        }
        for when in ("before", "after")
    }
    for when, other, sign in (("after", "before", 1), ("before", "after", -1)):
        for side, brake in states[when]["brakes"].items():
            gained = change["brakes"][side]
            if side in read[when] or side not in read[other] or gained["value"] is None:
                continue
            free = read[other][side] + sign * gained["value"]
            brake.update(
                free_travel_mm=free,
                estimated=True,
                below_minimum=free < t.brake_free_travel_min_mm,
                free_travel_u_mm=math.hypot(t.u_brake_mm, gained["u"]),
                from_reading=True,
            )


def keep_travel_as_read(states, change, job, t):
    """Of a wing that nobody worked on, what was read as it came."""
    if job.adjustments or job.replacements:
        return
    for side, now in states["after"]["brakes"].items():
        had, gained = states["before"]["brakes"].get(side), change["brakes"][side]
        if had is None or had["free_travel_mm"] is None or had["estimated"]:
            continue
        if now["free_travel_mm"] is not None and not now["estimated"]:
            continue
        mm = gained["value"]
        if mm is not None and abs(mm) > 2 * math.hypot(t.u_brake_mm, gained["u"]):
            continue
        now.update(
            free_travel_mm=had["free_travel_mm"],
            estimated=False,
            below_minimum=had["below_minimum"],
            free_travel_u_mm=None,
            from_reading=True,
        )
    states["after"]["travel_difference"] = travel_difference(states["after"]["brakes"], t)


def _angles(job, first, last, t):
    """Angles of the changes (section 2), risers where one was exchanged (section 6)."""
    carried, cells = last.carried, []
    swapped = exchanged_risers(job) and not job.specification.includes_risers
    for old, new in zip(first.cells, last.cells, strict=True):
        mm = None
        if old.mm is not None and new.mm is not None:
            mm = new.mm - old.mm
            if carried.moved is not None:
                moved = (new.side, new.row, new.station) in carried.moved
                mm = mm - carried.shift if moved else 0.0
            if swapped:
                key = new.side, new.row
                mm += last.risers.rho.get(key, 0.0) - first.risers.rho.get(key, 0.0)
        cells.append(new._replace(mm=mm))
    one, two = first.load.tension, last.load.tension
    apart = None not in (one, two) and abs(two - one) > t.load_ratio * one * (1 + 1e-12)
    blocked = WRONG_LOAD if apart or "fail" in (first.load.verdict, last.load.verdict) else ""
    blocked = blocked or _not_seen(job, first, last)
    every = {(c.side, c.row, c.station) for c in cells}
    moved = every if carried.moved is None else carried.moved
    line = math.hypot(first.bench.repeat, last.bench.repeat)
    own = [line if (c.side, c.row, c.station) in moved else 0.0 for c in cells]
    load = last.bench.correction - first.bench.correction
    parts = [(own, each_line), (load, each_row)]
    if swapped:
        ends = (first.risers, last.risers)
        parts.append((np.hypot(*(r.alike(cells) for r in ends)), each_row))
        parts.append((np.hypot(*(r.own(cells) for r in ends)), each_row_and_side))
    tie = carried.u if carried.moved is not None else 0.0
    error = errors(cells, parts, 0.0)
    error = Errors(error.matrix + occasion(cells, moved, tie, t), 0.0)
    lean = job.specification.lean_deg
    return Angles(Table(cells, error, t, blocked), error, lean, first.wing)


def _not_seen(job, first, last):
    """Why lines measured both times do not say what the work did to the wing, or nothing.

    They must be tied to the rest, and show something of each row line that was worked on.
    """
    then, now = first.load.lengths.keys(), last.load.lengths.keys()
    both = then & now
    rows = {g.name for g in job.specification.rows}
    part = any(key[1] in rows for key in then - now)
    if job.adjustments and part and last.carried.untied:
        return last.carried.untied
    for adjustment in job.adjustments:
        keys, _ = moved_by(job, adjustment)
        if any(row in rows for _, row, _ in keys) and not keys & both:
            return "not measured"
    return ""


def _brakes(first, last, edge, t):
    """How much free travel each brake gained, from lines known both times; how its lines moved."""
    both = first.load.lengths.keys() & last.load.lengths.keys()
    kept = first.load.lengths, last.load.lengths
    first.load.lengths, last.load.lengths = ({k: x[k] for k in both} for x in kept)
    found, moves = {}, {}
    for side in SIDES:
        had, has = first.brake(side)[0], last.brake(side)[0]
        at, u, why = edge
        if had is not None and has is not None:
            moves[side] = has - had - last.carried.shift
        if had is None or has is None or at is None:
            found[side] = nothing(why or "not measured", t.brake_mm, "mm")
        else:
            found[side] = effect(moves[side] - at, math.hypot(t.u_brake_mm, u), t.brake_mm, "mm")
    first.load.lengths, last.load.lengths = kept
    return found, moves
