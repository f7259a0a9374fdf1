"""One text of an export to what it says: `Left (after)`, `A1 L`, `Frein principal gauche`."""

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace

from trimscribe.exports.guessing.vocabulary import Vocabulary, tokens_of
from trimscribe.letters import plain_letters
from trimscribe.model.wing import BRAKE_MAIN

MOST_POINTS = 40  # a number above is not a point of a row
_ORDINAL = ("st", "nd", "rd", "th")  # behind a number
_BRACKETS = re.compile(r"[\[(<].*?[\])>]")
# The role that holds where a heading has words for several.
_ROLES = ("tolerance", "deviation", "difference", "mean", "sum", "specified", "planned", "remark",
          "reading", "measured")  # fmt: skip


@dataclass(frozen=True)
class Context:
    """What texts are read with: rows of the line set by plain name, and the pair of initials.

    `tokens` are all words of the file: `BR` is row B on the right only where `BL` is there as well.
    `front` is where the file says that it is seen from the front: then left may be the right.
    `rows` is empty where no line set is known: then single capitals A to G are rows.
    """

    words: Vocabulary
    rows: Mapping[str, str] = field(default_factory=dict)
    initials: tuple[str, str] | None = None
    paired: bool = False
    last: bool = True
    tokens: frozenset[str] = frozenset()
    front: bool = False

    def row(self, text: str) -> str:
        """The row that a run of letters names, or nothing."""
        if len(text) == 1 and not text.isupper():
            return ""
        name = self.rows.get(text.casefold(), "")
        return name or ("" if self.rows or not re.fullmatch("[A-G]", text) else text)

    def side(self, plain: str, *, part: bool = False) -> str:
        """The side that a short word names, where the pair holds.

        Standing alone, and no `part` of a word, it needs the other alone too: `L` may be a length.
        """
        if self.initials and plain in self.initials:
            if not part and self.tokens and not {*self.initials} <= self.tokens:
                return ""
            return ("left", "right")[self.initials.index(plain)]
        return ""


@dataclass(frozen=True)
class Piece:
    """A part of a text: its kind (side, view, when, row, role, number, head, filler, unknown)."""

    kind: str
    name: str
    start: int
    end: int


MeaningKey = tuple[str, str, str, int]


@dataclass(frozen=True)
class TextMeaning:
    """What a text says; empty and 0 are not said. `heads` are words for kinds of columns."""

    row: str = ""
    point: int = 0
    side: str = ""
    when: str = ""
    role: str = ""
    heads: tuple[str, ...] = ()
    unknown: tuple[str, ...] = ()
    numbers: tuple[int, ...] = ()
    two_things: bool = False

    def under(self, outer: "TextMeaning") -> "TextMeaning":
        """This with what only an outer text (title, sheet) says."""
        return replace(
            self,
            row=self.row or outer.row,
            point=self.point or outer.point,
            side=self.side or outer.side,
            when=self.when or outer.when,
            role=self.role or outer.role,
        )

    @property
    def key(self) -> MeaningKey:
        """When, side, row and point."""
        return self.when, self.side, self.row, self.point

    @property
    def of_line(self) -> bool:
        """Whether it says anything about which line."""
        return bool(self.row or self.point or self.side or self.when)


def pieces_of(text: str, context: Context, *, label: bool = False) -> list[Piece]:
    """The parts of a text with their meanings; in a label a number makes a row of a letter."""
    tokens = tokens_of(text)
    bracketed = [(m.start(), m.end()) for m in _BRACKETS.finditer(text)]
    pieces: list[Piece] = []
    at = 0
    while at < len(tokens):
        plain, start, end = tokens[at]
        original = text[start:end]
        found = context.words.find([token for token, _, _ in tokens[at:]])
        length = 1
        if plain.isdecimal():
            pieces.append(Piece("number", plain, start, end))
        elif not label and plain in _ORDINAL and start and text[start - 1].isdecimal():
            pieces.append(Piece("filler", "", start, end))  # 1st is no stabilo
        elif (
            context.last
            and plain in context.words.last
            and at == len(tokens) - 1
            and not any(a < start < b for a, b in bracketed)
        ):
            pieces.append(Piece(*context.words.last[plain], start, end))
        elif parts := _compound(original, plain, start, context):
            pieces += parts
        elif (
            len(original) == 1
            and at + 1 < len(tokens)
            and tokens[at + 1][0].isdecimal()
            and not context.side(plain)
            and (row := context.row(original.upper()))
        ):
            pieces.append(Piece("row", row, start, end))  # a 1, in small letters
        elif context.paired and plain in context.words.paired:
            pieces.append(Piece(*context.words.paired[plain], start, end))
        elif found and found[0] > 1 and not _is_row_and_side(tokens[at : at + 2], text, context):
            length = found[0]
            pieces.append(Piece(*found[1], start, tokens[at + length - 1][2]))
        elif context.side(plain) and context.row(original):
            pieces.append(Piece("either", original, start, end))
        elif side := context.side(plain):
            pieces.append(Piece("side", side, start, end))
        elif row := context.row(original):
            pieces.append(Piece("row", row, start, end))
        elif found and not (found[1][0] == "filler" and len(original) == 1 and original.isupper()):
            pieces.append(Piece(*found[1], start, end))
        else:
            pieces.append(Piece("unknown", original, start, end))
        at += length
    return _settled(pieces, context, label=label)


