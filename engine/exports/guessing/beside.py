"""What an export says beside its lengths: its wing, when, with what; and remarks that are left out.

Cells are those that no value was made of. Nothing here becomes a value of a job: a person is told.
"""

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from trimscribe.errors import Fault, Mark, Severity
from trimscribe.exports.guessing.blocks import is_number
from trimscribe.exports.guessing.questions import counted
from trimscribe.exports.guessing.texts import Context, said_by
from trimscribe.exports.guessing.vocabulary import about_words, tokens_of, vocabulary
from trimscribe.exports.mapping.take import IN_NO_COLUMN, IN_NO_SHEET, NOTE, OUTSIDE, LeftOut
from trimscribe.letters import plain_letters
from trimscribe.model.tables import Cell, CellKind

_BRACKETS = re.compile(r"[\[(].*?[\])]")
_DATE = re.compile(r"\d{1,4}[-/.]\s?\d{1,2}[-/.]\s?\d{1,4}(?:[ T].*)?", re.ASCII)
_DAY_FIRST = re.compile(r"(\d{1,2})\.\s?(\d{1,2})\.\s?(\d{4})", re.ASCII)
_NEWTON = re.compile(r"(\d{1,3}(?:[.,]\d+)?)\s*N", re.ASCII)
_FORCE = re.compile(r"\d{1,3}(?:[.,]\d+)?\s*(?:da|k)?[a-zA-Z]{0,7}", re.ASCII)
_LONGEST = 60  # signs of what a label asks for
_SIZES = {"xxs", "xs", "s", "sm", "m", "ml", "l", "xl", "xxl"}
_SHORTEST = 3  # signs of a serial number that is written without its start
_OF_EITHER = ("serial number", "model")  # a wing has them, and an instrument too
_MOST_NAMED = 12
_NAMES = {"date": "date", "instrument": "instrument", "tension": "tension_n"}


@dataclass(frozen=True)
class LabelledText:
    """What a cell says of a thing such as the serial number, and where."""

    about: str
    text: str
    mark: Mark


def labelled_texts(cells_beside: Sequence[Cell]) -> tuple[LabelledText, ...]:
    """What labels such as `Serial no` say, in the cell behind the colon, to the right or below.

    Serial number and model are those of the wing, unless an instrument was named last before them.
    """
    cells = {
        (cell.mark.cell.rpartition("!")[0], cell.row, cell.column): cell for cell in cells_beside
    }
    found: list[LabelledText] = []
    owner = "wing"
    for (sheet, row, column), cell in sorted(cells.items(), key=lambda item: item[0]):
        label, _, rest = cell.text.partition(":")
        about = about_of(label)
        owner = about if about in ("wing", "instrument") else owner
        if about in _OF_EITHER and owner != "wing":
            continue
        right, below = cells.get((sheet, row, column + 1)), cells.get((sheet, row + 1, column))
        for text, mark in (
            (rest.strip(), cell.mark),
            *((other.text, other.mark) for other in (right, below) if other),
        ):
            if about and _says(about, text):
                about = "wing" if about == "model" else about
                found.append(LabelledText(about, " ".join(text.split()), mark))
                break
            if text and not _is_label(text):
                break
    return tuple(found)


def about_of(label: str) -> str:
    """What a label asks for, such as serial number; empty where it asks for nothing known."""
    plain = _BRACKETS.sub("", label)
    return about_words().get(tuple(token for token, _, _ in tokens_of(plain)), "")


def _is_label(text: str) -> bool:
    """Whether a text is a label or heading itself, and no value of the label before it."""
    said = said_by(text, Context(vocabulary()))
    known = said.heads or said.role or said.side or said.when or about_of(text.partition(":")[0])
    return bool(known) and not said.unknown


def _says(about: str, text: str) -> bool:
    """Whether a text can be what the label asks for."""
    if about == "date":
        return bool(_DATE.fullmatch(text))
    if about == "tension":
        return bool(_FORCE.fullmatch(text))
    if not text or _is_label(text):
        return False
    wanted = r"\d" if about == "serial number" else r"[^\W\d]"
    return bool(re.search(wanted, text)) and len(text) < _LONGEST


