"""A proposed map as commented text."""

from collections.abc import Iterator, Mapping
from typing import Any

from trimscribe.imports.guess_format import Guess
from trimscribe.imports.guess_table import TableGuess
from trimscribe.imports.yaml_text import flow, scalar

__all__ = ["proposal_text"]

_FORMAT = ("encoding", "delimiter", "records")
_NUMBERS = ("decimal", "thousands", "unit", "means", "longer")
_HEAD = """\
# Proposed from {name}: a guess for you to correct. Every line says how sure it is and why.
# `trimscribe import {name} --map THIS-FILE --dry-run` shows what becomes of every cell.
trimscribe: 1
"""


def proposal_text(
    name: str,
    guess: TableGuess,
    formats: Mapping[str, Guess],
    numbers: Mapping[str, Guess],
    rows: Mapping[str, Guess],
) -> str:
    """The text of the map; `rows` are words for rows and the group that each may be."""
    lines = [
        *_section("format", formats, _FORMAT),
        *_section("numbers", numbers, _NUMBERS),
        *_riser(numbers),
        *_words(guess, rows),
    ]
    if guess.readings:
        lines.append(_said("readings: mean", "a guess", "some points are read several times", 0))
    if "points_from" in numbers:
        said = numbers["points_from"]
        lines.append(_said(f"points_from: {said.value}", said.sure, said.why, 0))
    lines.append("tables:")
    for table in guess.tables:
        lines += _table(table)
    return _HEAD.format(name=name) + "\n".join(lines) + "\n"


def _section(key: str, guesses: Mapping[str, Guess], names: tuple[str, ...]) -> Iterator[str]:
    found = {name: guesses[name] for name in names if name in guesses}
    if found:
        yield f"{key}:"
        for name, guess in found.items():
            yield _said(f"{name}: {scalar(guess.value)}", guess.sure, guess.why, 2)


def _riser(numbers: Mapping[str, Guess]) -> Iterator[str]:
    """An even offset is told and left to the person: it may be wear, or a riser."""
    if "add_mm" in numbers:
        said = numbers["add_mm"]
        yield _said(f"# add_mm: {said.value}", said.sure, said.why, 2)


def _said(text: str, sure: str, why: str, indent: int) -> str:
    return f"{' ' * indent + text:30} # {sure}: {' '.join(why.split())}"


def _words(guess: TableGuess, rows: Mapping[str, Guess]) -> Iterator[str]:
    kinds = {kind: names for kind, names in guess.words.items() if kind != "row"}
    if kinds or rows:
        yield "words:"
    for kind, names in kinds.items():
        yield _said(f"{kind}: {flow(names)}", "likely", "these words stand in the export", 2)
    if rows:
        yield "  row:"
        for row, one in rows.items():
            yield _said(f"{scalar(one.value)}: {scalar(row)}", one.sure, one.why, 4)


def _table(table: Mapping[str, Any]) -> Iterator[str]:
    """A table with a line for each key, and one for each of its columns."""
    start = "  - "
    for key, value in table.items():
        if key in ("labels", "values"):
            yield f"{start}{key}:"
            yield from (f"      - {flow(column)}" for column in value)
        else:
            yield f"{start}{key}: {flow(value)}"
        start = "    "
