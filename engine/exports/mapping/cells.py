"""Single cells: a number in mm, a label, or what is wrong with it."""

import re
from decimal import Decimal

from trimscribe.errors import Fault
from trimscribe.exports.mapping.forms import folded
from trimscribe.exports.mapping.plan import Numbers
from trimscribe.model.tables import Cell, CellKind, Sheet

# What spreadsheet programs show where a formula failed, also in text that they export.
_ERROR_TEXT = re.compile(
    r"#error|#(?:DIV/0!|N/A|NAME\?|NULL!|NUM!|REF!|VALUE!|SPILL!|CALC!)|Err:\d{3}", re.IGNORECASE
)
_DATE_TEXT = re.compile(
    r"\d{1,4}[-/.]\d{1,2}[-/.]\d{1,4}|\d{1,2}[-. ][A-Za-zäéû]{3,4}\.?", re.ASCII
)
_BLANKS = re.compile(r"(?<=\d)[ \u00a0\u2007\u2009\u202f](?=\d{3}(?!\d))")
_APOSTROPHES = str.maketrans({"’": "'", "\u2212": "-", "\u2011": "-"})
_SIGNS = re.compile(r"[-+]?[\d.,]+", re.ASCII)
_DIGITS = re.compile(r"[-+]?(?:\d+(?:\.\d*)?|\.\d+)", re.ASCII)
_LONGEST = 40  # characters of a number

_ERROR = (
    "cell-is-an-error",
    "The spreadsheet could not work this cell out.",
    "Mend the formula in the spreadsheet, or empty the cell if the point was not measured.",
)
_FORMULA = (
    "formula-without-value",
    "This formula was never worked out.",
    "Open the file in a spreadsheet program and save it.",
)


class LeftEmpty:
    """Stands for a cell that says "not measured"."""


def number_in(cell: Cell, sheet: Sheet, numbers: Numbers) -> Decimal | Fault | LeftEmpty:
    """The number of a cell, not yet in mm; a fault where there is none."""
    if folded(cell.text) in numbers.empty:
        return LeftEmpty()
    if fault := odd_kind(cell) or _merged(cell, sheet):
        return fault
    if isinstance(cell.value, bool):
        return _no_number(cell, numbers, "Empty the cell if the point was not measured.")
    if isinstance(cell.value, int | float):
        return Decimal(repr(cell.value))
    return _number_text(cell, numbers)


def unlike_number(cell: Cell, numbers: Numbers) -> bool:
    """Whether a cell holds plain words: then a row without a known label is a note, not a line."""
    return (
        cell.kind is CellKind.PLAIN
        and isinstance(cell.value, str)
        and not re.search(r"\d", cell.text)
    ) or folded(cell.text) in numbers.empty


def odd_kind(cell: Cell) -> Fault | None:
    """Why a cell can be no number and no label, whatever its text."""
    if cell.kind is CellKind.ERROR or _ERROR_TEXT.fullmatch(cell.text):
        return cell.fault(*_ERROR)
    if cell.kind is CellKind.FORMULA:
        return cell.fault(*_FORMULA)
    if cell.kind is CellKind.PERCENT:
        return cell.fault(
            "cell-is-a-percentage",
            f"This cell shows {float(cell.value) * 100:g} %; a plain number belongs here."
            if isinstance(cell.value, int | float)
            else "This cell shows a percentage; a plain number belongs here.",
            "Give the cell a plain number format, and check its value.",
        )
    if cell.kind is CellKind.DATE:
        return cell.fault(
            "cell-is-a-date",
            f"A spreadsheet made the date {cell.text} of what was typed here.",
            "Format the cells as text, then type the label or number again.",
        )
    return None


def _merged(cell: Cell, sheet: Sheet) -> Fault | None:
    if sheet.merged_at(cell.row, cell.column) is None:
        return None
    return cell.fault(
        "value-in-merged-cell",
        "This number is in a merged cell: nobody can say which lines it is for.",
        "Split the cell, and write one number for each line.",
    )


def _number_text(cell: Cell, numbers: Numbers) -> Decimal | Fault:
    text = cell.text.translate(_APOSTROPHES)
    if text.lower().endswith(numbers.unit) and text[: -len(numbers.unit)].strip():
        text = text[: -len(numbers.unit)].rstrip()
    text = _BLANKS.sub("", text)
    if numbers.thousands and re.search(re.escape(numbers.thousands), text):
        groups = rf"[-+]?\d{{1,3}}(?:{re.escape(numbers.thousands)}\d{{3}})+(?!\d)"
        if not re.match(groups, text):
            return _no_number(cell, numbers, "Groups of thousands have three digits.")
        text = text.replace(numbers.thousands, "")
    other = "." if numbers.decimal == "," else ","
    if other in text and _SIGNS.fullmatch(text):
        return _other_mark(cell, numbers, other)
    text = text.replace(",", ".", 1) if numbers.decimal == "," else text
    if _DIGITS.fullmatch(text) and len(text) <= _LONGEST:
        return Decimal(text)
    if _DATE_TEXT.fullmatch(cell.text):
        return cell.fault(
            "cell-is-a-date",
            f"“{cell.text}” is a date, which a spreadsheet may have made of what was typed.",
            "Format the cells as text or number before typing, then export again.",
        )
    return _no_number(cell, numbers, _hint(text))


def _no_number(cell: Cell, numbers: Numbers, hint: str) -> Fault:
    return cell.fault(
        "length-not-a-number",
        f"“{cell.text[:40]}” is not a number; a number in {numbers.unit} belongs here.",
        hint,
    )


def _other_mark(cell: Cell, numbers: Numbers, found: str) -> Fault:
    called = {",": "comma", ".": "point"}
    return cell.fault(
        "wrong-decimal-mark",
        f"“{cell.text[:40]}” has a {called[found]}; the map says that decimals follow a "
        f"{called[numbers.decimal]}.",
        f"Set `decimal: {called[found]}` in the map if the whole file is so, or `thousands`.",
    )


def _hint(text: str) -> str:
    if re.fullmatch(r"[-+]?[\d.]+[eE][-+]?\d+", text):
        return "The spreadsheet shortened it and digits are lost: export with a plain format."
    if re.fullmatch(r"[-+]?[\d.]+\s*[^\W\d_]+\W?", text):
        return "The map says which unit the lengths have (`unit`); write the number alone."
    return "Name texts that say “not measured” in the map (`empty`), or mend the cell."
