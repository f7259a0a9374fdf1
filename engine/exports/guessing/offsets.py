"""Numbers against the line set: where points are counted from, and whether a riser is in them."""

from collections import defaultdict
from collections.abc import Hashable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from statistics import fmean, median
from typing import TypeVar

from trimscribe.exports.guessing.questions import OpenQuestions, joined
from trimscribe.exports.guessing.sources import NumberColumn
from trimscribe.exports.mapping.normalise import Specified
from trimscribe.model.wing import BRAKE, STABILO

# An even offset above is not wear; risers have some 400 to 600 mm (common practice, no source).
EVEN_MM = 100.0
_LIKE_MM = 60.0  # rows of one wing that are off by the same cause differ by less (the same)
_LEAST_POINTS = 4  # of a row that shows which way it goes
_NEARER = 0.5  # of the scatter: then points are counted from the tip

Name = TypeVar("Name", bound=Hashable)


@dataclass(frozen=True)
class Offsets:
    """Whether points count from the tip, mm to be added by group, and why for people.

    Where all groups of the file have the same added, it is under "".
    """

    from_tip: bool
    add_mm: Mapping[str, float]
    notes: Sequence[str] = ()


def offsets_of(
    sources: Sequence[NumberColumn],
    lengths: Specified,
    factor: float,
    asked: OpenQuestions,
    *,
    tip_said: bool,
) -> Offsets:
    """Compare lengths with the line set; `factor` makes mm of the file's unit.

    `tip_said` is whether the file says that its points count from the tip.
    """
    centre, tip = (
        _off(sources, lengths, factor, tip=False),
        _off(sources, lengths, factor, tip=True),
    )
    if not centre:
        return Offsets(from_tip=False, add_mm={})
    scatter = {"centre": _scatter(centre.values()), "tip": _scatter(tip.values())}
    count = sum(map(len, centre.values()))
    from_tip, notes = False, []
    if scatter["tip"] < _NEARER * scatter["centre"]:
        from_tip = True
        notes.append(
            f"Points are counted from the tip: so lengths scatter by {scatter['tip']:.0f} mm about "
            f"the line set, else by {scatter['centre']:.0f} mm."
        )
    elif tip_said or (count > 5 and scatter["centre"] > 30 and scatter["tip"] < scatter["centre"]):
        from_tip = ask_points(asked)
    return Offsets(from_tip, _ask_risers(tip if from_tip else centre, asked), notes)


def ask_points(asked: OpenQuestions) -> bool:
    """Whether points are counted from the tip, as a person says."""
    answer = asked.ask(
        "points",
        "Are points counted from the centre of the wing or from the tip?",
        {"centre": "from the centre", "tip": "from the tip"},
    )
    return answer == "tip"


def longer_outward(sources: Sequence[NumberColumn]) -> bool:
    """Whether every row gets longer with its points: lines outside are shorter (common practice).

    Then points may be counted from the tip.
    """
    rows: dict[str, dict[int, float]] = defaultdict(dict)
    for source in sources:
        for one in source.entries:
            rows[one.said.row][one.said.point] = one.value
    ends = [
        (row[min(row)], row[max(row)])
        for name, row in rows.items()
        if len(row) >= _LEAST_POINTS and name not in (STABILO, BRAKE)
    ]
    return bool(ends) and all(last > first for first, last in ends)


_OffByRow = dict[tuple[str, str, str], list[float]]  # mm by when, side and group


def _off(
    sources: Sequence[NumberColumn], lengths: Specified, factor: float, *, tip: bool
) -> _OffByRow:
    """How far every length is off the line set, longer is plus."""
    found: _OffByRow = defaultdict(list)
    for source in sources:
        for one in source.entries:
            row = lengths.get(one.said.row, ())
            if one.said.point <= len(row):
                here, there = row[one.said.point - 1], row[len(row) - one.said.point]
                if here and there:  # of both ways the same lines are compared
                    key = (one.said.when, one.said.side, one.said.row)
                    found[key].append(one.value * factor - (there if tip else here))
    return found


def _scatter(rows: Iterable[Sequence[float]]) -> float:
    """How far lengths are from the middle of their row: what a riser adds to it is no scatter."""
    return fmean(abs(one - middle) for row in rows for middle in [median(row)] for one in row)


def _ask_risers(off: _OffByRow, asked: OpenQuestions) -> dict[str, float]:
    """What is to be added in mm by group, as answered for all groups that are off alike."""
    by_group: dict[str, list[float]] = defaultdict(list)
    for (_, _, group), row in off.items():
        by_group[group].append(median(row))
    # A group that is off in one measuring and not in the other is no matter of a riser: told later.
    even = {g: median(mm) for g, mm in by_group.items() if max(mm) - min(mm) <= EVEN_MM}
    shifts = [(median(even[group] for group in groups), groups) for groups in alike(even)]
    rest = [group for shift, groups in shifts if abs(shift) <= EVEN_MM for group in groups]
    off_groups = [(shift, groups) for shift, groups in shifts if abs(shift) > EVEN_MM]
    added: dict[str, float] = {}
    for shift, groups in off_groups:
        mm = _ask_riser(groups, rest, shift, asked, several=len(off_groups) > 1)
        added |= dict.fromkeys(groups, mm) if mm else {}
    if set(added) == set(by_group) and len(set(added.values())) == 1:
        return {"": next(iter(added.values()))}
    return added


def off_by(shift_mm: float) -> str:
    """How far off, for people: about 500 mm longer."""
    return f"about {abs(shift_mm):.0f} mm {'longer' if shift_mm > 0 else 'shorter'}"


def alike(shifts: Mapping[Name, float]) -> list[list[Name]]:
    """Names of those that are off by about the same mm, in their order."""
    found: list[list[Name]] = []
    for name in sorted(shifts, key=lambda one: shifts[one]):
        if found and shifts[name] - shifts[found[-1][0]] <= _LIKE_MM:
            found[-1].append(name)
        else:
            found.append([name])
    order = list(shifts)
    ordered = [sorted(names, key=order.index) for names in found]
    return sorted(ordered, key=lambda names: order.index(names[0]))


def _ask_riser(
    groups: Sequence[str], rest: Sequence[str], shift: float, asked: OpenQuestions, *, several: bool
) -> float:
    """The mm to be added to the lengths of these groups, 0 while nobody has answered.

    Which way it goes is not asked: the numbers show it, and people write either sign.
    """
    which, others = joined(groups), f"; those of {joined(rest)} are not" if rest else ""
    why, does = (
        ("Was a riser or a part of the jig measured as well", "taken off")
        if shift > 0
        else ("Was a riser that the line set includes, or a part of the jig, left out", "added to")
    )
    other = (
        ""
        if rest and not several
        else " Or is it the export of another wing or size? Then do not import it."
    )
    answer = asked.ask(
        "riser",
        f"The lengths of {which} are {off_by(shift)} than the line set's{others}. "
        f"{why}? Answer its length in mm: it is {does} {which} alone, whatever its sign.{other}",
        {"no": "no: the lines are so"},
        between=(abs(shift) - _LIKE_MM, abs(shift) + _LIKE_MM),
    )
    if answer in ("", "no"):
        return 0.0
    return abs(float(answer)) * (-1 if shift > 0 else 1)
