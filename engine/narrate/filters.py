"""The filters that phrases use to write facts in a language's own way."""

import math
import re
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from trimscribe.formats import LocaleFormats
from trimscribe.model.wing import BRAKE_MAIN, STABILO, Side
from trimscribe.model.workshop import AS_THE_LANGUAGE, Writing
from trimscribe.narrate.expressions import CannotSayError
from trimscribe.narrate.written import YamlMapping

_HAIR = 1e-9
NBSP = "\u00a0"  # a number and its unit stay on one line

# What a language's `words` must hold, and what each of them is.
WORDS: Mapping[str, type] = {
    "left": str,
    "right": str,
    "should": str,
    "may": str,
    "numbers": list,
    "and_more": str,
    "but_close": str,
    "but_sides_close": str,
    "row": str,
    "rows": str,
    "tip_lines": str,
    "brake_main": str,
    "brakes": dict,
    "brake_why": dict,
    "longer": str,
    "shorter": str,
    "level": str,
    "speed_range": str,
    "speed_about": str,
    "speed_up_to": str,
    "speed_at_least": str,
    "glossary": dict,
    "groups": dict,
    "to_mend": dict,
    "entered": dict,
    "angle_by": dict,
}
_ENTRIES = {
    "brakes": ("both", "left", "right", "one"),
    "brake_why": ("lines", "brakes", "both", "lines_entered", "both_entered"),
    "groups": (
        *("lines", "brakes", "brake_lengths"),
        *("brake_left", "brake_right", "brake_lengths_of_left", "brake_lengths_of_right"),
        *("cloth", "strength", "risers", "inspection"),
    ),
    "to_mend": ("brakes", "cloth", "strength", "inspection"),
    "angle_by": ("lines", "half", "half_lines", "rows", "rows_lines"),
    "entered": (
        *("before", "after", "between", "specification", "adjustments"),
        *("offset", "risers", "all"),
    ),
}
_KINDS: Mapping[type, str] = {
    str: "Text",
    list: "A list",
    dict: "A mapping of `key: value` entries",
}


def check_words(written: YamlMapping) -> Mapping[str, Any]:
    """The `words` of a phrases.yaml; notes what is missing, unknown or of the wrong kind."""
    words = written.mapping("words")
    written.check_names(("words",), words, WORDS)
    for name, entries in _ENTRIES.items():
        written.check_names(("words", name), written.mapping("words", name), entries)
    for name, kind in WORDS.items():
        if name in words and not isinstance(words[name], kind):
            written.fault("wrong-kind", f"{_KINDS[kind]} belongs here.", ("words", name))
    return words


