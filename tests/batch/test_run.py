"""A run over jobs with workers that do as they are told, in this process."""

from collections.abc import Callable, Sequence
from pathlib import Path

import pytest

from trimscribe.batch.run import BatchOutcome, JobResult, PreviousResult, Status, Task, run
from trimscribe.errors import Fault, InputError

Making = Callable[..., JobResult]


class Obedient:
    """A crew of two that returns what it was told to return; `stopped` when it was let go."""

    def __init__(self, answers: dict[str, JobResult]) -> None:
        self.answers, self.given, self.stopped = answers, [], False
        self._tasks: list[Task] = []

    @property
    def busy(self) -> int:
        return len(self._tasks)

    @property
    def free(self) -> int:
        return 2 - self.busy

    def give(self, task: Task) -> None:
        assert self.free
        self._tasks.append(task)
        self.given.append(task.job)

    def take(self) -> Sequence[tuple[Task, JobResult]]:
        task = self._tasks.pop(0)
        return [(task, self.answers[task.job])]

    def stop(self) -> None:
        self.stopped = True
        self._tasks.clear()


STANDS = PreviousResult("a.pdf", 3, "0", "hash of its inputs")
CURRENT = JobResult(current=True, inputs="hash of its inputs")
FAULTY = JobResult.failed(InputError(Fault("not-a-date", "This is no date.")))


def done(crew: Obedient, folder: Path, **how: object) -> list[BatchOutcome]:
    return list(run(map(Task, crew.answers), crew, folder, **how))


def test_every_job_is_handed_out_once_and_reported_once(tmp_path: Path, made: Making) -> None:
    crew = Obedient({f"{n}.yaml": made(f"{n}.pdf", b"%d" % n) for n in range(9)})
    outcomes = done(crew, tmp_path)

    assert crew.given == [*crew.answers]
    assert [outcome.job for outcome in outcomes] == [*crew.answers]
    assert {outcome.status for outcome in outcomes} == {Status.MADE}
    assert {path.name: path.read_bytes() for path in tmp_path.iterdir()} == {
        f"{n}.pdf": b"%d" % n for n in range(9)
    }
    assert crew.stopped


def test_a_job_that_fails_stops_no_other(tmp_path: Path, made: Making) -> None:
    crew = Obedient({"a.yaml": FAULTY, "b.yaml": made("b.pdf"), "c.yaml": FAULTY})
    outcomes = done(crew, tmp_path)

    assert [outcome.status for outcome in outcomes] == [Status.FAILED, Status.MADE, Status.FAILED]
    assert [outcome.exit_code for outcome in outcomes] == [2, 0, 2]
    assert outcomes[0].faults == FAULTY.faults
    assert outcomes[0].record is None


def test_the_first_failure_ends_the_run_where_that_is_wished(tmp_path: Path, made: Making) -> None:
    crew = Obedient({"a": made("a.pdf"), "b": FAULTY, "c": made("c.pdf"), "d": made("d.pdf")})
    outcomes = done(crew, tmp_path, fail_fast=True)

    assert [outcome.job for outcome in outcomes] == ["a", "b"]
    assert crew.stopped
    assert [path.name for path in tmp_path.iterdir()] == ["a.pdf"]


def test_no_worker_waits_while_a_report_is_written(tmp_path: Path, made: Making) -> None:
    crew = Obedient({f"{n}": made(f"{n}.pdf") for n in range(4)})
    outcomes = run(map(Task, crew.answers), crew, tmp_path)
    next(outcomes)

    assert crew.given == ["0", "1", "2"]
    assert crew.busy == 2


def test_whoever_stops_listening_stops_the_workers(tmp_path: Path, made: Making) -> None:
    crew = Obedient({f"{n}": made(f"{n}.pdf") for n in range(4)})
    outcomes = run(map(Task, crew.answers), crew, tmp_path)
    next(outcomes)
    outcomes.close()

    assert crew.stopped


def test_a_different_report_is_never_replaced_unless_forced(tmp_path: Path, made: Making) -> None:
    (tmp_path / "a.pdf").write_bytes(b"another")
    (outcome,) = done(Obedient({"a": made("a.pdf")}), tmp_path)
    assert (outcome.status, outcome.exit_code) == (Status.FAILED, 6)
    assert [fault.code for fault in outcome.faults] == ["report-exists"]
    assert (tmp_path / "a.pdf").read_bytes() == b"another"

    (outcome,) = done(Obedient({"a": made("a.pdf")}), tmp_path, force=True)
    assert outcome.status is Status.MADE
    assert (tmp_path / "a.pdf").read_bytes() == b"report"


def test_the_same_report_that_stands_there_is_unchanged(tmp_path: Path, made: Making) -> None:
    done(Obedient({"a": made("a.pdf")}), tmp_path)
    (outcome,) = done(Obedient({"a": made("a.pdf")}), tmp_path)

    assert outcome.status is Status.UNCHANGED


@pytest.mark.parametrize("force", [False, True])
def test_two_jobs_of_one_name_never_replace_each_other(
    tmp_path: Path, made: Making, force: bool
) -> None:
    crew = Obedient({"a.yaml": made("x.pdf", b"one"), "b.yaml": made("x.pdf", b"two")})
    first, second = done(crew, tmp_path, force=force)

    assert (first.status, second.status) == (Status.MADE, Status.FAILED)
    assert "“a.yaml” of this run has the same service number" in second.faults[0].hint
    assert (tmp_path / "x.pdf").read_bytes() == b"one"


def test_a_report_that_is_up_to_date_is_left_alone(tmp_path: Path) -> None:
    (outcome,) = run([Task("a", standing=STANDS)], Obedient({"a": CURRENT}), tmp_path)

    assert (outcome.status, outcome.exit_code, outcome.pages) == (Status.CURRENT, 0, 3)
    assert outcome.record is not None
    assert (outcome.record.path, outcome.record.sha256) == (tmp_path / "a.pdf", "0")
    assert [*tmp_path.iterdir()] == []


def test_a_report_that_is_up_to_date_is_not_replaced_by_another_job(
    tmp_path: Path, made: Making
) -> None:
    (tmp_path / "a.pdf").write_bytes(b"up to date")
    crew = Obedient({"a": CURRENT, "b": made("a.pdf")})
    tasks = [Task("a", standing=STANDS), Task("b")]
    outcomes = [*run(tasks, crew, tmp_path, force=True)]

    assert [outcome.status for outcome in outcomes] == [Status.CURRENT, Status.FAILED]
    assert (tmp_path / "a.pdf").read_bytes() == b"up to date"
