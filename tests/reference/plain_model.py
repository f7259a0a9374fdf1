"""One measuring as a whole, computed again from the formulas in plain Python."""

import math
from statistics import median

import numpy as np
import plain_offsets
from plain_angles import Angles
from plain_basics import fold, table, worst
from plain_brakes import Brakes, travel_difference
from plain_cells import SIDE_CHANGE, Cell
from plain_cells_of_job import main_lines
from plain_completion import alike
from plain_lines import Lines
from plain_state import SIDES, Bench, Load, speed
from plain_table import Errors, Table, each_line, each_row, each_row_and_side, errors
from plain_work import Carried, Risers

WRONG_LOAD = "measuring load differs too much from the specification's"
TOO_FEW = "too few lines to know what all share"


def cells_of(spec, lengths):
    """The row lines of both sides."""
    carried, found = main_lines(spec), []
    for side in SIDES:
        for row in spec.rows:
            count = len(row.lengths_mm)
            for n, specified in enumerate(row.lengths_mm, 1):
                length = lengths.get((side, row.name, n))
                found.append(
                    Cell(
                        row.name,
                        side,
                        n,
                        row.chord_m[n - 1] if row.chord_m else math.nan,
                        carried.get((row.name, n), n),
                        specified,
                        (n - 0.5) / count,
                        None if length is None else length - specified,
                    )
                )
    return found


def occasion(cells, chosen, u_all, t):
    """What chosen lines share because they were measured at another time (section 2)."""
    each = np.array([float((*c[1::-1], c.station) in chosen) for c in cells])
    both = np.outer(each, each)
    row, side = alike(cells, each_row), alike(cells, each_row_and_side)
    return both * (u_all**2 + t.u_row_change_mm**2 * row + SIDE_CHANGE * side)


