"""A Dask cluster of real processes on this machine."""

import json
import os
import shutil
import signal
import subprocess
import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from trimscribe.batch.cluster import Cluster, JobBundle, pack, unpack
from trimscribe.batch.run import BatchOutcome, PreviousResult, Status, Task, run
from trimscribe.batch.worker import make
from trimscribe.errors import PluginError
from trimscribe.registry import installed

# How long the others wait for a worker that was killed.
PATIENCE = {"distributed.comm.timeouts.connect": "5s", "distributed.comm.timeouts.tcp": "11s"}
NO_PATIENCE = {"distributed.scheduler.allowed-failures": 0}
pytestmark = [pytest.mark.processes, pytest.mark.slow]
ROOT = Path(__file__).parents[2]
Jobs = Callable[..., list[str]]
# An analysis that kills its worker the first time, or always, or never returns.
PLUGIN = """
import ctypes, os, signal
from pathlib import Path

contract = 1
name = "obedient"
needs = ()

def analyse(job, findings):
    what, _, detail = (job.notes or "").partition(" ")
    if what == "kill" or (what == "kill-once" and not Path(detail).exists()):
        Path(detail or "/dev/null").touch()
        os.kill(os.getpid(), signal.SIGKILL)
    if what == "hang":
        ctypes.PyDLL(None).sleep(600)  # in C, with the interpreter's lock held
    return findings
"""
# What starts processes has done all that comes before a first report.
LOADED = "import warm_start\nwarm_start._load()\n"


@pytest.fixture(scope="module")
def place(tmp_path_factory: pytest.TempPathFactory) -> Iterator[None]:
    """A place where none of the jobs is, with the plugin, as a machine of its own would have."""
    site = tmp_path_factory.mktemp("site")
    info = site / "obedient-1.0.dist-info"
    info.mkdir()
    (site / "obedient.py").write_text(PLUGIN)
    (site / "loaded_by_tests.py").write_text(LOADED)
    (info / "METADATA").write_text("Metadata-Version: 2.1\nName: obedient\nVersion: 1.0\n")
    (info / "entry_points.txt").write_text("[trimscribe.analyses]\nobedient = obedient\n")
    with pytest.MonkeyPatch.context() as patch:
        patch.syspath_prepend(site)  # spawned processes take that over
        patch.setenv("PYTHONPATH", os.pathsep.join(map(str, (site, ROOT / "tests" / "starts"))))
        patch.chdir(tmp_path_factory.mktemp("elsewhere"))
        installed.cache_clear()  # what earlier tests found had no such plugin
        yield
        installed.cache_clear()


@pytest.fixture(scope="module")
def processes(place: None) -> dict[str, str]:
    """How processes start: on Linux as copies of one that has loaded all, a second of computing."""
    if sys.platform != "linux":
        return {}
    import dask
    from distributed.utils import get_mp_context

    copied = {"distributed.worker.multiprocessing-method": "forkserver"}
    with dask.config.set(copied):
        get_mp_context().set_forkserver_preload(["distributed", "loaded_by_tests"])
    return copied


@contextmanager
def workers(number: int, processes: dict[str, str]) -> Iterator[Any]:
    import dask
    import distributed

    with (
        dask.config.set({**PATIENCE, **processes}),
        distributed.LocalCluster(
            n_workers=number, threads_per_worker=1, processes=True, dashboard_address=":0"
        ) as local,
    ):
        yield local


@pytest.fixture(scope="module")
def cluster(processes: dict[str, str]) -> Iterator[Any]:
    with workers(2, processes) as local:
        yield local


@pytest.fixture
def sent(cluster: Any, tmp_path: Path) -> Callable[..., dict[str, BatchOutcome]]:
    """Send jobs to the cluster and put the reports into `out`."""

    def send(*jobs: str, theme: str = "", seconds: float = 60) -> dict[str, BatchOutcome]:
        crew = Cluster(cluster.scheduler_address, seconds)
        outcomes = run([Task(job, theme) for job in jobs], crew, tmp_path / "out")
        return {outcome.job: outcome for outcome in outcomes}

    return send


def with_notes(path: str, notes: str) -> str:
    text = Path(path).read_text(encoding="utf-8")
    Path(path).write_text(f"{text}notes: {notes}\n", encoding="utf-8")
    return path


