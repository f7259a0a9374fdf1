"""A proposed map as commented text."""

from collections.abc import Iterator, Mapping, Sequence
from typing import TYPE_CHECKING, Any

from trimscribe.exports.editing.yaml_text import flow, scalar
from trimscribe.exports.guessing.guess_format import Guess

if TYPE_CHECKING:
    from trimscribe.exports.guessing.understand import Understood

_FORMAT = ("encoding", "delimiter", "records")
_NUMBERS = ("decimal", "thousands", "unit", "means", "longer", "add_mm")
_HEAD = """\
# Proposed from {name}: a guess for you to correct. Every line says how sure it is and why.
# `trimscribe import {name} --map THIS-FILE --dry-run` shows what becomes of every cell.
"""


def proposal_text(
    name: str,
    *,
    formats: Mapping[str, Guess],
    numbers: Mapping[str, Guess],
    words: Mapping[str, Mapping[str, Sequence[str]]],
    tables: Sequence[Mapping[str, Any]],
    found: "Understood",
    left_out: Sequence[str],
    shape: Sequence[Mapping[str, Any]],
) -> str:
    """The text of the map."""
    lines = [_HEAD.format(name=" ".join(name.split())).rstrip("\n")]
    lines += [f"# Left out: {' '.join(one.split())}" for one in left_out]
    lines += ["trimscribe: 1", *_section("format", formats, _FORMAT)]
    lines += [
        *_section("numbers", numbers, _NUMBERS),
        *_empty(numbers, found.empty),
        *_words(words),
    ]
    if found.readings:
        lines.append(
            _said(f"readings: {found.readings}", "likely", "lines are read several times", 0)
        )
    if found.from_tip:
        lines.append(
            _said("points_from: tip", "likely", "so lengths are nearer to the line set", 0)
        )
    if found.when:
        lines.append(
            _said(f"measuring: {found.when}", "sure", "as answered: the file does not say it", 0)
        )
    if found.asked.used:
        lines.append(f"answers: {flow(dict(found.asked.used))}")
    lines += _questions(found)
    lines.append("tables:")
    for table in tables:
        lines += _table(table)
    lines.append("# By these headings the map is found again for the next file of this kind.")
    lines.append("shape:")
    lines += [f"  - {flow(one)}" for one in shape]
    return "\n".join(lines) + "\n"


def _questions(found: "Understood") -> Iterator[str]:
    if found.asked.open:
        yield "# Open questions: propose again with --answer ID=ANSWER, or settle each one below"
        yield "# and delete it here. A map with open questions does not import."
        yield "questions:"
        for one in found.asked.open:
            choices = [*one.choices, *(["a number"] if one.number else [])]
            asks = " ".join(one.asks.split())
            yield f"  - {flow({'id': one.id, 'asks': asks, 'answers': choices})}"


def _section(key: str, guesses: Mapping[str, Guess], names: tuple[str, ...]) -> Iterator[str]:
    found = {name: guesses[name] for name in names if name in guesses}
    if found:
        yield f"{key}:"
        for name, guess in found.items():
            value = guess.value if name == "add_mm" else scalar(guess.value)
            yield _said(f"{name}: {value}", guess.sure, guess.why, 2)


def _empty(numbers: Mapping[str, Guess], empty: Mapping[str, Sequence[str]]) -> Iterator[str]:
    if empty:
        if not any(name in numbers for name in _NUMBERS):
            yield "numbers:"
        yield _said(f"empty: {flow(list(empty))}", "likely", "no lengths, so not measured", 2)


def _said(text: str, sure: str, why: str, indent: int) -> str:
    return f"{' ' * indent + text:30} # {sure}: {' '.join(why.split())}"


def _words(words: Mapping[str, Mapping[str, Sequence[str]]]) -> Iterator[str]:
    if words:
        yield "words:"
    for kind, names in words.items():
        yield f"  {kind}:"
        for name, given in names.items():
            why = "by its lengths or its word" if kind == "row" else "so the export calls it"
            yield _said(f"{scalar(name)}: {flow(list(given))}", "likely", why, 4)


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
