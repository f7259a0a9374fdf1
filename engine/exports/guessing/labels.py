"""One column as labels: which line each of its texts or numbers says, and in what form."""

import re
from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

from trimscribe.exports.guessing.blocks import Block, is_number, is_unit
from trimscribe.exports.guessing.texts import (
    MOST_POINTS,
    Context,
    Piece,
    TextMeaning,
    pieces_of,
    said_by,
)
from trimscribe.model.tables import Cell

SHARE = 0.7  # of the texts of a column that say which line
_ROLE_LABELS = ("remark", "deviation", "tolerance", "difference", "mean", "sum")


@dataclass(frozen=True)
class Label:
    """A column that says which line a row is about; `said` by row of the sheet."""

    column: int
    said: dict[int, TextMeaning]
    fill: bool
    forms: tuple[str, ...]
    words: dict[tuple[str, str], set[str]]


def label_of(
    block: Block, column: int, cells: Sequence[Cell], heading: TextMeaning, context: Context
) -> Label | None:
    """The labels of a column; None where too few of its texts say which line."""
    if heading.role in _ROLE_LABELS or (heading.role == "specified"):
        return None
    numbers = [cell for cell in cells if is_number(cell)]
    if len(numbers) > 0.5 * len(cells):
        return _points(column, numbers, heading)
    said: dict[int, TextMeaning] = {}
    forms: dict[str, int] = {}
    words: dict[tuple[str, str], set[str]] = {}
    for cell in cells:
        if cell.kind.value != "plain":
            continue
        one = said_by(cell.text, context, label=True)
        if not one.of_line or one.two_things or len(one.numbers) > 1 or one.role in _ROLE_LABELS:
            continue
        if one.unknown and not (one.row and one.point):
            continue
        said[cell.row] = one
    said = _all_rows(said, block, column, context)
    if len(said) < SHARE * len([c for c in cells if not is_unit(c)]) and len(said) < 6:
        return None
    if len(said) < 0.5 * len(cells):
        return None
    for cell in cells:
        if cell.row in said:
            one = said[cell.row]
            pieces = [
                replace(p, kind="row") if p.kind == "unknown" and p.name == one.row else p
                for p in pieces_of(cell.text, context, label=True)
            ]
            if one.row and not one.side:
                pieces = [
                    replace(p, kind="row", name=one.row) if p.kind == "side" else p for p in pieces
                ]
            pieces = _row_named(pieces, one)
            forms[_form_of(cell.text, pieces)] = forms.get(_form_of(cell.text, pieces), 0) + 1
            for piece in pieces:
                if piece.kind in ("row", "side", "when"):
                    text = " ".join(cell.text[piece.start : piece.end].split())
                    if text.casefold() != piece.name.casefold():
                        words.setdefault((piece.kind, piece.name), set()).add(text)
    gaps = sum((row, column) not in block.sheet.cells for row in block.rows)
    fill = gaps > 0 and not any(one.point for one in said.values())
    order = sorted(forms, key=lambda text: (-text.count("{"), -forms[text], text))
    return Label(column, said, fill, tuple(order), words)


def _all_rows(
    said: dict[int, TextMeaning], block: Block, column: int, context: Context
) -> dict[int, TextMeaning]:
    """In a column of rows, a letter that may be a side as well is a row."""
    if not any(one.row and not one.side for one in said.values()):
        return said
    found = {}
    for row, one in said.items():
        name = context.row(block.sheet.cells[row, column].text)
        found[row] = replace(one, row=name, side="") if name and one.side and not one.row else one
    return found


def _row_named(pieces: list[Piece], said: TextMeaning) -> list[Piece]:
    """The pieces with the row that the label's reading found among unknown words."""
    if any(p.kind == "row" for p in pieces) or not said.row:
        return pieces
    return [replace(p, kind="row") if p.name == said.row else p for p in pieces]


def _points(column: int, numbers: Sequence[Cell], heading: TextMeaning) -> Label | None:
    """A column of points: small whole numbers that count on."""
    texts = [cell.text for cell in numbers]
    if not all(re.fullmatch(r"0*[1-9]\d?", text) for text in texts):
        return None
    counted = [int(text) for text in texts]
    steps = [b - a for a, b in pairwise(counted)]
    on = sum(step in (0, 1, -1) or b == 1 for step, b in zip(steps, counted[1:], strict=True))
    named = bool({"point", "number", "tip", "line"} & {*heading.heads})
    if not named and (len(set(counted)) < 2 or on < 0.8 * len(steps)):
        return None
    said = {cell.row: TextMeaning(point=int(cell.text)) for cell in numbers}
    if max(counted) > MOST_POINTS and not named:
        return None
    return Label(column, said, False, ("{point}",), {})


def _form_of(text: str, pieces: Sequence[Piece]) -> str:
    """The form of a label: its row, point, side and time in braces, all else as it is."""
    out, at, seen = "", 0, set()
    for piece in pieces:
        name = {"number": "point", "row": "row", "side": "side", "when": "when"}.get(piece.kind)
        if not name or name in seen:
            continue
        seen.add(name)
        out += _literal(text[at : piece.start]) + f"{{{name}}}"
        at = piece.end
    return out + _literal(text[at:])


def _literal(text: str) -> str:
    return re.sub(r"\s+", " ", text).replace("{", "").replace("}", "")
