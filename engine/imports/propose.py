"""A map proposed from an export: every candidate is tried, the one that reads most is written.

It is a start for a person to correct: each guess says how sure it is and why.
"""

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from statistics import fmean, median
from typing import TYPE_CHECKING, Any

from trimscribe.errors import Fault, Mark
from trimscribe.imports.files import open_file, typed
from trimscribe.imports.guess_format import Guess, guess_records, guess_text
from trimscribe.imports.guess_numbers import guess_meaning, guess_signs
from trimscribe.imports.guess_table import TableGuess, guess_tables
from trimscribe.imports.lay import measured
from trimscribe.imports.line_sets import LineSet
from trimscribe.imports.proposal_text import proposal_text
from trimscribe.imports.yaml_text import flow
from trimscribe.model.tables import Sheet, TableFormat
from trimscribe.model.wing import BRAKE_MAIN
from trimscribe.read.exports import sheets_of
from trimscribe.read.maps.load import load_map
from trimscribe.read.maps.plan import ImportMap
from trimscribe.read.maps.result import Imported, Taken
from trimscribe.read.maps.settle import Specified, settle
from trimscribe.read.maps.take import take

if TYPE_CHECKING:
    from trimscribe.registry import Registry

__all__ = ["Proposal", "propose"]

_TEXT = (".csv", ".tsv", ".txt")
_NEARER = 0.5  # of the scatter: then points are counted from the tip
_RISER_MM = 100  # an even offset above is no wear; risers have some 400 to 600 mm (common practice)
_DELIMITERS = {"semicolon": ";", "tab": "\t", "bar": "|", "comma": ",", "blanks": "blanks"}


@dataclass(frozen=True)
class Proposal:
    """The text of a map, None when the export cannot be read; why it is so, for people."""

    text: str | None
    reasons: tuple[str, ...] = ()
    faults: tuple[Fault, ...] = ()


@dataclass(frozen=True)
class _Tried:
    """A candidate and what it reads."""

    guess: TableGuess
    taken: Taken
    lines: int

    @property
    def score(self) -> float:
        """Lines read, less what went wrong; then headings rather than letters, then the least."""
        said = flow(list(self.guess.tables))
        return self.lines - 2 * len(self.taken.faults) - (len(said) + 100 * said.count("at:")) / 1e5


def propose(registry: "Registry", path: Path, line_set: LineSet | None) -> Proposal:
    """Guess a map from an export; `line_set` makes the guesses of rows and units surer."""
    data, name = open_file(path), typed(path)
    formats = _formats(data, name)
    sheets, faults = sheets_of(registry, data, name, _table_format(formats), Mark(name))
    if not sheets:
        return Proposal(None, faults=faults)
    signs = guess_signs([cell for sheet in sheets for cell in sheet.cells.values()])
    tried = [
        _try(guess, sheets, signs)
        for sheet in sheets
        for guess in guess_tables(sheet, named=len(sheets) > 1)
    ]
    best = max(tried, key=lambda one: one.score, default=None)
    if best is None or not best.lines:
        fault = Fault(
            "nothing-to-propose",
            "No table of this file looks like lengths of lines.",
            Mark(name),
            "Write the map by hand; DEVELOPERS.md shows the shapes.",
        )
        return Proposal(None, faults=(fault,))
    values = [float(reading.value) for reading in best.taken.readings]
    wanted = [mm for row in line_set.lengths.values() for mm in row if mm] if line_set else []
    meaning = guess_meaning(values, wanted)
    rows = _rows(best, line_set)
    numbers = {**meaning, **signs}
    text = proposal_text(path.name, best.guess, formats, numbers, rows)
    compared = _compared(text, sheets, line_set)
    text = proposal_text(path.name, best.guess, formats, numbers | compared, rows)
    if line_set is None:
        names = dict.fromkeys(reading.parts.row for reading in best.taken.readings)
        text += f"# Rows found: {', '.join(names)}. Name stabilo and brake lines under `words`.\n"
    reasons = (
        f"{best.lines} lines of {len(best.taken.readings)} numbers are read, with "
        f"{len(best.taken.faults)} faults.",
        *(
            f"{key}: {guess.value} ({guess.sure}: {guess.why})"
            for key, guess in {**formats, **numbers, **compared}.items()
        ),
    )
    return Proposal(text, reasons)


