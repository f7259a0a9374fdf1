"""What loops promise against what was measured, computed again (our own study, section 3)."""

import math
from statistics import fmean, median

import plain_shift
from plain_basics import table
from plain_state import Load, repeat

TRIM = ("row", "stabilo")
NOT = "not assessed"


def ledger(job, change):
    """(entries, all together): what loops promise against what was measured."""
    if not job.adjustments:
        return [], None
    work = [(a, promise(job, a), *moved_by(job, a)) for a in job.adjustments]
    book = Book(job, change, work)
    together = book.together() if book.compares else None
    entries = [book.entry(item) for item in work]
    trim = [book.is_trim(item) for item in work]
    failed = any(e["verdict"] == "fail" for e, own in zip(entries, trim, strict=True) if own)
    if together and together["verdict"] == "fail" and not failed:
        # All fall short together: which of them moved as planned is not known.
        for entry, own in zip(entries, trim, strict=True):
            if own and entry["verdict"] == "pass":
                entry["verdict"] = NOT
    return entries, together


class Book:
    """Work beside what was measured of it."""

    def __init__(self, job, change, work):
        self.work, self.compares, self.moved, self.alike = work, False, {}, False
        self.shift, self.u, self.repeat = None, 0.0, 0.0
        spec, t = job.specification, table(job)
        if change is None:
            self.trim = set()
            return
        self.trim = {g.name for g in spec.groups if g.kind.value in TRIM}
        one, two = (Load(spec, m, t).tension for m in (job.before, job.after))
        known = None not in (one, two)
        near = known and abs(two - one) <= t.load_ratio * one * (1 + 1e-12)
        if known and not near:
            return
        self.compares = True
        self.moved = change["_lines"]
        self.repeat = math.sqrt((repeat(job.before, t) ** 2 + repeat(job.after, t) ** 2) / 2)
        touched = {k for _, _, keys, _ in work for k in keys}
        untouched = [mm for k, mm in self.moved.items() if k[1] in self.trim and k not in touched]
        self.untouched = len(untouched)
        first, last = job.before, job.after
        self.alike = bool(
            near
            and first.instrument
            and (first.instrument, first.method) == (last.instrument, last.method)
        )
        same = self.alike and first.date is not None and first.date == last.date
        if found := plain_shift.shift(untouched, same, self.repeat):
            self.shift, self.u = found
            if self.untouched < plain_shift.LEAST_UNTOUCHED and last.session_mm is not None:
                self.u = last.session_mm

    def is_trim(self, item):
        """A line of the rows or the stabilo."""
        return any(k[1] in self.trim for k in item[2])

    def own(self, item, gaps=False):
        """What each point of a line moved, less other work on the way (and its own, for gaps)."""
        keys = [k for k in item[2] if k in self.moved] or [k for k in item[3] if k in self.moved]
        others = [w for w in self.work if gaps or w is not item]
        found = {k: left_over(k, self.moved[k], others) for k in sorted(keys)}
        return {k: mm for k, mm in found.items() if mm is not None}

    def together_limit(self):
        """What all adjusted row and stabilo lines may be off together, or None."""
        keys = {k for w in self.work if self.is_trim(w) for k in self.own(w)}
        if not keys:
            return None
        # Rows of one side: two for each row where work was done on both.
        rows = len({k[:2] for k in keys}) / 2
        return plain_shift.common_limit(len(keys), rows, self.u, self.repeat)

    def alike_of(self, own):
        """Whether the points of a line moved alike, but for scatter."""
        moves = own.values()
        return max(moves) - min(moves) <= 4 * math.sqrt(2) * self.repeat

    def move(self, item, least=plain_shift.LEAST_GAP):
        """(mean or median, largest gap by chance) of a line's points."""
        own = list(self.own(item).values())
        n = len(own)
        alike = self.alike_of(self.own(item))
        scatter = self.repeat if alike else 1.25 * self.repeat  # a median scatters more
        by_chance = 3.5 * math.sqrt(2 * scatter**2 / n + 2 * plain_shift.SIDE_ONCE**2 + self.u**2)
        return fmean(own) if alike else median(own), max(least, by_chance)

    def entry(self, item):
        """One adjustment."""
        a, expected = item[:2]
        own = self.own(item)
        value = limit = gap = None
        if own:
            mm, limit = self.move(item)
            value = mm - (self.shift or 0.0)
            if expected is not None:
                gap = value - expected
            moves = [self.move(w)[0] - w[1] for w in self.work if w[1] is not None and self.own(w)]
            if self.shift is None and moves:
                # Only differences between lines remain, and the middle one errs by itself.
                gap = None if gap is None else gap - median(moves)
                limit = max(plain_shift.LEAST_GAP, self.steady(item))
        verdict, shown = NOT, None
        # What the whole line set may have changed by, where its change is not known.
        unknown = 0.0 if self.shift is not None else 6.0 if self.alike else math.inf
        if own:
            # A change no chance explains, and the way that was promised.
            clear = abs(value) > self.least(unknown)
            shown = True if clear and (expected is None or value * expected >= 0) else None
        if gap is not None:
            verdict = "pass" if abs(gap) <= limit + 1e-9 else "fail"
            # More than all lines together may have changed by is off, whatever the middle one is.
            if self.shift is None and abs(value - expected) > self.least(unknown):
                verdict, limit = "fail", self.least(unknown)
        if own and verdict != "fail" and not self.alike_of(own):
            shown = None  # its points did not move together: none of them tells how far it moved
        if gap is not None:
            # Agreement says nothing where an untouched line would agree as well.
            reported = shown and abs(expected) > limit and self.shift is not None
            if verdict == "pass" and not reported:
                verdict = NOT
            if verdict == "fail" and not shown:
                shown = False
        return {
            "line": a.line,
            "side": a.side.value,
            "loop_before": a.loop_before,
            "loop_after": a.loop_after,
            "expected_mm": expected,
            "measured_mm": value,
            "points": len(own),
            "shift_mm": self.shift if own else None,
            "least_mm": self.least(unknown) if own and unknown < math.inf else None,
            "limit_mm": limit,
            "verdict": verdict,
            "remark": a.remark,
            "shown": shown,
            "apart": bool(own) and not self.alike_of(own),
        }

    def steady(self, item):
        """The largest change by chance, before the least that is asked of a gap."""
        known = [w for w in self.work if w[1] is not None and self.own(w)]
        unsure = math.hypot(1, 1.25 / len(known) ** 0.5) if self.shift is None and known else 1.0
        return unsure * self.move(item, least=0.0)[1]

    def least(self, unknown):
        """The change in mm that is chance in none of the lines that were adjusted."""
        measured = [self.steady(w) for w in self.work if self.own(w)]
        if unknown == math.inf:
            return unknown
        return math.ceil(10 * (unknown + 2.6 * max(measured) / 3.5)) / 10

    def together(self):
        """All adjusted row and stabilo lines against their plan."""
        gaps = {}
        for item in self.work:
            if item[1] is not None and self.is_trim(item):
                gaps |= self.own(item, gaps=True)
        if not gaps:
            return None
        found = {
            "shift_mm": self.shift or 0.0,
            "u_shift_mm": self.u,
            "untouched": self.untouched,
            "gap_mm": None,
            "limit_mm": None,
            "verdict": NOT,
            "why_not": "too few untouched lines to know what all lines changed by",
            "short_mm": None,
            "short_limit_mm": None,
        }
        if self.shift is None:
            return found
        gap, limit = fmean(gaps.values()) - self.shift, self.together_limit()
        short, most = self.by_way(gaps)
        off = abs(gap) > limit + 1e-9 or (short is not None and abs(short) > most + 1e-9)
        return found | {
            "gap_mm": gap,
            "limit_mm": limit,
            "verdict": "fail" if off else "pass",
            "why_not": "",
            "short_mm": short,
            "short_limit_mm": most,
        }

    def by_way(self, gaps):
        """(how much less far lines moved than planned, the most by chance), each its own way.

        Nothing where all were to move one way.
        """
        plans = {k: sum(p for _, p, keys, _ in self.work if k in keys) for k in gaps}
        longer, shorter = ([k for k in gaps if plans[k] * way > 0] for way in (1, -1))
        if not longer or not shorter:
            return None, None
        n = len(longer) + len(shorter)
        off = sum(gaps[k] - self.shift for k in shorter) - sum(gaps[k] - self.shift for k in longer)
        lists = {k[:2]: 0 for k in longer + shorter}
        for way, keys in ((1, longer), (-1, shorter)):
            for k in keys:
                lists[k[:2]] += way
        spread = 2 * self.repeat**2 / n
        spread += 2 * plain_shift.SIDE_ONCE**2 * sum((many / n) ** 2 for many in lists.values())
        spread += (self.u * (len(longer) - len(shorter)) / n) ** 2
        return off / n, max(plain_shift.LEAST_GAP, 3 * math.sqrt(spread))


def left_over(key, mm, work):
    """A point's change less what the work promises there; None when a promise is unknown."""
    promises = [p for _, p, keys, _ in work if key in keys]
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
    return {(side, *p) for p in points_of(job.specification, a.line)}, main


def points_of(spec, name):
    """(group, number) of every point that a line by that name carries."""
    for line in spec.cascade:
        if line.name == name:
            return {(p.group, p.number) for p in line.points}
    every = [(g, n) for g in spec.groups for n in range(1, len(g.lengths_mm) + 1)]
    main = {(g.name, n) for g, n in every if g.kind.value == "brake_main" and g.name == name}
    if name == "brake_main" or main:
        mains = {(g.name, n) for g, n in every if g.kind.value == "brake_main"}
        return {(g.name, n) for g, n in every if g.kind.value == "brake"} or mains
    return {(g.name, n) for g, n in every if f"{g.name}{n}" == name}
