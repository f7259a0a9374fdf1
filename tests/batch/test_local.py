"""Worker processes that are killed, hang, grow, and are replaced."""

import os
import signal
import time
from collections.abc import Callable
from pathlib import Path

import psutil
import pytest

from trimscribe.batch.run import JobResult, Task
from trimscribe.batch.worker import Local

Crews = Callable[..., Local]


def all_of(crew: Local, *jobs: str) -> dict[str, JobResult]:
    """Do the jobs, as many at a time as the crew takes."""
    waiting = [*jobs]
    done: dict[str, JobResult] = {}
    while waiting or crew.busy:
        while waiting and crew.free:
            crew.give(Task(waiting.pop(0)))
        done |= {task.job: made for task, made in crew.take()}
    return done


def code(made: JobResult) -> str:
    assert made.report is None
    assert made.exit_code == 7
    (fault,) = made.faults
    return fault.code


def text(made: JobResult) -> str:
    assert made.report is not None
    return made.report.data.decode()


def test_a_worker_does_one_job_after_another(crew: Crews) -> None:
    done = all_of(crew(), "pid 1", "pid 2", "pid 3")

    assert len({text(made) for made in done.values()}) == 1


def test_workers_work_at_the_same_time_and_return_in_the_order_of_finishing(crew: Crews) -> None:
    both = crew(2)
    both.give(Task("sleep 1.5"))
    both.give(Task("quick"))

    assert [task.job for task, _ in both.take()] == ["quick"]
    assert (both.busy, both.free) == (1, 1)
    assert [task.job for task, _ in both.take()] == ["sleep 1.5"]


def test_a_worker_is_replaced_after_its_share_of_jobs(crew: Crews) -> None:
    done = all_of(crew(jobs=2), *(f"pid {number}" for number in range(6)))

    pids = [text(done[f"pid {number}"]) for number in range(6)]
    assert pids[0] == pids[1] != pids[2] == pids[3] != pids[4] == pids[5]


def test_a_job_that_hangs_is_stopped_and_no_other(crew: Crews) -> None:
    start = time.monotonic()
    done = all_of(crew(2, seconds=1), "hang", "one", "two")

    assert code(done["hang"]) == "job-too-slow"
    assert "took longer than 1 s" in done["hang"].faults[0].message
    assert [text(done[job]) for job in ("one", "two")] == ["one", "two"]
    assert time.monotonic() - start < 15


def test_the_time_that_a_worker_takes_to_start_is_not_the_jobs(crew: Crews) -> None:
    # It imports and prepares for longer than that.
    assert text(all_of(crew(seconds=0.15), "quick")["quick"]) == "quick"


def test_a_job_that_takes_all_memory_is_stopped_and_no_other(crew: Crews) -> None:
    done = all_of(crew(2, memory_mb=300), "grow", "one", "two")

    assert code(done["grow"]) == "job-too-large"
    assert [text(done[job]) for job in ("one", "two")] == ["one", "two"]


def test_a_job_that_kills_its_worker_twice_is_reported_and_no_other(crew: Crews) -> None:
    done = all_of(crew(2), "kill", "one", "two", "three")

    assert code(done["kill"]) == "worker-died"
    assert [text(done[job]) for job in ("one", "two", "three")] == ["one", "two", "three"]


def test_a_job_whose_worker_was_killed_from_outside_is_done_by_another(
    crew: Crews, tmp_path: object
) -> None:
    job = f"kill-once {tmp_path}/mark"

    assert text(all_of(crew(), job)[job]) == "kill-once"


def test_a_worker_killed_while_idle_is_replaced(crew: Crews) -> None:
    one = crew()
    first = int(text(all_of(one, "pid 1")["pid 1"]))
    os.kill(first, signal.SIGKILL)

    assert int(text(all_of(one, "pid 2")["pid 2"])) != first


def test_an_answer_larger_than_a_pipe_comes_whole(crew: Crews) -> None:
    assert len(text(all_of(crew(), "large")["large"])) == 5_000_000


def test_what_a_job_prints_does_not_get_into_the_results(
    crew: Crews, capfd: pytest.CaptureFixture[str]
) -> None:
    all_of(crew(), "print")
    printed = capfd.readouterr()

    assert printed.out == ""
    assert printed.err == "noise on standard output\n"


def test_stopping_leaves_no_process(crew: Crews) -> None:
    others = psutil.Process().children()  # of tests before, such as Python's own trackers
    two = crew(2)
    two.give(Task("hang"))
    two.give(Task("sleep 60"))
    started = [child for child in psutil.Process().children() if child not in others]
    two.stop()

    assert len(started) == 2
    assert not any(process.is_running() for process in started)
    assert (two.busy, two.free) == (0, 2)


def test_stopping_clears_what_killed_workers_laid_out(crew: Crews) -> None:
    one = crew()
    left = Path(text(all_of(one, "litter")["litter"]))
    assert left.is_dir()

    one.stop()

    assert not left.exists()
    assert not left.parent.exists()
