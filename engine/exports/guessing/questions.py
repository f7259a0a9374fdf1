"""What only a person can know about an export, and what was answered."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field

from trimscribe.errors import Fault, Mark, suggest

# Every kind of question. An answer to one may wait while another question is open.
_KINDS = frozenset(
    {"blocks", "column", "columns", "longer", "means", "measurings", "points", "readings"}
    | {"riser", "row", "side", "tables", "unit", "when"}
)


def joined(names: Sequence[str]) -> str:
    """Names as a sentence has them: A, B and C."""
    return f"{', '.join(names[:-1])} and {names[-1]}" if len(names) > 1 else "".join(names)


def counted(count: int, one: str, more: str) -> str:
    """A count with its noun: 1 cell, 2 cells."""
    return f"{count} {one if count == 1 else more}"


@dataclass(frozen=True)
class Question:
    """One question: answers by what each means; `between` where a number may be answered.

    That is its least and most, of either sign.
    """

    id: str
    kind: str
    asks: str
    choices: Mapping[str, str]
    between: tuple[float, float] | None = None

    @property
    def number(self) -> bool:
        """Whether a number answers it."""
        return self.between is not None

    @property
    def numbers(self) -> str:
        """The numbers that answer it, for people; empty where none does."""
        return (
            f"a number of mm from {self.between[0]:.0f} to {self.between[1]:.0f}"
            if self.between
            else ""
        )

    def takes(self, answer: str) -> bool:
        """Whether this is an answer."""
        if answer in self.choices:
            return True
        try:
            least, most = self.between or (1.0, 0.0)
            return least <= abs(float(answer)) <= most
        except ValueError:
            return False


@dataclass
class OpenQuestions:
    """Gathers questions; those that are answered are not open.

    `answers` must all be asked for, `kept` are those of a former file: taken where they fit.
    """

    answers: Mapping[str, str]
    kept: Mapping[str, str] = field(default_factory=dict)
    open: list[Question] = field(default_factory=list)
    used: dict[str, str] = field(default_factory=dict)
    wrong: list[tuple[Question, str]] = field(default_factory=list)
    _counts: dict[str, int] = field(default_factory=dict)

    def ask(
        self,
        kind: str,
        asks: str,
        choices: Mapping[str, str],
        *,
        between: tuple[float, float] | None = None,
    ) -> str:
        """The answer, empty while the question is open. The second of a kind is called kind 2."""
        assert kind in _KINDS
        count = self._counts[kind] = self._counts.get(kind, 0) + 1
        question = Question(kind if count == 1 else f"{kind} {count}", kind, asks, choices, between)
        kept = self.kept.get(question.id, "")
        answer = self.answers.get(question.id, kept if question.takes(kept) else "")
        if answer and question.takes(answer):
            self.used[question.id] = answer
            return answer
        if answer:
            self.wrong.append((question, answer))
        self.open.append(question)
        return ""

    @property
    def strange(self) -> Sequence[str]:
        """Answers to what nobody asked, nor can ask once the open questions are answered."""
        known = {*self.used, *(question.id for question in self.open)}
        return [
            name
            for name in self.answers
            if name not in known and not (self.open and name.partition(" ")[0] in _KINDS)
        ]

    def faults(self, file: str) -> Iterator[Fault]:
        """What is wrong with the answers."""
        for question, answer in self.wrong:
            numbers = [question.numbers] if question.number else []
            choices = ", ".join([*question.choices, *numbers])
            message = f"“{answer}” does not answer `{question.id}`; this does: {choices}."
            hint = question.asks if question.number else suggest(answer, question.choices)
            yield Fault("answer-not-known", message, Mark(file), hint)
        for one in self.strange:
            message = f"There is no question `{one}` about this file."
            ids = [*self.used, *(question.id for question in self.open)]
            hint = suggest(one, ids) if ids else "Nothing is asked about it: leave the answer out."
            if one.partition(" ")[0] == "riser":
                hint += " A part of the jig that was measured as well is said by `add_mm` in a map."
            yield Fault("answer-not-known", message, Mark(file), hint)
