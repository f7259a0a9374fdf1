"""A whole file understood: which columns are measurings, of which lines, and what must be asked."""

import re
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from statistics import median

from trimscribe.exports.guessing.blocks import blocks_of, is_number
from trimscribe.exports.guessing.collisions import resolve_collisions
from trimscribe.exports.guessing.columns import UnderstoodTable, table_of
from trimscribe.exports.guessing.offsets import ask_points, longer_outward, offsets_of
from trimscribe.exports.guessing.questions import OpenQuestions, counted, joined
from trimscribe.exports.guessing.sources import (
    FACTORS,
    LENGTHS_MM,
    LabelledNumber,
    NumberColumn,
    classified,
    group_names,
    sources_of,
    unit_of,
)
from trimscribe.exports.guessing.texts import Context, MeaningKey
from trimscribe.exports.guessing.vocabulary import Vocabulary, tokens_of
from trimscribe.exports.mapping.cells import odd_kind
from trimscribe.exports.mapping.normalise import Specified
from trimscribe.exports.mapping.plan import Numbers
from trimscribe.model.tables import Sheet
from trimscribe.model.wing import BRAKE_MAIN

_PASSED = ("deviation", "difference", "tolerance", "sum", "remark", "mean", "specified", "planned")
_INCH_OR_CM = (150.0, 380.0)  # lines of 2 to 9 m have as many inches, or centimetres
_UNITS = re.compile(r"[\[(]\s*(mm|cm|m|in)\s*[\])]", re.IGNORECASE)
_READINGS_MM = 6.0  # readings of one line that lie closer are repeated ones


@dataclass
class Understood:
    """What a file is; `sources` are the columns that are imported, `passed` those that are not."""

    tables: Sequence[UnderstoodTable]
    sources: list[NumberColumn]
    passed: list[NumberColumn]
    unit: str
    asked: OpenQuestions
    rows: dict[str, str] = field(default_factory=dict)
    unused_rows: list[str] = field(default_factory=list)
    notes: list[str] = field(default_factory=list)
    readings: str = ""
    deviation: bool = False
    specified: bool = False
    longer: str = ""
    from_tip: bool = False
    add_mm: Mapping[str, float] = field(default_factory=dict)
    when: str = ""
    empty: dict[str, list[str]] = field(default_factory=dict)


def understand(
    sheets: Sequence[Sheet],
    numbers: Numbers,
    lengths: Specified,
    words: Vocabulary,
    asked: OpenQuestions,
    measuring: str = "",
    *,
    specified: bool = False,
) -> Understood:
    """Find the lengths of a file. `specified` looks for specified lengths instead of measured."""
    tables, sources = _best(sheets, numbers, lengths, words)
    unit = unit_of(sources, lengths) or _unit_without(sources, lengths, asked)
    if unit == "in":  # then `in` behind a heading is the unit
        tables, sources = _best(sheets, numbers, lengths, words, last=False)
    rows = group_names(sources, lengths, unit)
    sources = [_renamed(source, rows) for source in sources]
    unit = unit_of(sources, lengths) or unit
    found = classified(sources, lengths, unit, means=not specified)
    found = [_without_zeros(source) for source in found]
    wanted = "specified" if specified else "lengths"
    used = [one for one in found if one.role == wanted]
    if specified and not used:
        used = [one for one in found if one.role == "lengths"]
    deviation = False
    if not used and not specified:
        used, deviation = _deviations(found, asked), True
    result = Understood(tables, used, [one for one in found if one not in used], unit, asked, rows)
    result.deviation, result.specified = deviation and bool(used), specified
    if not lengths and used and not specified:
        result.notes.append(
            "No line set is given, so lengths are not compared with it: name it with --wing."
        )
    _odd_cells(result, found)
    _ask_rows(result, lengths)
    _repeated(result)
    resolve_collisions(result, measuring, specified=specified)
    if result.deviation:
        result.longer = asked.ask(
            "longer",
            "The file has deviations: which sign has a line that is longer than specified?",
            {"plus": "longer is plus", "minus": "longer is minus"},
        )
    elif lengths and not specified:
        factor, tip_said = FACTORS[result.unit or "mm"], any(table.tip for table in tables)
        found_off = offsets_of(result.sources, lengths, factor, asked, tip_said=tip_said)
        result.from_tip, result.add_mm = found_off.from_tip, found_off.add_mm
        result.notes += found_off.notes
    elif any(table.tip for table in tables) or (specified and longer_outward(result.sources)):
        result.from_tip = ask_points(asked)
    return result


