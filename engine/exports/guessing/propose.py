"""A map proposed from an export: what its words, its layout and its arithmetic say.

It never chooses between two measurings, and never assumes what the file does not say: what only a
person can know is a question, and a map with open questions does not import.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from trimscribe.errors import Fault, Mark
from trimscribe.exports.editing.yaml_text import flow
from trimscribe.exports.export import Export, import_with
from trimscribe.exports.files import as_text, open_file
from trimscribe.exports.guessing.apart import rows_apart
from trimscribe.exports.guessing.guess_format import Guess, guess_records, guess_signs, guess_text
from trimscribe.exports.guessing.map_text import map_text
from trimscribe.exports.guessing.questions import OpenQuestions, Question, counted
from trimscribe.exports.guessing.sources import NumberColumn
from trimscribe.exports.guessing.texts import Context, said_by
from trimscribe.exports.guessing.understand import Understood, understand
from trimscribe.exports.guessing.vocabulary import vocabulary
from trimscribe.exports.line_sets import CheckedLineSet
from trimscribe.exports.mapping.extract import sheets_of
from trimscribe.exports.mapping.load import SIGNS, load_map
from trimscribe.exports.mapping.plan import Numbers
from trimscribe.model.tables import Cell, Sheet, TableFormat
from trimscribe.registry import Registry

OwnWords = tuple[tuple[str, str, str], ...]

_TEXT = (".csv", ".tsv", ".txt")
_MOST_NAMED = 6


@dataclass(frozen=True)
class MapProposal:
    """The text of a map, None when the export cannot be read.

    `left_out` says first what is not imported, `reasons` why the map is as it is, `questions` are
    those still open, `answers` those that were taken, `export` what the map reads, `cells` all that
    the file holds.
    """

    text: str | None
    reasons: tuple[str, ...] = ()
    faults: tuple[Fault, ...] = ()
    questions: tuple[Question, ...] = ()
    left_out: tuple[str, ...] = ()
    answers: Mapping[str, str] | None = None
    export: Export | None = None
    cells: tuple[Cell, ...] = ()


def propose(
    registry: Registry,
    path: Path,
    line_set: CheckedLineSet | None,
    *,
    answers: Mapping[str, str] | None = None,
    kept: Mapping[str, str] | None = None,
    measuring: str = "",
    own_words: OwnWords = (),
    specified: bool = False,
    data: bytes | None = None,
) -> MapProposal:
    """Guess a map from an export; `line_set` makes the guesses of rows and units surer.

    `answers` are by the question's id, `kept` those that a former file had, `own_words` a
    workshop's words as kind, name and phrase. `specified` looks for a maker's lengths instead of
    measured ones. `data` are the bytes where they are not in a file.
    """
    data = open_file(path) if data is None else data
    name = path.as_posix()
    formats = _formats(data, name)
    sheets, faults = sheets_of(registry, data, name, _table_format(formats), Mark(name))
    if not sheets:
        nothing = Fault("empty-file", "There is nothing in this file.", Mark(name))
        return MapProposal(None, faults=faults or (nothing,))
    every, sheets = sheets, [sheet for sheet in sheets if not sheet.hidden] or sheets
    signs = guess_signs([cell for sheet in sheets for cell in sheet.cells.values()])
    numbers = Numbers(
        decimal=SIGNS[signs["decimal"].value] if "decimal" in signs else ".",
        thousands=SIGNS[signs["thousands"].value] if "thousands" in signs else "",
        unit=signs["unit"].value if "unit" in signs else "mm",
    )
    asked = OpenQuestions(answers or {}, kept or {})
    lengths = line_set.lengths if line_set else {}
    words = vocabulary(own_words)
    found = understand(sheets, numbers, lengths, words, asked, measuring, specified=specified)
    left_out = tuple(_left_out(found, every))
    if wrong := tuple(asked.faults(name)):
        return MapProposal(None, faults=wrong, left_out=left_out)
    if not found.sources:
        return MapProposal(None, faults=(_nothing(found, name),), left_out=left_out)
    guesses = {**signs, **_meaning(found, line_set)}
    if apart := rows_apart(found, words):
        return MapProposal(None, faults=(apart,), left_out=left_out)
    text = map_text(
        as_text(path.name),
        found,
        sheets,
        formats=formats,
        numbers=guesses,
        left_out=left_out,
        specified=specified,
    )
    made = _checked(
        registry, path, data, text, found, guesses | formats, left_out, line_set, specified
    )
    return replace(made, cells=tuple(cell for sheet in every for cell in sheet.cells.values()))


def _checked(
    registry: Registry,
    path: Path,
    data: bytes,
    text: str,
    found: Understood,
    guesses: Mapping[str, Guess],
    left_out: tuple[str, ...],
    line_set: CheckedLineSet | None,
    specified: bool,
) -> MapProposal:
    """The proposal, after the map was read as the import will read it."""
    answered = {**found.asked.used}
    questions = tuple(found.asked.open)
    plan, faults = load_map(text.encode(), "proposal")
    closed = [fault for fault in faults if fault.code != "question-open"]
    if closed:
        return MapProposal(None, faults=tuple(closed), left_out=left_out)
    export = None
    if plan is not None:
        export = import_with(registry, data, path, plan, (), None if specified else line_set, "")
        if strange := _unlike(found, export, specified=specified):
            return MapProposal(None, faults=(strange,), left_out=left_out)
    why = (f"{key}: {guess.value} ({guess.sure}: {guess.why})" for key, guess in guesses.items())
    reasons = (*_summary(found, export, specified=specified), *found.notes, *why)
    return MapProposal(text, reasons, (), questions, left_out, answered, export)


def _unlike(found: Understood, export: Export, *, specified: bool) -> Fault | None:
    """A guard: the map must read what was understood, and nothing else."""
    if found.deviation or found.readings or found.from_tip:
        return None
    understood: dict[tuple[str | int, ...], Cell] = {
        ("specification", e.said.row, e.said.point) if specified
        else (e.said.when, e.said.side, e.said.row, e.said.point): e.cell
        for source in found.sources
        for e in source.entries
    }  # fmt: skip
    read = {value.path: value.cells[0] for value in export.imported.values}
    if export.imported.faults or (
        read.keys() <= understood.keys() and all(read[key] == understood[key] for key in read)
    ):
        return None
    strange = next(key for key in read if key not in understood or read[key] != understood[key])
    return read[strange].fault(
        "nothing-to-propose",
        f"It is not clear whether this is `{'.'.join(map(str, strange))}`.",
        "Write the map by hand, or lay the table out more plainly.",
    )


def _formats(data: bytes, name: str) -> dict[str, Guess]:
    if name.lower().endswith(_TEXT):
        return guess_text(data)
    if not name.lower().endswith(".json"):
        return {}
    guess = guess_records(data, name)
    # A key that says left or after becomes a column, so that the next file may say another.
    context = Context(vocabulary())
    way = [
        f"{word}|" if word != "*" and "|" not in word and said_by(word, context).of_line else word
        for word in guess.value.split(".")
    ]
    return {"records": replace(guess, value=".".join(way))}


def _table_format(formats: Mapping[str, Guess]) -> TableFormat:
    return TableFormat(
        encoding=formats["encoding"].value if "encoding" in formats else "utf-8",
        delimiter=SIGNS[formats["delimiter"].value] if "delimiter" in formats else ",",
        records=formats["records"].value if "records" in formats else "",
    )


def _meaning(found: Understood, line_set: CheckedLineSet | None) -> dict[str, Guess]:
    """Unit, deviations, tip and riser as keys of the map."""
    if found.deviation:
        why = "numbers around zero, and no lengths"
        meaning = {"unit": Guess("mm", "likely", why), "means": Guess("deviation", "likely", why)}
        return meaning | {"longer": Guess(found.longer or "plus", "sure", "as answered")}
    sure = (
        ("sure", "so they are lengths of the line set") if line_set else ("likely", "by their size")
    )
    meaning = {"unit": Guess(found.unit or "mm", *sure)}
    if found.add_mm:
        every = found.add_mm.get("")
        added = f"{every:g}" if every else flow(dict(found.add_mm))
        meaning["add_mm"] = Guess(added, "sure", "as answered")
    if found.from_tip:
        meaning["points_from"] = Guess("tip", "likely", "lengths are nearer to the line set so")
    return meaning


def _left_out(found: Understood, sheets: Sequence[Sheet]) -> Iterator[str]:
    """What holds numbers and is not imported, the largest first; then single rows and cells."""
    by_place: dict[tuple[str, str], list[NumberColumn]] = {}
    for source in found.passed:
        if source.value.cells:
            by_place.setdefault((found.tables[source.table].place, source.why), []).append(source)
    for (place, why), sources in sorted(by_place.items(), key=lambda item: -_count(item[1])):
        names = [source.called for source in sources[:_MOST_NAMED]]
        more = len(sources) - len(names)
        named = ", ".join(names) + (f" and {more} more" if more else "")
        why = why or sources[0].role
        numbers = counted(_count(sources), "number is", "numbers are")
        yield f"{numbers} left out: {place}, {named} ({why})."
    used = {source.table for source in found.sources}
    for number, table in enumerate(found.tables):
        rows = [cell for row, cell in table.skipped.items()]
        if number in used and rows:
            named = ", ".join(dict.fromkeys(f"“{cell.text[:30]}”" for cell in rows[:_MOST_NAMED]))
            count = counted(len(rows), "row names no line and is", "rows name no line and are")
            yield f"{count} left out: {table.place}, {named}."
    for text, places in found.empty.items():
        named = ", ".join([*dict.fromkeys(places)][:_MOST_NAMED])
        verb = "is" if len(places) == 1 else "are"
        cells = counted(len(places), "cell", "cells")
        yield f"{cells} “{text[:20]}” {verb} read as not measured: {named}."
    with_blocks = {id(table.block.sheet) for table in found.tables}
    for sheet in sheets:
        if id(sheet) not in with_blocks and sheet.name:
            hidden = "is hidden, and is left out" if sheet.hidden else "holds no numbers"
            yield f"Sheet “{sheet.name}” {hidden}."


def _count(sources: Sequence[NumberColumn]) -> int:
    return sum(len(source.value.cells) for source in sources)


def _summary(found: Understood, export: Export | None, *, specified: bool) -> Iterator[str]:
    """Every place that is imported, and what the import will say."""
    places: dict[str, int] = {}
    for source in found.sources:
        for entry in source.entries:
            parts = (
                entry.said.when or "?",
                entry.said.side or "?",
                found.tables[source.table].place,
            )
            key = parts[2] if specified else f"{parts[2]}: {parts[0]}, {parts[1]}"
            places[key] = places.get(key, 0) + 1
    for key, count in places.items():
        yield f"{counted(count, 'length', 'lengths')} from {key}."
    if export is None:
        yield "The import waits for the answers."
        return
    codes: dict[str, int] = {}
    for fault in export.faults:
        codes[fault.code] = codes.get(fault.code, 0) + 1
    faults = ", ".join(f"{count} × {code}" for code, count in codes.items()) or "no faults"
    values = counted(len(export.imported.values), "value", "values")
    yield f"The import will read {values} with {faults}."


def _nothing(found: Understood, name: str) -> Fault:
    """Why there is nothing to propose: the candidate that came nearest, and what it failed at."""
    best = max(found.passed, key=lambda one: len(one.value.cells), default=None)
    if best is None:
        numbers = [(len(t.block.rows), t.place) for t in found.tables]
        where = f" The largest block of numbers is in {max(numbers)[1]}." if numbers else ""
        message = f"No table of this file looks like lengths of lines.{where}"
    else:
        place = found.tables[best.table].place
        message = (
            f"No table of this file holds measured lengths. Nearest is {best.called} in {place}: "
            f"{best.why or best.role}."
        )
    hint = (
        "Lengths need a label for their line, such as A1, and headings such as left and right. "
        "`trimscribe code nothing-to-propose` says how a map is written by hand."
    )
    return Fault("nothing-to-propose", message, Mark(name), hint)