def told(left_out: Sequence[LeftOut], said: Sequence[LabelledText]) -> Iterator[str]:
    """What a person is told of all this, as lines: remarks that are left out, and offers."""
    words = list(_remarks(left_out, said))
    if words:
        named = ", ".join(f"{_place(cell.mark)} “{cell.text[:60]}”" for cell in words[:_MOST_NAMED])
        more = len(words) - _MOST_NAMED
        count = counted(len(words), "text is", "texts are")
        yield f"{count} left out: {named}{f' and {more} more' * (more > 0)}."
    if found := offered(said):
        named = ", ".join(f"{key}: {text}" for key, text in found.items())
        yield f"The file also says {named}. This is not written: put into the job what holds."


def _place(mark: Mark) -> str:
    return mark.cell or f"{mark.line}:{mark.column}"


def _remarks(left_out: Sequence[LeftOut], said: Sequence[LabelledText]) -> Iterator[Cell]:
    """Words that are left out, those in columns of tables first; no headings, labels or numbers."""
    known = {one.mark for one in said}
    for reason in (IN_NO_COLUMN, NOTE, OUTSIDE, IN_NO_SHEET):
        for one in left_out:
            cell = one.cell
            words = cell.kind is CellKind.PLAIN and re.search(r"[^\W\d_]{2}", cell.text)
            if one.reason == reason and words and not is_number(cell):
                label = about_of(cell.text.partition(":")[0])
                if cell.mark not in known and not label and not _is_label(cell.text):
                    yield cell


def offered(said: Sequence[LabelledText]) -> Mapping[str, str]:
    """Date, instrument and tension as a job writes them, where the export says one of each."""
    found: dict[str, str] = {}
    for about, key in _NAMES.items():
        texts = list(dict.fromkeys(one.text for one in said if one.about == about))
        if len(texts) == 1:
            found[key] = texts[0]
    if day := _DAY_FIRST.fullmatch(found.get("date", "")):
        found["date"] = f"{day[3]}-{int(day[2]):02}-{int(day[1]):02}"
    if newton := _NEWTON.fullmatch(found.get("tension_n", "")):
        found["tension_n"] = newton[1].replace(",", ".")
    elif "tension_n" in found:
        found["tension (in N?)"] = found.pop("tension_n")
    return found


def other_wing(
    said: Sequence[LabelledText], wing: Mapping[str, object], file: str, *, allowed: bool
) -> Iterator[Fault]:
    """Faults where an export names another wing than a job, or warnings where that is `allowed`.

    `wing` is what the job says of its wing; what it does not say is not compared.
    """
    severity = Severity.WARNING if allowed else Severity.ERROR
    for about, ours, is_same in (
        ("serial number", str(wing.get("serial_number") or ""), _same_number),
        ("wing", " ".join(str(wing.get(k) or "") for k in ("maker", "model", "size")), _same_name),
    ):
        named = [one for one in said if one.about == about]
        if named and ours.strip() and not any(is_same(one.text, ours) for one in named):
            yield Fault(
                "other-wing",
                f"The export is of “{named[0].text}”; the {about} in {file} is “{ours.strip()}”.",
                named[0].mark,
                ""
                if allowed
                else "Name the job of this wing; --other-wing writes it all the same.",
                severity,
            )


def _same_number(one: str, other: str) -> bool:
    a, b = (re.sub(r"[^a-z0-9]", "", plain_letters(text)) for text in (one, other))
    return a == b or (min(len(a), len(b)) >= _SHORTEST and (a.endswith(b) or b.endswith(a)))


def _same_name(one: str, ours: str) -> bool:
    """Whether a name shares a word with ours, and has no other size."""
    a, b = (set(_words(text)) for text in (one, ours))
    sizes, size = a & _SIZES, b & _SIZES
    return bool((a - _SIZES) & (b - _SIZES)) and (not sizes or not size or bool(sizes & size))


def _words(text: str) -> Iterator[str]:
    for token, _, _ in tokens_of(text):
        yield re.sub(r"(?<=[aou])e", "", token)  # Haeher is Häher
