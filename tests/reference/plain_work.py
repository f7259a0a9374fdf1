"""What work may have moved, and lines carried over past it (our own study, section 2)."""

import math
import re
from statistics import fmean, median

import numpy as np
import scipy
from plain_cells_of_job import main_lines
from plain_ledger import moved_by, points_of
from plain_merge import u_delta
from plain_state import degrees, repeat

PER_SIDE = 3
TRIM = ("row", "stabilo")


def plain_keys(lengths):
    """Lengths by side, group and number."""
    return {(s.value, p.group, p.number): mm for (s, p), mm in lengths.items()}


def touched(job):
    """Every point that work may have moved; None where a replaced line is not named."""
    found = set()
    for a in job.adjustments:
        keys, itself = moved_by(job, a)
        found |= keys | itself
    for item in job.replacements:
        names = re.findall(r"[^\s,;()]+", item.part)
        points = {p for name in names for p in points_of(job.specification, name)}
        if not points and re.search(r"\blines?\b", item.part, re.IGNORECASE):
            return None
        sides = ("left", "right") if item.side is None else (item.side.value,)
        found |= {(side, *p) for side in sides for p in points}
    return found


class Carried:
    """What a later measuring takes over; `plain` is None where nothing is missing."""

    def __init__(self, job, first, last, t):
        """`first` and `last` are loads; lengths of `last` are completed in place."""
        self.keys, self.moved, self.shift, self.u, self.plain = set(), None, 0.0, 0.0, None
        self.untied = ""  # why lines measured again are not tied to the rest
        if first is None:
            return
        spec = job.specification
        kinds = {g.name: g.kind.value for g in spec.groups}
        had, has, moved = first.lengths, last.lengths, touched(job)
        missing = had.keys() - has.keys()
        if not missing or (moved is not None and missing <= moved):
            return

        def count(keys):
            return sum(kinds[k[1]] in TRIM for k in keys)

        controls = {}
        if moved is not None:
            mains = main_lines(spec)
            changed = {(s, g, mains.get((g, n))) for s, g, n in moved}
            chosen = {(s.value, p.group, p.number) for s, p in job.after.controls}
            controls = {
                k: has[k] - had[k]
                for k in (had.keys() & has.keys()) - moved
                if kinds[k[1]] == "row"
                and (not chosen or k in chosen)
                and not ((m := mains.get(k[1:])) and (k[0], k[1], m) in changed)
            }
        found = self._tie(job, first, last, moved, controls, t)
        self.plain = {
            "again": count(has),
            "carried": 0,
            "controls": len(controls),
            "shift_mm": 0.0,
            "u_mm": 0.0,
            "why_not": found if isinstance(found, str) else "",
        }
        if isinstance(found, str):
            self.untied = found
            return
        self.shift, self.u = found
        self.keys, self.moved = missing - moved, has.keys() & moved
        self.plain |= {"carried": count(self.keys), "shift_mm": self.shift, "u_mm": self.u}
        for k in self.keys:
            has[k] = had[k] + self.shift
            last.by[k] = first.by.get(k, 0.0) + self.shift

    def _tie(self, job, first, last, moved, controls, t):
        """(shift, u) in mm, or why nothing is carried over."""
        otherwise = "not measured as before, or not stated how"
        if moved is None:
            return otherwise
        if not last.lengths:
            return 0.0, 0.0
        one, two = job.before, job.after

        def reported(text):
            return " ".join(text.casefold().split())

        alike = (
            reported(one.method)
            and reported(one.instrument)
            and reported(one.method) == reported(two.method)
            and reported(one.instrument) == reported(two.instrument)
            and None not in (first.tension, last.tension)
            and abs(last.tension - first.tension) <= t.load_ratio * first.tension * (1 + 1e-12)
        )
        if not alike:
            return otherwise
        u_rep = math.sqrt((repeat(one, t) ** 2 + repeat(two, t) ** 2) / 2)
        rows = {g.name for g in job.specification.groups if g.kind.value == "row"}
        still = rows - {g for _, g, _ in moved}
        held = {g for _, g, _ in controls}
        used = held & still or held
        enough = all(sum(k[0] == s for k in controls) >= PER_SIDE for s in ("left", "right"))
        if not enough or len(used) < (min(2, len(still)) or 1):
            if one.date is None or one.date != two.date:
                return "no control lines, and not the same day"
            return 0.0, t.u_session_mm if two.session_mm is None else two.session_mm
        changes = list(controls.values())
        mean, middle = fmean(changes), median(changes)
        sd = math.sqrt(2 * u_rep**2 + 1.0 + 0.98)
        squares = sum((z - mean) ** 2 for z in changes) / sd**2
        if (
            abs(mean) > 6.0
            or any(abs(z - middle) > 3.3 * sd for z in changes)
            or squares > scipy.stats.chi2.ppf(0.99, len(changes) - 1)
        ):
            return "control lines do not agree"
        return mean, u_delta(len(changes), len(used), u_rep)


def exchanged_risers(job):
    """Whether a riser was replaced."""
    return any(re.search(r"\briser", item.part, re.IGNORECASE) for item in job.replacements)


class Risers:
    """What risers add to each row of each side, in mm (section 6)."""

    def __init__(self, job, measuring, t):
        spec = job.specification
        self.rows = [g.name for g in spec.groups if g.kind.value == "row"]
        self.unknown, self.each = t.riser_unmeasured_mm / math.sqrt(3), t.u_riser_mm
        self.rho = {}
        if spec.includes_risers:
            self.basis, self.unknown = "included in the specified lengths", 0.0
            return
        others = [] if exchanged_risers(job) else [job.before, job.after]
        for one in [*(m for m in others if m and m is not measuring), measuring]:
            for (side, name), own in one.risers.items():
                wanted = spec.risers.get(name)
                if wanted and own.trim_mm is not None and wanted.trim_mm is not None:
                    self.rho[side.value, name] = own.trim_mm - wanted.trim_mm
        known = sum((s, r) in self.rho for s in ("left", "right") for r in self.rows)
        self.basis = (
            "measured"
            if known == 2 * len(self.rows)
            else "partly measured"
            if known
            else "not measured"
        )

    def left_open(self, pitch):
        """Angles, none of which is called none where risers count and were not all measured."""
        if self.basis in ("measured", "included in the specified lengths"):
            return pitch

        def left(one):
            if "expectation" not in one:
                return {name: left(each) for name, each in one.items()}
            if one["expectation"] != "none expected":
                return one
            return one | {"expectation": "not assessed", "why_not": "too uncertain to tell"}

        return {k: left(v) if isinstance(v, dict) else v for k, v in pitch.items()}

    def add(self, cells):
        """Cells with their risers."""
        return [
            c._replace(mm=c.mm + self.rho.get((c.side, c.row), 0.0)) if c.mm is not None else c
            for c in cells
        ]

    def tilt(self, cells, lean):
        """The angle that the risers alone would give the wing; None without any that is off."""
        rho = [self.rho.get((c.side, c.row), 0.0) for c in cells]
        if not any(rho):
            return None
        return degrees(float(np.polyfit([c.x for c in cells], rho, 1)[0]), lean)

    def alike(self, cells):
        """u of what risers that nobody measured are off by."""
        return [0.0 if (c.side, c.row) in self.rho else self.unknown for c in cells]

    def own(self, cells):
        """u of what each measured riser may be off by."""
        return [self.each if (c.side, c.row) in self.rho else 0.0 for c in cells]