def test_reports_of_a_cluster_are_those_made_here(
    sent: Any, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    shutil.copytree(ROOT / "examples", "jobs")
    theme = tmp_path / "mine"
    (theme / "templates").mkdir(parents=True)
    (theme / "theme.yaml").write_text(
        'trimscribe: 1\nname: mine\nextends: base\ntokens: {accent: "#0b5a6f"}\n'
    )
    names = [f"jobs/{name}.yaml" for name in ("demo", "two-row", "inspection", "broken")]
    outcomes = sent(*names, theme="./mine")

    assert outcomes["jobs/broken.yaml"].exit_code == 2
    assert outcomes["jobs/broken.yaml"].faults == make(Task("jobs/broken.yaml")).faults
    for name in names[:3]:
        here, there = make(Task(name, "./mine")), outcomes[name]
        assert there.status is Status.MADE
        assert there.record is not None
        assert here.report is not None
        assert there.record.path.read_bytes() == here.report.data
        assert (there.faults, there.inputs) == (here.faults, here.inputs)


def test_a_job_whose_worker_is_killed_is_done_by_another_and_none_is_lost(
    sent: Any, jobs: Jobs, tmp_path: Path
) -> None:
    names = jobs(8)
    with_notes(names[2], f"kill-once {tmp_path}/mark")
    outcomes = sent(*names)

    assert (tmp_path / "mark").exists()
    assert {job: outcome.status for job, outcome in outcomes.items()} == dict.fromkeys(
        names, Status.MADE
    )
    assert len([*(tmp_path / "out").iterdir()]) == 8


def test_a_worker_that_is_killed_from_outside_takes_no_report_with_it(
    sent: Any, jobs: Jobs, cluster: Any
) -> None:
    from distributed import Client

    names = jobs(12)
    with Client(cluster.scheduler_address, set_as_default=False) as client:
        pids = [*client.run(os.getpid).values()]
        crew = Cluster(cluster.scheduler_address, 60)
        outcomes = run(map(Task, names), crew, Path("out"))
        done = [next(outcomes) for _ in range(3)]
        os.kill(pids[0], signal.SIGKILL)
        done += outcomes

    assert sorted(outcome.job for outcome in done) == names
    assert {outcome.status for outcome in done} == {Status.MADE}


def test_a_job_that_never_returns_is_given_up_and_those_that_waited_behind_it_are_made(
    processes: dict[str, str], jobs: Jobs
) -> None:
    import dask

    names = jobs(3)
    with_notes(names[0], "hang")
    with dask.config.set(NO_PATIENCE), workers(1, processes) as local:
        crew = Cluster(local.scheduler_address, 4)
        outcomes = {outcome.job: outcome for outcome in run(map(Task, names), crew, Path("out"))}

    assert [outcomes[name].status for name in names] == ["failed", "made", "made"]
    assert [fault.code for fault in outcomes[names[0]].faults] == ["worker-lost"]
    assert outcomes[names[0]].exit_code == 7


def test_the_command_sends_jobs_to_a_cluster_and_prints_the_same_lines(
    cluster: Any, jobs: Jobs
) -> None:
    jobs(3)
    address = cluster.scheduler_address.removeprefix("tcp://")
    arguments = ["batch", "jobs", "--out", "out", "--json", "--executor", f"dask://{address}"]
    done = subprocess.run(
        [sys.executable, "-m", "trimscribe", *arguments], capture_output=True, text=True, timeout=60
    )

    assert done.returncode == 0, done.stderr
    assert sorted(json.loads(line)["job"] for line in done.stdout.splitlines()) == [
        f"jobs/000{number}.yaml" for number in (1, 2, 3)
    ]


def test_a_job_that_is_up_to_date_does_not_travel(jobs: Jobs) -> None:
    (name,) = jobs(1)
    parcel = pack(Task(name))
    assert isinstance(parcel, JobBundle)
    stands = PreviousResult("a.pdf", 1, "0", parcel.inputs)

    again = pack(Task(name, standing=stands))

    assert not isinstance(again, JobBundle)
    assert again.current


@pytest.mark.parametrize("other", ["typst", "analyses/doubts"])
def test_a_worker_with_other_versions_makes_nothing(jobs: Jobs, other: str) -> None:
    parcel = pack(Task(*jobs(1)))
    assert isinstance(parcel, JobBundle)
    assert other in parcel.versions
    made = unpack(replace(parcel, versions={**parcel.versions, other: "0.1"}))

    assert made.report is None
    assert made.exit_code == 4
    assert [fault.code for fault in made.faults] == ["worker-differs"]


def test_a_fault_of_a_theme_stands_where_the_person_has_it(jobs: Jobs, tmp_path: Path) -> None:
    folder = tmp_path / "mine" / "templates"
    folder.mkdir(parents=True)
    (tmp_path / "mine" / "theme.yaml").write_text("trimscribe: 1\nname: mine\nextends: base\n")
    (folder / "letter.typ.j2").write_text("\n<< nothing_of_this_name >>\n")
    parcel = pack(Task(*jobs(1), theme="./mine"))
    assert isinstance(parcel, JobBundle)

    assert unpack(parcel).faults == make(Task("jobs/0001.yaml", "./mine")).faults


def test_no_cluster_at_an_address_is_reported(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("trimscribe.batch.cluster._PATIENCE_S", 0.5)
    with pytest.raises(PluginError) as reported:
        Cluster("127.0.0.1:9", 60)

    assert reported.value.faults[0].code == "cluster-not-found"
