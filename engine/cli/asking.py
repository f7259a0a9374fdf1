"""Questions about an export: asked where somebody is, listed where nobody is."""

import sys
from collections.abc import Callable, Mapping, Sequence

import click

from trimscribe.cli.output import clean, print_error
from trimscribe.errors import Fault, Mark
from trimscribe.exports.guessing.questions import Question
from trimscribe.exports.worked_out import WorkedOut
from trimscribe.model.plain import Plain

Work = Callable[[Mapping[str, str]], WorkedOut]


def somebody_is_there() -> bool:
    """Whether questions can be asked: both ends are a terminal."""
    return sys.stdin.isatty() and sys.stderr.isatty()


def answers_of(given: Sequence[str]) -> dict[str, str]:
    """Answers as typed, `when=before`; UsageError where one has not that form."""
    answers = {}
    for text in given:
        name, equals, answer = text.partition("=")
        if not equals or not name.strip() or not answer.strip():
            raise click.UsageError(f"--answer takes ID=ANSWER, such as when=before, not “{text}”.")
        answers[name.strip()] = answer.strip()
    return answers


def answered(work: Work, answers: Mapping[str, str], *, ask: bool) -> WorkedOut:
    """The result of an export; with `ask` each open question is asked until none is left."""
    known = dict(answers)
    found = work(known)
    while ask and found.proposal is not None and found.proposal.questions:
        question = found.proposal.questions[0]
        known[question.id] = _asked(question)
        found = work(known)
    return found


def _asked(question: Question) -> str:
    print_error(question.asks)
    choices = list(question.choices)
    for number, (answer, means) in enumerate(question.choices.items(), 1):
        print_error(f"  {number}. {answer}: {means}")
    while True:
        text = click.prompt("Answer" + (" (or a number in mm)" * question.number), err=True).strip()
        # Numbers stand for choices where they are not answers themselves.
        if not question.number and text not in choices and text.isdecimal():
            place = int(text) - 1
            text = choices[place] if 0 <= place < len(choices) else text
        if question.takes(text):
            return str(text)
        print_error(f"“{clean(text)}” is not one of the answers.")


def question_faults(questions: Sequence[Question], name: str) -> list[Fault]:
    """Open questions as faults, where nobody can be asked."""
    return [
        Fault(
            "question-open",
            f"`{one.id}` is not answered: {one.asks}",
            Mark(name),
            f'Give --answer "{one.id}=…" with one of: '
            + "; ".join(f"{answer} ({means})" for answer, means in one.choices.items())
            + ("; or a number in mm" if one.number else "")
            + ".",
        )
        for one in questions
    ]


def question_data(questions: Sequence[Question]) -> Plain:
    """Open questions as data: `id`, `kind`, `asks`, `answers` by what each means, `number`."""
    return [
        {
            "id": one.id,
            "kind": one.kind,
            "asks": one.asks,
            "answers": dict(one.choices),
            "number": one.number,
        }
        for one in questions
    ]