@dataclass(frozen=True)
class WordFilters:
    """Filters of one language: its formats and the `words` of its phrases.yaml."""

    formats: LocaleFormats
    words: Mapping[str, Any]
    writing: Writing = AS_THE_LANGUAGE

    def __hash__(self) -> int:
        """Equal ones alike; `words` is a mapping and has no hash."""
        return hash((self.formats, self.writing))

    def filters(self) -> dict[str, Callable[..., str]]:
        """The filters by the name that a phrase uses."""
        return {
            "angle_by": self.angle_by,
            "at_most": self.at_most,
            "brakes": self.brakes,
            "brake_why": self.brake_why,
            "but_close": self.but_close,
            "count": self.count,
            "degrees": self.degrees,
            "ended": ended,
            "entries": self.entries,
            "full_speed": self.full_speed,
            "gloss": self.gloss,
            "groups": self.groups,
            "items": self.items,
            "lines": self.lines,
            "longer": self.longer,
            "mm": self.mm,
            "modal": self.modal,
            "number": self.number,
            "row_name": self.row_name,
            "reasons": self.reasons,
            "rows": self.rows,
            "sentence": self.sentence,
            "side": self.side,
            "speed": self.speed,
            "to_mend": self.to_mend,
            "travel": self.travel,
            "written": self.written,
        }

    def number(self, value: float, digits: int = 0) -> str:
        """A number without its sign, a small count in words; the sentence tells the direction."""
        if isinstance(value, int) and not digits:
            return self._spelled(value)
        return self._digits(value, digits)

    def _digits(self, value: float, digits: int = 0) -> str:
        if value is None:
            raise CannotSayError(
                "a number is not known here; ask in `when` whether it `is not none`"
            )
        return self.formats.number(abs(value), digits)

    def written(self, value: float) -> str:
        """A stated number with the decimals that it was stated with; no more than six."""
        return self.formats.written(round(abs(value), 6))

    def mm(self, value: float, digits: int = 0) -> str:
        """A length in mm, whole unless `digits` asks for decimals."""
        return f"{self._digits(value, digits)}{NBSP}mm"

    def longer(self, value: float, limit: float | None = None) -> str:
        """A signed length against another: `33 mm longer`, `2 mm shorter`, `level`.

        One that is beyond a limit is never printed as that limit.
        """
        way = "level" if round(value) == 0 else "longer" if value > 0 else "shorter"
        size = self.formats.beside(abs(value), limit)
        return str(self.words[way]).format(mm=f"{size}{NBSP}mm")

    def travel(self, value: float, least: float) -> str:
        """Free travel in mm as tables print it beside the least."""
        return f"{self.formats.at_least(value, least)}{NBSP}mm"

    def degrees(self, value: float) -> str:
        """An angle to a tenth of a degree."""
        return f"{self._digits(value, 1)}°"

    def at_most(self, value: float) -> str:
        """An angle that bounds another, rounded up to a tenth of a degree."""
        return f"{self.formats.at_most(value, 1)}°"

    def angle_by(self, value: str, side: str) -> str:
        """What an angle is taken from: `by its lines alone`; empty where that is the whole wing.

        `side` is the only one of which lines are known.
        """
        words: Mapping[str, str] = self.words["angle_by"]
        return words[value].format(side=self.side(side) if side else "") if value else ""

    def count(self, value: int, **forms: str) -> str:
        """A form by plural category, `#` standing for the number: one="one line", other="# lines".

        Small numbers are written as words.
        """
        if "other" not in forms:
            raise CannotSayError(
                '`count` needs its forms, as in count(one="one line", other="# lines")'
            )
        form = forms.get(self.formats.plural(value), forms["other"])
        return form.replace("#", self._spelled(value))

    def but_close(self, count: int, verdict: str) -> str:
        """What keeps "within limits" from being said of all lines; empty where nothing does."""
        if count:
            return str(self.words["but_close"]).format(count=self._spelled(count))
        close = verdict in ("conditional_pass", "conditional_fail")
        return str(self.words["but_sides_close"]) if close else ""

    def modal(self, expectation: str) -> str:
        """How surely the pilot will notice it: "should" for expected, "may" for possible."""
        return str(self.words[{"expected": "should", "possible": "may"}[expectation]])

    def _spelled(self, value: int) -> str:
        numbers: Sequence[str] = self.words["numbers"]
        return numbers[value] if value < len(numbers) else self.formats.number(value)

    def side(self, value: str) -> str:
        """Left or right; CannotSayError for anything else."""
        if value not in tuple(Side):
            raise CannotSayError(f"`side` takes left or right, not “{value}”")
        return str(self.words[value])

    def brakes(self, sides: Sequence[str], sides_open: bool = False) -> str:
        """Both brakes, or the one of a side; `one brake` where left and right may be mixed up.

        CannotSayError for anything else than a list of sides.
        """
        if not sides or not set(sides) <= set(Side):
            raise CannotSayError(f"`brakes` takes a list of sides, not “{sides}”")
        which = "both" if len(sides) > 1 else "one" if sides_open else sides[0]
        return str(self.words["brakes"][which])

    def brake_why(self, value: str) -> str:
        """The reason behind a sentence about brakes; empty without any."""
        return str(self.words["brake_why"][value]) if value else ""

    def groups(self, values: Sequence[str]) -> str:
        """Parts of the service in running text: `brakes and cloth`."""
        return self.formats.items([self.words["groups"][value] for value in values])

    def to_mend(self, values: Sequence[str]) -> str:
        """What must be put right in these parts: `the weak lines and the damage`."""
        return self.formats.items([self.words["to_mend"][value] for value in values])

    def row_name(self, value: str) -> str:
        """One row or the tip lines by name: `row C`."""
        return self.rows([value])

    def rows(self, values: Sequence[str]) -> str:
        """Rows by name, the lines of the wing tip in words: `rows B and C`."""
        names = [value for value in values if value != STABILO]
        form = str(self.words["row" if len(names) == 1 else "rows"])
        parts = [form.format(names=self.formats.items(names))] if names else []
        return self.formats.items([*parts, *[self.words["tip_lines"]] * (STABILO in values)])

    def items(self, values: Sequence[str], most: int = 6) -> str:
        """A list in running text; beyond `most` the rest is counted."""
        shown = list(values[:most])
        if len(values) > most:
            rest = len(values) - most
            shown.append(str(self.words["and_more"]).format(count=self._spelled(rest)))
        return self.formats.items(shown)

    def lines(self, values: Sequence[tuple[str, str]], most: int = 6) -> str:
        """Names with their side in running text: `B9 right and C4 left`."""
        return self.items([self._on_side(name, side) for name, side in values], most)

    def _on_side(self, name: str, side: str) -> str:
        """A name with its side; a part may be called by its side already, as in `left riser`."""
        name = str(self.words[name]) if name == BRAKE_MAIN else name.strip().rstrip(".")
        word = self.side(side) if side else ""
        if not side or re.search(rf"\b{re.escape(word)}\b", name, re.IGNORECASE):
            return name
        return f"{name} {word}"

    def entries(self, values: Sequence[str], most: int = 6) -> str:
        """Places of a job as `confirmed` names them, with the reason if given, in running text.

        `after.left.B4` is `B4 left (measured after)`, `before.C (torn)` is `row C (measured before;
        torn)`.
        """
        return self.items([self._entry(*value.partition(" (")[::2]) for value in values], most)

    def _entry(self, name: str, why: str) -> str:
        words: Mapping[str, str] = self.words["entered"]
        part, *path = name.split(".")
        sides = [self.side(one) for one in path if one in ("left", "right")]
        what = [self._thing(one) for one in path if one not in ("left", "right", "both")]
        if path[:1] == ["risers"]:  # named like a row, and not one
            what = [what[0], path[-1]]
        where = " ".join([*what, *sides]) or words["all"]
        return f"{where} ({words[part]}{f'; {why}' if why else ')'}"

    def _thing(self, name: str) -> str:
        """A line by its name, a row with the word for it."""
        if name in self.words["entered"] or name == BRAKE_MAIN:
            return str(self.words["entered"].get(name) or self.words[name])
        return name if any(letter.isdigit() for letter in name) else self.row_name(name)

    def reasons(self, values: Sequence[tuple[str, str]], whys: Sequence[str]) -> str:
        """Parts with their side and why, in running text: `B9 right (sheath cut)`."""
        named = (self._on_side(name, side) for name, side in values)
        return self.formats.items(
            [
                f"{name} ({why.strip().rstrip('.')})" if why else name
                for name, why in zip(named, whys, strict=True)
            ]
        )

    def speed(self, low: float, high: float | None) -> str:
        """A range of a speed in km/h, rounded outwards to half of its unit, never a single figure.

        Without an upper end it is "at least" so much; empty where that is nothing.
        """
        unit = self.writing.speeds
        first = math.floor(self.writing.speed(low) * 2 + _HAIR)
        if high is None:
            least = str(self.words["speed_at_least"]).format(low=_halves(first), unit=unit)
            return least if first else ""
        last = max(math.ceil(self.writing.speed(high) * 2 - _HAIR), 1)
        key = "speed_up_to" if first == 0 else "speed_about" if first == last else "speed_range"
        return str(self.words[key]).format(low=_halves(first), high=_halves(last), unit=unit)

    def full_speed(self, value: float) -> str:
        """A whole speed in km/h such as the trim speed: `38 km/h`."""
        return f"{self._digits(self.writing.speed(value))}{NBSP}{self.writing.speeds}"

    def gloss(self, text: str) -> str:
        """Text from the job with the first trade word explained in brackets, behind a line's name.

        Where brackets follow anyway, the explanation goes into them.
        """
        sides = "|".join(re.escape(self.words[side]) for side in ("left", "right"))
        line = rf"(?: \d+(?: (?:{sides})\b)?)?"
        for word, meaning in self.words["glossary"].items():
            # With its ending: a plural is the same word.
            if found := re.search(rf"\b{re.escape(word)}\w*{line}", text, re.IGNORECASE):
                word, rest = text[: found.end()], text[found.end() :]
                more = rest.startswith(" (")
                return f"{word} ({meaning}; {rest[2:]}" if more else f"{word} ({meaning}){rest}"
        return text

    def sentence(self, text: str) -> str:
        """The text with a capital first letter."""
        return text[:1].upper() + text[1:]


def ended(text: str) -> str:
    """The workshop's words on one line, ended as a sentence."""
    words = " ".join(text.split())
    return words if words.endswith((".", "!", "?", "…")) else f"{words}."


def _halves(count: int) -> str:
    """Halves as a reader says them: ½, 1, 1½."""
    whole, half = divmod(count, 2)
    return (str(whole) if whole else "") + ("½" if half else "") or "0"