def _deviations(found: Sequence[NumberColumn], asked: OpenQuestions) -> list[NumberColumn]:
    """Columns of deviations in a file without lengths; where no word says so, it is asked."""
    used = [one for one in found if one.role == "deviation"]
    small = [one for one in found if one.role == "small" and one.said.role in ("", "measured")]
    if used or not small:
        return used
    answer = asked.ask(
        "means",
        f"The numbers of {small[0].called} are too small for lengths. Are they deviations from the "
        "specified lengths, in mm?",
        {"deviation": "yes", "nothing": "no: leave them out"},
    )
    return small if answer != "nothing" else []


def _best(
    sheets: Sequence[Sheet],
    numbers: Numbers,
    lengths: Specified,
    words: Vocabulary,
    *,
    last: bool = True,
) -> tuple[list[UnderstoodTable], list[NumberColumn]]:
    """The reading of the words for left and right under which most lines are clear."""
    texts = [
        cell.text
        for sheet in sheets
        for cell in sheet.cells.values()
        if isinstance(cell.value, str)
    ]
    texts += [sheet.name for sheet in sheets]
    plain = {
        token for text in dict.fromkeys(texts) if len(text) < 100 for token, _, _ in tokens_of(text)
    }
    ends = plain | {t[0] for t in plain if len(t) < 5} | {t[-1] for t in plain if len(t) < 5}
    rows = {name.casefold(): name for name in lengths if len(name) < 3}
    paired = {"before", "after"} <= {words.paired[t][1] for t in plain if t in words.paired}
    views = [
        f" {' '.join(said)} " for said, kind in words.phrases.items() if kind == ("view", "front")
    ]
    front = any(
        view in f" {' '.join(token for token, _, _ in tokens_of(text))} "
        for text in dict.fromkeys(texts)
        if " " in text
        for view in views
    )
    best: tuple[float, list[UnderstoodTable], list[NumberColumn]] | None = None
    for initials in (None, *words.initials):
        if initials and not {*initials} <= (ends if len(initials[0]) == 1 else plain):
            continue
        context = Context(words, rows, initials, paired, last, frozenset(plain), front)
        tables = [
            table_of(block, context) for sheet in sheets for block in blocks_of(sheet, context)
        ]
        sources = list(sources_of(tables, numbers))
        score = _score(sources)
        if best is None or score > best[0]:
            best = (score, tables, sources)
    return (best[1], best[2]) if best else ([], [])


def _score(sources: Sequence[NumberColumn]) -> float:
    keys: Counter[MeaningKey] = Counter()
    score = 0.0
    for source in sources:
        if source.said.role in _PASSED:
            score += 0.01 * len(source.entries)
            continue
        for one in source.entries:
            if one.said.row and one.said.point:
                score += 1 + 0.5 * bool(one.said.side)
                keys[one.said.key] += 1
    return score - 0.4 * sum(n - 1 for n in keys.values())


def _unit_without(sources: Sequence[NumberColumn], lengths: Specified, asked: OpenQuestions) -> str:
    """The unit by headings, or by the size of what may be lengths (common practice, no source)."""
    if any(one.said.row in lengths for source in sources for one in source.entries):
        return "mm"  # they were compared with the line set, and are not lengths
    votes: Counter[str] = Counter()
    low, high = _INCH_OR_CM
    least_mm, most_mm = LENGTHS_MM
    middles = {}
    for source in sources:
        if source.said.role not in ("", "measured", "specified", "reading") or not source.entries:
            continue
        middle = median(abs(one.value) for one in source.entries)
        said = [match[1].lower() for match in _UNITS.finditer(source.value.heading)]
        said = [unit for unit in said if least_mm <= middle * FACTORS[unit] < most_mm]
        ranges = {"m": (1.5, 15.0), "in": (60, low), "in or cm": (low, high), "cm": (high, 1500.0)}
        ranges["mm"] = (1500.0, most_mm)
        fits = [unit for unit, (a, b) in ranges.items() if a <= middle < b]
        for unit in (said or fits)[:1]:
            votes[unit] += len(source.entries)
            middles[unit] = middle
    unit = votes.most_common(1)[0][0] if votes else "mm"
    if unit in FACTORS:
        return unit
    answer = asked.ask(
        "unit",
        f"The middle number is {middles[unit]:g}, and no line set is given: which unit is it in?",
        {"cm": "centimetres", "in": "inches"},
    )
    return answer or "cm"


