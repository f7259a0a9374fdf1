"""What is said about every example job, as text that a person can read and judge."""

from types import SimpleNamespace

from pytest_regressions.file_regression import FileRegressionFixture

from trimscribe.model.statements import Place, Statement, Statements, Weight


def test_the_report_in_words(
    job_name: str, bench: SimpleNamespace, file_regression: FileRegressionFixture
) -> None:
    text = as_text(bench.narrated(bench.example(job_name)))
    file_regression.check(text, basename=job_name, extension=".txt", encoding="utf-8")


def as_text(statements: Statements) -> str:
    """Every sentence on a line of its own with its rule and the numbers behind it."""
    lines = []
    for place in Place:
        if place is not Place.CAUTION and (sentences := statements.at(place)):
            lines += ["", f"[{place}]", *(line for s in sentences for line in _lines(s))]
    lines += ["", "[cautions]", *(line for c in statements.cautions for line in _lines(c))]
    lines += ["", "[verdicts]"]
    lines += [f"{v.label}: {v.words} ({v.verdict})" for v in statements.verdicts]
    return "\n".join(lines).strip().replace("\N{NO-BREAK SPACE}", "~") + "\n"


def _lines(statement: Statement) -> list[str]:
    mark = "! " if statement.weight is Weight.WARNING else ""
    title = f"{statement.title}: " if statement.title else ""
    numbers = ", ".join(f"{name} {_short(v)}" for name, v in statement.numbers.items())
    behind = f": {numbers}" if numbers else ""
    return [f"{mark}{title}{statement.text}", f"    {statement.rule}{behind}"]


def _short(value: float | str) -> str:
    return f"{value:.2f}" if isinstance(value, float) else str(value)
