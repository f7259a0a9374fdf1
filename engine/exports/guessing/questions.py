"""What only a person can know about an export, and what was answered."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field


@dataclass(frozen=True)
class Question:
    """One question: answers by what each means; `number` where any number may be answered."""

    id: str
    kind: str
    asks: str
    choices: Mapping[str, str]
    number: bool = False

    def takes(self, answer: str) -> bool:
        """Whether this is an answer."""
        if answer in self.choices:
            return True
        try:
            return self.number and float(answer) == float(answer)
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

    def ask(self, kind: str, asks: str, choices: Mapping[str, str], *, number: bool = False) -> str:
        """The answer, empty while the question is open. The second of a kind is called kind 2."""
        count = self._counts[kind] = self._counts.get(kind, 0) + 1
        question = Question(kind if count == 1 else f"{kind} {count}", kind, asks, choices, number)
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