def _renamed(source: NumberColumn, rows: Mapping[str, str]) -> NumberColumn:
    entries = []
    for one in source.entries:
        name = rows.get(one.said.row, one.said.row)
        point = one.said.point or (1 if name == BRAKE_MAIN else 0)
        entries.append(replace(one, said=replace(one.said, row=name, point=point)))
    entries = [one for one in entries if one.said.row and one.said.point]
    said = replace(source.said, row=rows.get(source.said.row, source.said.row))
    return replace(source, said=said, entries=tuple(entries))


def _without_zeros(source: NumberColumn) -> NumberColumn:
    """A zero among lengths is an empty cell."""
    if source.role != "lengths":
        return source
    zeros = tuple(one.cell for one in source.entries if not one.value)
    value = replace(source.value, odd=(*source.value.odd, *zeros))
    return replace(source, value=value, entries=tuple(one for one in source.entries if one.value))


def _odd_cells(result: Understood, found: Sequence[NumberColumn]) -> None:
    """Words in columns of lengths: not measured, and said.

    What has digits, or is no value that a spreadsheet could work out, was measured: it stays, and
    the import reports its place.
    """
    for source in found:
        named = result.tables[source.table].rows if source in result.sources else {}
        for cell in source.value.odd:
            says_nothing = is_number(cell) or not re.search(r"\d", cell.text)  # a zero is odd here
            if cell.row in named and says_nothing and not odd_kind(cell):
                place = cell.mark.cell or f"line {cell.row}"
                result.empty.setdefault(cell.text, []).append(place)


def _ask_rows(result: Understood, lengths: Specified) -> None:
    """Rows that fit no group of the line set."""
    if not lengths:
        return
    used = dict.fromkeys(one.said.row for source in result.sources for one in source.entries)
    free = [name for name in lengths if name not in used]
    for row in [row for row in used if row not in lengths]:
        answer = result.asked.ask(
            "row",
            f"Which lines does the file call “{row}”? The line set has no such row.",
            {**{name: f"{name} of the line set" for name in free}, "none": "leave them out"},
        )
        if answer == "none":
            result.unused_rows.append(row)
        elif answer:
            result.rows[row] = answer
        result.sources = [
            _renamed(source, {row: answer}) if answer not in ("", "none")
            else replace(source, entries=tuple(e for e in source.entries if e.said.row != row))
            for source in result.sources
        ]  # fmt: skip
    result.sources = [source for source in result.sources if source.entries]


def _repeated(result: Understood) -> None:
    """Several readings of one line: in rows below each other, or in columns called readings."""
    factor = FACTORS[result.unit or "mm"]
    repeats: list[Sequence[LabelledNumber]] = []
    columns = False
    called_so = True
    for source in result.sources:
        found = _repeats(source.entries)
        repeats += found
        called_so &= not found or result.tables[source.table].readings
    groups: dict[tuple[object, ...], list[NumberColumn]] = {}
    for source in result.sources:
        if source.said.role == "reading":
            said = source.said
            groups.setdefault(
                (source.table, said.row, said.side, said.when, said.point), []
            ).append(source)
    for group in groups.values():
        if len(group) > 1:
            columns = True
            repeats += _repeats([one for source in group for one in source.entries])
    if not repeats:
        return
    worst = max(repeats, key=_spread)
    widest = _spread(worst) * factor
    # Numbers that the file does not call readings may as well be of two measurings.
    if widest <= _READINGS_MM and called_so:
        result.readings = "mean"
        result.notes.append(
            f"Lines are read several times, at most {widest:.1f} mm apart: their mean is taken."
        )
        return
    where = "columns" if columns else "rows"
    places = joined([one.cell.mark.cell or f"line {one.cell.row}" for one in worst])
    line, lines = worst[0].said, counted(len(repeats), "line has", "lines have")
    result.readings = result.asked.ask(
        "readings",
        f"{lines} several numbers in different {where}, such as {line.row}{line.point} in "
        f"{places}, {widest:.0f} mm apart: what holds? Numbers of two sides, measurings or lines "
        "are no readings: have the file tell them apart.",
        {"mean": "their mean", "median": "their median", "last": "the last of them"},
    )


def _repeats(entries: Sequence[LabelledNumber]) -> list[Sequence[LabelledNumber]]:
    """The numbers of each line that has several."""
    found: dict[MeaningKey, list[LabelledNumber]] = {}
    for one in entries:
        found.setdefault(one.said.key, []).append(one)
    return [numbers for numbers in found.values() if len(numbers) > 1]


def _spread(numbers: Sequence[LabelledNumber]) -> float:
    values = [one.value for one in numbers]
    return max(values) - min(values)