class State(Lines, Brakes):
    """One measuring; `first` is the earlier one that lines are carried over from."""

    def __init__(self, job, measuring, first=None):
        self.job, self.spec, self.m, self.t = job, job.specification, measuring, table(job)
        spec, t = self.spec, self.t
        self.load = Load(spec, measuring, t)
        self.bench = b = Bench(spec, measuring, self.load, t)
        self.shares = self.spec.brakes_share_offset
        self.carried = Carried(job, first and first.load, self.load, t)
        self.blocked = WRONG_LOAD if self.load.verdict == "fail" else ""
        self.risers = Risers(job, measuring, t)
        self.cells = cells = cells_of(spec, self.load.lengths)
        tie = 0.0
        if self.carried.keys:
            tie = occasion(cells, self.carried.keys, self.carried.u, t)
        lines = errors(cells, [(b.line, each_line), (b.row, each_row)], b.scale)
        lines = Errors(lines.matrix + tie, b.scale)
        unknown, own = self.risers.alike(cells), self.risers.own(cells)
        by_risers = [(unknown, each_row), (own, each_row_and_side)]
        wing = Errors(lines.matrix + errors(cells, by_risers, 0).matrix, b.scale)
        either = np.hypot(unknown, own)
        between = [
            (b.repeat, each_line),
            (t.u_row_side_mm, each_row_and_side),
            (either, each_row_and_side),
        ]
        sides = Errors(errors(cells, between, 0).matrix + tie, b.scale)
        self.table = Table(cells, lines, t, self.blocked)
        # Lines worked on do not stand for the rest: nothing follows from them for the wing.
        rest = first and any(
            was.mm is not None and now.mm is None
            for was, now in zip(first.cells, cells, strict=True)
        )
        untied = self.blocked or (self.carried.untied if rest else "")
        self.wing = Table(self.risers.add(cells), wing, t, untied)
        self.angles = Angles(self.wing, sides, spec.lean_deg)
        self.offset_why = self._offset()
        self.edge = self.angles.edge(spec)

    def limit(self, group):
        """The tolerance of a group."""
        tol = self.job.tolerances
        if self.blocked:
            return None
        if group == "brake_main" and group not in tol.groups:
            group = "brake"
        return tol.groups.get(group, tol.default_mm)

    def _offset(self):
        """The common offset; why it is not known (sections 1 and 8)."""
        method, row, table = self.job.offset_method.value, self.job.offset_row, self.table
        t = self.t
        known = [c.mm for c in self.cells if c.mm is not None]
        self.offset = None
        if not known:
            return "not measured"
        of_row = method == "row"
        target = table.share(lambda c: not of_row or c.row == row)
        used = np.where(table.known, target, 0.0)
        extra = 0.0
        if method == "none":
            target = used = 0.0 * target
            value = u = 0.0
            extra = t.u_session_shift_mm**2  # nothing takes it out
        elif of_row:
            if not plain_offsets.row_offset_known(self.cells, row):
                return TOO_FEW
            value, u, used = table.weighted(used / used.sum(), target)
        else:
            found = table.estimate(target)
            if isinstance(found, str):
                no_chord = found == "chord positions not given"
                if not (no_chord and plain_offsets.offset_known_simply(self.cells)):
                    return TOO_FEW
                found = table.weighted(used / used.sum(), target)
            value, u, used = found
            if method == "median":
                value = median(table.completed())
                extra = (math.pi / 2 - 1) * self.bench.line**2 / len(known)
        self.used, self.target, self.extra = used, target, extra
        self.u_offset = math.sqrt(u * u + extra)
        whole = table.whole(table.error)
        self.least_u = math.sqrt(float(target @ whole @ target) + extra)
        self.offset = {
            "value_mm": value,
            "method": method,
            "row": row,
            "mean_mm": sum(known) / len(known),
            "median_mm": median(known),
            "u_mm": self.u_offset,
        }
        return ""

    def known_for(self, limit):
        """u_o <= T/5, or hardly more than with every line measured."""
        limit = 10.0 if limit is None else limit
        return self.u_offset <= max(self.t.offset_known_share * limit, 1.1 * self.least_u)

    def level(self, kind, limit):
        """What lines of a kind are compared with, in mm (sections 1 and 9)."""
        if kind.startswith("brake") and not self.shares:
            return 0.0
        if self.offset is None or not self.known_for(limit):
            return None
        return self.offset["value_mm"]

    def brake_u(self, long, n, carried=False):
        """u of the mean of n brake lines (section 9); what a correction for load is unsure of.

        Lines carried over err by the tie and by the occasion besides (section 2).
        """
        shared = self.u_offset if self.shares and self.offset else 0.0
        b = self.bench
        tie = (self.carried.u, *self.occasion()) if carried else ()
        if not self.shares:  # as measured; nothing takes out what a session errs by
            tie = (self.t.u_session_shift_mm,)
        return math.hypot(b.line / math.sqrt(n), b.scale * long, shared, b.correction, *tie)

    def occasion(self):
        """What the row, and its one side, differ by from one time to another."""
        return self.t.u_row_change_mm, math.sqrt(SIDE_CHANGE)

    def line_u(self, kind, key, specified):
        """u of one line's relative deviation."""
        carried = key in self.carried.keys
        if kind.startswith("brake"):
            return self.brake_u(specified / 1000, 1, carried)
        if kind == "row":
            index = next(i for i, c in enumerate(self.cells) if (c.side, c.row, c.station) == key)
            one = np.zeros(len(self.cells))
            one[index] = 1.0
            _, u, _ = self.table.weighted(one - self.used, one - self.target)
            return math.sqrt(u * u + self.extra)
        b = self.bench
        shared = b.scale * float(self.used @ self.table.metres)
        rest = self.u_offset**2 - shared**2
        own = b.line**2 + b.row**2 + (b.scale * specified / 1000 - shared) ** 2
        if carried:  # the tie's error is also in the part of the offset that was carried over
            part = sum(
                float(w)
                for w, c in zip(self.used, self.cells, strict=True)
                if (c.side, c.row, c.station) in self.carried.keys
            )
            rest += self.carried.u**2 * ((1 - part) ** 2 - part**2)
            own += sum(x * x for x in self.occasion())
        return math.sqrt(own + max(rest, 0.0))

    def shared_level(self):
        """Whether all lines share what the line set is off by (section 10)."""
        known = [c for c in self.cells if c.mm is not None]
        if not known or self.blocked:
            return None
        level = median(c.mm for c in known)
        near = max(5.0, abs(level) / 3)
        apart = {}
        for side in SIDES:
            for row in self.spec.rows:
                own = [c.mm for c in known if (c.side, c.row) == (side, row.name)]
                if own:
                    apart[side, row.name] = sum(own) / len(own) - level
        # Of two alike the front row; of its sides the longer.
        order = [row.name for row in self.spec.rows]
        most = max(apart, key=lambda k: (round(abs(apart[k]), 6), -order.index(k[1]), apart[k] > 0))
        close = sum(abs(c.mm - level) <= max(near, 6.0) for c in known)
        found = {"median_mm": level, "shared": False, "row": "", "side": None, "apart_mm": 0.0}
        if abs(apart[most]) > near:
            other = ("left" if most[0] == "right" else "right", most[1])
            names = [most]
            if other in apart:
                chance = 2 * self.u_of_lists({most: 1, other: -1})
                alike = abs(apart[other] - apart[most]) <= chance
                if alike or (abs(apart[other]) > near and apart[other] * apart[most] > 0):
                    names = [most, other]
            off = sum(apart[k] for k in names) / len(names)
            found["apart_mm"] = off
            # One is named where no other is as far off, for all that measuring can tell.
            for k in apart:
                signs = {one: math.copysign(1 / len(names), off) for one in names}
                signs[k] = -math.copysign(1, apart[k])
                if k not in names and abs(off) - abs(apart[k]) <= 2 * self.u_of_lists(signs):
                    return found
            return found | {"side": None if len(names) == 2 else most[0], "row": most[1]}
        everywhere = len(apart) == 2 * len(self.spec.rows)
        return found | {"shared": everywhere and close >= 0.8 * len(known)}

    def u_of_lists(self, signs):
        """u of a sum of means over one side of a row, each less the mean of all (section 10)."""
        known = [c.mm is not None for c in self.cells]
        weights = -sum(signs.values()) * np.array(known, float) / sum(known)
        for (side, row), sign in signs.items():
            own = np.array(
                [c.mm is not None and (c.side, c.row) == (side, row) for c in self.cells]
            )
            weights = weights + sign * own / own.sum()
        by_side = errors(self.cells, [(self.t.u_row_side_mm, each_row_and_side)], 0).matrix
        every = self.table.whole(self.table.error) + by_side
        return math.sqrt(float(weights @ every @ weights))

    def plain(self):
        """The whole state, as the findings have it."""
        lines, pitch = self.lines(), self.risers.left_open(self.angles.pitch())
        known = pitch["slope_mm_per_m"] is not None
        pitch["by_risers_deg"] = self.risers.tilt(self.cells, self.spec.lean_deg) if known else None
        brakes = self.brakes(lines)
        tolerances, risers = self.tolerances(lines), self.riser_findings()
        between = [c["verdict"] for c in tolerances if c["group"] == "left_right"]
        load = self.load
        trim = [x for x in lines if not x["kind"].startswith("brake")]
        known = any(x["relative_mm"] is not None for x in trim)
        return {
            "offset": self.offset if known else None,
            "lines": [{k: v for k, v in x.items() if k[0] != "_"} for x in lines],
            "rows": self.rows(lines),
            "tolerances": tolerances,
            "verdict": fold([*(x["verdict"] for x in trim), *between]),
            "brake_verdict": worst([b["verdict"] for b in brakes.values()]),
            "pitch": pitch,
            "symmetry": self.angles.symmetry(),
            "residuals": self.angles.residuals(),
            "brakes": brakes,
            "brake_difference": self.brake_difference(),
            "travel_difference": travel_difference(brakes, self.t),
            "speed": speed(pitch["effective"], self.job.wing.trim_speed_km_h, self.t),
            "risers": risers,
            "riser_verdict": fold(r["verdict"] for r in risers),
            "comparable_load": load.verdict,
            "budget": self.bench.budget,
            "line_u_mm": max((x["u_mm"] for x in trim if x["u_mm"] is not None), default=None),
            "correction": {
                "from_n": load.from_n,
                "to_n": load.tension,
                "largest_mm": load.largest,
                "u_mm": load.u,
            }
            if load.corrected
            else None,
            "offset_why": self.offset_why or ("" if known else TOO_FEW),
            "level": self.shared_level(),
            "carry_over": self.carried.plain,
            "risers_in": self.risers.basis,
        }