def _formats(data: bytes, name: str) -> dict[str, Guess]:
    if name.lower().endswith(_TEXT):
        return guess_text(data)
    return {"records": guess_records(data, name)} if name.lower().endswith(".json") else {}


def _table_format(formats: Mapping[str, Guess]) -> TableFormat:
    return TableFormat(
        encoding=formats["encoding"].value if "encoding" in formats else "utf-8",
        delimiter=_DELIMITERS[formats["delimiter"].value] if "delimiter" in formats else ",",
        records=formats["records"].value if "records" in formats else "",
    )


def _try(guess: TableGuess, sheets: Sequence[Sheet], signs: Mapping[str, Guess]) -> _Tried:
    plan = _plan(guess, signs)
    taken = take(sheets, plan) if plan else Taken()
    lines = {(r.parts, r.gives) for r in taken.readings}
    return _Tried(guess, taken, len(lines))


def _plan(guess: TableGuess, signs: Mapping[str, Guess]) -> ImportMap | None:
    """The candidate as a map, through the same door as one that a person wrote."""
    written: dict[str, Any] = {
        "trimscribe": 1,
        "numbers": {key: one.value for key, one in signs.items()},
        "words": guess.words,
        "readings": "mean" if guess.readings else "one",
        "tables": list(guess.tables),
    }
    return load_map(flow(written).encode(), "candidate")[0]


def _rows(tried: _Tried, line_set: LineSet | None) -> dict[str, Guess]:
    """Names of rows that the line set does not have, each with the group that it may be."""
    alone = tried.guess.words.get("row", {}).get(BRAKE_MAIN, [])
    rows = {
        row: Guess(BRAKE_MAIN, "a guess", "it is the only line without a point") for row in alone
    }
    counted: Counter[str] = Counter()
    for reading in tried.taken.readings:
        row = reading.parts.row
        counted[row] = max(counted[row], reading.parts.point or 1)
    if line_set:
        known = {name.casefold() for name in line_set.lengths}
        taken = {row.casefold() for row in counted}
        free = {n: len(row) for n, row in line_set.lengths.items() if n.casefold() not in taken}
        strange = {row: points for row, points in counted.items() if row.casefold() not in known}
        rows |= _matched(strange, free)
    return rows


def _matched(strange: Mapping[str, int], free: dict[str, int]) -> dict[str, Guess]:
    """Rows and groups with the same number of points."""
    rows = {}
    for row, points in strange.items():
        alike = [name for name, count in free.items() if count == points]
        if alike:
            del free[alike[0]]
            why = f"both have {points} point{'s' * (points != 1)}"
            rows[row] = Guess(alike[0], "likely" if len(alike) == 1 else "a guess", why)
    return rows


def _compared(text: str, sheets: Sequence[Sheet], line_set: LineSet | None) -> dict[str, Guess]:
    """Where points are counted from, and whether a riser is in, by what lies nearer to the set."""
    plan = load_map(text.encode(), "proposal")[0]
    if line_set is None or plan is None or plan.numbers.deviation:
        return {}
    taken, lengths = take(sheets, plan), line_set.lengths
    off = {
        way: _offsets(
            settle(taken, replace(plan, from_tip=way == "tip"), "before", lengths), lengths
        )
        for way in ("centre", "tip")
    }
    if not off["centre"] or not off["tip"]:
        return {}
    found = {}
    centre, tip = (_scatter(off[way]) for way in ("centre", "tip"))
    if tip < _NEARER * centre:
        why = f"so lengths scatter by {tip:.0f} mm about the line set, else by {centre:.0f} mm"
        found["points_from"] = Guess("tip", "likely", why)
    shift = median(off["tip" if found else "centre"])
    if abs(shift) > _RISER_MM:
        why = f"lengths are about {shift:.0f} mm off the line set: is a riser measured as well?"
        found["add_mm"] = Guess(f"{-round(shift)}", "a guess", why)
    return found


def _scatter(offsets: Sequence[float]) -> float:
    middle = median(offsets)
    return fmean(abs(one - middle) for one in offsets)


def _offsets(imported: Imported, lengths: Specified) -> list[float]:
    """How far each length lies from the line set's, in mm."""
    offsets = []
    for value in filter(measured, imported.values):
        row, point = lengths.get(str(value.path[2]), ()), int(value.path[3])
        wanted = row[point - 1] if point <= len(row) else None
        if wanted:
            offsets.append(float(value.value) - wanted)
    return offsets
