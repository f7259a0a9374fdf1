"""What is reported of many faults."""

from trimscribe.errors import Fault, Mark, Severity, first_of


def faults(severity: Severity, number: int) -> list[Fault]:
    return [Fault("x", str(n), Mark("job.yaml", n), "", severity) for n in range(1, number + 1)]


def test_a_place_without_a_line_has_no_column() -> None:
    assert [str(Mark("a", 0, 3)), str(Mark("a", 2, 3)), str(Mark("a", 2))] == ["a", "a:2:3", "a:2"]


def test_few_faults_are_all_reported_in_their_order() -> None:
    few = [*faults(Severity.WARNING, 100), *faults(Severity.ERROR, 100)]

    assert first_of(few) == tuple(few)


def test_of_many_the_first_are_reported_and_how_many_more_there_are() -> None:
    many = [*faults(Severity.WARNING, 5000), *faults(Severity.ERROR, 201)]
    reported = first_of(many)

    assert [one.code for one in reported].count("more-faults") == 2
    assert reported[:200] == tuple(many[5000:5200])
    assert reported[200] == Fault(
        "more-faults",
        "There are 1 more like these.",
        Mark("job.yaml", 200),
        "Mend these first.",
        Severity.ERROR,
    )
    assert reported[201:-1] == tuple(many[:200])
    assert (reported[-1].severity, reported[-1].message) == (
        Severity.WARNING,
        "There are 4800 more like these.",
    )


def test_no_error_goes_behind_warnings() -> None:
    many = [*faults(Severity.WARNING, 5000), *faults(Severity.ERROR, 1)]

    assert any(one.severity is Severity.ERROR for one in first_of(many))
