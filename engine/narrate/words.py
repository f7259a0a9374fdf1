"""The filters that phrases use to write facts in a language's own way."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from trimscribe.formats import LocaleFormats

__all__ = ["WORDS", "Words"]

NBSP = "\u00a0"  # a number and its unit stay on one line

# What a language's `words` must hold.
WORDS = (
    "left",
    "right",
    "numbers",
    "and_more",
    "speed_range",
    "speed_about",
    "speed_up_to",
    "glossary",
    "groups",
)


@dataclass(frozen=True)
class Words:
    """Filters of one language: its formats and the `words` of its phrases.yaml."""

    formats: LocaleFormats
    words: Mapping[str, Any]

    def filters(self) -> dict[str, Callable[..., str]]:
        """The filters by the name that a phrase uses."""
        return {
            "count": self.count,
            "degrees": self.degrees,
            "gloss": self.gloss,
            "group": self.group,
            "items": self.items,
            "lines": self.lines,
            "mm": self.mm,
            "number": self.number,
            "sentence": self.sentence,
            "side": self.side,
            "speed": self.speed,
        }

    def number(self, value: float, digits: int = 0) -> str:
        """A number without its sign; the sentence tells the direction."""
        return self.formats.number(abs(value), digits)

    def mm(self, value: float) -> str:
        """A length in whole mm."""
        return f"{self.number(value)}{NBSP}mm"

    def degrees(self, value: float) -> str:
        """An angle to a tenth of a degree."""
        return f"{self.number(value, 1)}°"

    def count(self, value: int, **forms: str) -> str:
        """A form by plural category, `#` standing for the number: one="one line", other="# lines".

        Small numbers are written as words.
        """
        form = forms.get(self.formats.plural(value), forms["other"])
        return form.replace("#", self._spelled(value))

    def _spelled(self, value: int) -> str:
        numbers: Sequence[str] = self.words["numbers"]
        return numbers[value] if value < len(numbers) else self.formats.number(value)

    def side(self, value: str) -> str:
        """Left or right."""
        return str(self.words[value])

    def group(self, value: str) -> str:
        """A part of the service, such as "cloth", in running text; a row keeps its name."""
        return str(self.words["groups"].get(value, value))

    def items(self, values: Sequence[str], most: int = 6) -> str:
        """A list in running text; beyond `most` the rest is counted."""
        shown = list(values[:most])
        if len(values) > most:
            rest = len(values) - most
            shown.append(str(self.words["and_more"]).format(count=self._spelled(rest)))
        return self.formats.items(shown)

    def lines(self, values: Sequence[tuple[str, str]], most: int = 6) -> str:
        """Names with their side in running text: `B9 right and C4 left`."""
        named = [f"{name} {self.side(side)}" if side else name for name, side in values]
        return self.items(named, most)

    def speed(self, low: float, high: float) -> str:
        """A rounded range of speed, to half a km/h, never a single exact figure."""
        first, last = round(low * 2), max(round(high * 2), 1)
        if first == 0:
            return str(self.words["speed_up_to"]).format(high=_halves(last))
        if first == last:
            return str(self.words["speed_about"]).format(high=_halves(last))
        form = str(self.words["speed_range"])
        return form.format(low=_halves(first), high=_halves(last))

    def gloss(self, text: str) -> str:
        """Text from the job with the first trade word explained in brackets."""
        for word, meaning in self.words["glossary"].items():
            head, found, tail = text.partition(word)
            if found:
                return f"{head}{found} ({meaning}){tail}"
        return text

    def sentence(self, text: str) -> str:
        """The text with a capital first letter."""
        return text[:1].upper() + text[1:]


def _halves(count: int) -> str:
    """Halves as a reader says them: ½, 1, 1½."""
    whole, half = divmod(count, 2)
    return (str(whole) if whole else "") + ("½" if half else "") or "0"
