"""Forms of labels such as `{row}{point} {side}`: a small declared pattern, never code.

Parts in braces are `row`, `point`, `side`, `when` (before or after), `reading` (a number that only
tells repeated readings apart) and `any`. A blank stands for any blanks or none; everything else
stands for itself, capitals or not.
"""

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, fields

from trimscribe.model.wing import Side

PARTS = ("row", "point", "side", "when", "reading", "any")
_LONGEST = 200  # characters of a label
_PIECE = re.compile(r"\{([^{}]*)\}|(\s+)|([^{}\s]+|[{}])")
_FREE = {"row": r"[^\W\d_]+", "point": r"\d{1,3}", "reading": r"\d{1,3}", "any": r".*?"}


@dataclass(frozen=True)
class Parts:
    """What is known of a line so far; `point` 0 and empty texts are not known."""

    row: str = ""
    point: int = 0
    side: Side | None = None
    when: str = ""

    def also(self, other: "Parts") -> "Parts | str":
        """Both together, or the name of a part that they contradict each other in."""
        merged = {}
        for one in fields(self):
            mine, theirs = getattr(self, one.name), getattr(other, one.name)
            if mine and theirs and mine != theirs:
                return one.name
            merged[one.name] = mine or theirs
        return Parts(**merged)


class FormError(Exception):
    """A form that cannot be read: the word in braces that is wrong, or empty."""

    def __init__(self, word: str, message: str) -> None:
        """Take what is wrong."""
        super().__init__(message)
        self.word, self.message = word, message


@dataclass(frozen=True)
class Form:
    """One form, ready to be compared with labels."""

    text: str
    pattern: re.Pattern[str]
    words: Mapping[str, Mapping[str, str]]

    def match(self, label: str) -> Parts | None:
        """What a label says, or None when it has not this form."""
        match = self.pattern.fullmatch(label) if len(label) <= _LONGEST else None
        if match is None:
            return None
        found = {name: text for name, text in match.groupdict().items() if text}
        side = found.get("side")
        row = found.get("row", "")
        return Parts(
            row=self.words["row"].get(folded(row), row),
            point=int(found.get("point", "0")),
            side=Side(self.words["side"][folded(side)]) if side else None,
            when=self.words["when"][folded(found["when"])] if "when" in found else "",
        )


def form(text: str, words: Mapping[str, Mapping[str, str]]) -> Form:
    """Make a form; FormError when it has an unknown part, the same part twice, or none."""
    seen: set[str] = set()
    pattern = ""
    for piece in _PIECE.finditer(text):
        name, blank, literal = piece.groups()
        if name is None:
            if literal in ("{", "}"):
                raise FormError(literal, "A brace is not closed.")
            pattern += r"\s*" if blank else re.escape(literal)
            continue
        if name not in PARTS:
            raise FormError(name, f"`{{{name}}}` is no part of a label.")
        if name in seen and name != "any":
            raise FormError(name, f"`{{{name}}}` occurs twice.")
        seen.add(name)
        group = "" if name == "any" else f"?P<{name}>"
        pattern += f"({group}{_alternatives(name, words)})"
    if not seen:
        raise FormError("", "Nothing is in braces.")
    return Form(text, re.compile(pattern, re.IGNORECASE), words)


def _alternatives(name: str, words: Mapping[str, Mapping[str, str]]) -> str:
    """The words of a part, the longest first, then what it may be besides."""
    known: Iterable[str] = sorted(words.get(name, ()), key=lambda word: (-len(word), word))
    free = [_FREE[name]] if name in _FREE else []
    return "|".join([*(r"\s+".join(map(re.escape, w.split())) for w in known), *free])


def folded(text: str) -> str:
    """A text as words are compared: one blank between words, capitals or not."""
    # Not casefold, which writes ß as ss: no pattern would find the word again.
    return " ".join(text.split()).lower()