def _is_row_and_side(tokens: Sequence[tuple[str, int, int]], text: str, context: Context) -> bool:
    """`A l` is a row and an initial, not French."""
    if len(tokens) < 2:
        return False
    (_, start, end), (second, _, _) = tokens
    return bool(context.row(text[start:end]) and context.side(second))


def _compound(original: str, plain: str, start: int, context: Context) -> list[Piece]:
    """Letters without anything between: `AL`, `LA`, `StR`."""
    if len(original) == len(plain) and 1 < len(original) < 9 and original[-1:].isupper():
        for cut in (len(original) - 1, 1):
            first, second = original[:cut], original[cut:]
            for row, side, order in ((first, second, 0), (second, first, 1)):
                if len(side) == 1 and (where := context.side(side.lower(), part=True)):
                    if not _has_counterpart(plain, at_end=not order, context=context):
                        continue
                    name = context.row(row) or _row_word(row, context)
                    if name:
                        parts = [("row", name, row), ("side", where, side)]
                        found, at = [], start
                        for kind, value, written in parts[::-1] if order else parts:
                            found.append(Piece(kind, value, at, at + len(written)))
                            at += len(written)
                        return found
    return []


def _has_counterpart(plain: str, *, at_end: bool, context: Context) -> bool:
    """Whether the same row is there with the other side."""
    if not context.tokens or context.initials is None:
        return True
    here = plain[-1] if at_end else plain[0]
    other = next((one for one in context.initials if one != here), "")
    return (plain[:-1] + other if at_end else other + plain[1:]) in context.tokens


def _row_word(text: str, context: Context) -> str:
    found = context.words.phrases.get((plain_letters(text),))
    return found[1] if found and found[0] == "row" else ""


def _settled(pieces: list[Piece], context: Context, *, label: bool) -> list[Piece]:
    """Letters that may be a row or a side, by what else the text says."""
    views = {piece.name for piece in pieces if piece.kind == "view"}
    lost = {"side", "either"} if context.front or "front" in views else set[str]()
    lost |= {"when"} if "other" in views else set()
    if lost:  # whose left that is, nobody can know; nor whether that was the work
        pieces = [replace(p, kind="unknown") if p.kind in lost else p for p in pieces]
    settled = []
    for at, piece in enumerate(pieces):
        if piece.kind != "either":
            settled.append(piece)
            continue
        others = [one for n, one in enumerate(pieces) if n != at]
        has_row = any(one.kind == "row" for one in settled) or any(
            one.kind == "row" for one in others
        )
        has_side = any(one.kind == "side" for one in (*settled, *others))
        later = sum(one.kind == "either" for one in pieces[at + 1 :])
        number_next = any(
            one.kind == "number" and (label or piece.end == one.start or one.end == piece.start)
            for one in others
        )
        is_row = not has_row and (has_side or number_next or later > 0)
        kind = "row" if is_row else "side"
        name = context.row(piece.name) if is_row else context.side(piece.name.lower())
        settled.append(Piece(kind, name, piece.start, piece.end))
    return settled


def said_by(text: str, context: Context, *, label: bool = False) -> TextMeaning:
    """What a text says; in a label a run of letters beside a number is a row, known or not."""
    pieces = pieces_of(text, context, label=label)
    if label:
        pieces = _with_new_row(pieces)
    said: dict[str, str] = {}
    two = False
    for piece in pieces:
        if piece.kind in ("row", "side", "when"):
            two |= said.get(piece.kind, piece.name) != piece.name
            said.setdefault(piece.kind, piece.name)
    roles = {piece.name for piece in pieces if piece.kind == "role"}
    if "when" in said:  # before the correction, after adjustment
        roles.discard("difference")
    if {"specified", "measured"} <= roles and re.search(r"[-−–/:]", text):
        roles.add("deviation")
    if re.search(r"±|\+\s*/\s*-", text):
        roles.add("tolerance")
    if "Δ" in text or "δ" in text:
        roles.add("deviation")
    numbers = tuple(int(p.name) for p in pieces if p.kind == "number" and len(p.name) < 10)
    point = 0
    if (
        label
        and said.get("row") != BRAKE_MAIN
        and len(numbers) == 1
        and 1 <= numbers[0] <= MOST_POINTS
    ):
        point = numbers[0]
    return TextMeaning(
        row=said.get("row", ""),
        point=point,
        side=said.get("side", ""),
        when=said.get("when", ""),
        role=next((role for role in _ROLES if role in roles), ""),
        heads=tuple(piece.name for piece in pieces if piece.kind == "head"),
        unknown=tuple(piece.name for piece in pieces if piece.kind == "unknown"),
        numbers=numbers,
        two_things=two,
    )


def _with_new_row(pieces: list[Piece]) -> list[Piece]:
    """A row that nobody knows yet: the one unknown word where there is no row, as `S` in `S1`."""
    if any(piece.kind == "row" for piece in pieces):
        return pieces
    unknown = [piece for piece in pieces if piece.kind == "unknown"]
    if len(unknown) != 1 or len(unknown[0].name) > 12:
        return pieces
    return [replace(p, kind="row") if p is unknown[0] else p for p in pieces]
