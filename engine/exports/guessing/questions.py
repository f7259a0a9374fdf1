"""What only a person can know about an export, and what was answered."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field


def joined(names: Sequence[str]) -> str:
    """Names as a sentence has them: A, B and C."""
    return f"{', '.join(names[:-1])} and {names[-1]}" if len(names) > 1 else "".join(names)


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
    """Gathers questions; those that are answered are not open."""

    answers: Mapping[str, str]
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
        count = self._counts[kind] = self._counts.get(kind, 0) + 1
        question = Question(kind if count == 1 else f"{kind} {count}", kind, asks, choices, between)
        answer = self.answers.get(question.id, "")
        if answer and question.takes(answer):
            self.used[question.id] = answer
            return answer
        if answer:
            self.wrong.append((question, answer))
        self.open.append(question)
        return ""

    @property
    def strange(self) -> Sequence[str]:
        """Answers to what nobody asked."""
        known = {*self.used, *(question.id for question in self.open)}
        return [name for name in self.answers if name not in known]
