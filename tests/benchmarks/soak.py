"""A long batch, watched: no report lost or doubled, memory flat, whatever happens to workers.

    python tests/benchmarks/soak.py [--jobs 10000] [--seconds S] [--kill-every N]

Every hundredth job is faulty, and every N reports a worker is killed. With `--seconds` the run is
interrupted after that time, as with Ctrl-C, and everything is checked for what was done until then.
"""

import argparse
import json
import random
import shutil
import signal
import subprocess
import sys
import tempfile
import time
from collections import Counter
from pathlib import Path
from typing import Any

import psutil
from variants import variants


def main() -> None:
    """Run, watch, check, print."""
    parser = argparse.ArgumentParser(description=__doc__.partition("\n")[0])
    parser.add_argument("--jobs", type=int, default=10_000)
    parser.add_argument("--seconds", type=float, default=float("inf"))
    parser.add_argument("--kill-every", type=int, default=500)
    parser.add_argument("--workers", type=int, default=2)
    wished = parser.parse_args()
    home = Path(tempfile.mkdtemp())
    try:
        jobs = [job.as_posix() for job in variants(home / "jobs", wished.jobs)]
        for job in jobs[::100]:
            text = Path(job).read_text(encoding="utf-8")
            Path(job).write_text(text.replace("wing:", "wnig:"), encoding="utf-8")
        soak(home, jobs, wished)
    finally:
        shutil.rmtree(home, ignore_errors=True)


def soak(home: Path, jobs: list[str], wished: argparse.Namespace) -> None:
    command = [sys.executable, "-m", "trimscribe", "batch", str(home / "jobs"), "--json"]
    command += ["--out", str(home / "out"), "--workers", str(wished.workers)]
    chance = random.Random(1)
    start, killed, lines, memory = time.monotonic(), 0, [], []
    with (home / "told").open("w") as told:
        process = subprocess.Popen(command, stdout=subprocess.PIPE, stderr=told, text=True)
        assert process.stdout is not None
        for number, line in enumerate(process.stdout, 1):
            lines.append(json.loads(line))
            if number % 100 == 0:
                memory.append(largest(process.pid))
            if number % wished.kill_every == 0 and process.poll() is None:
                workers = workers_of(process.pid)
                if workers:
                    chance.choice(workers).kill()
                    killed += 1
            if time.monotonic() - start > wished.seconds:
                process.send_signal(signal.SIGINT)
                wished.seconds = float("inf")
        process.wait()
    seconds = time.monotonic() - start
    check(home, jobs, lines, complete=process.returncode != 130)
    statuses = Counter(line["status"] for line in lines)
    print(f"jobs_done: {len(lines)} of {len(jobs)}")
    print(f"made: {statuses['made']}, failed as they should: {statuses['failed']}")
    print(f"workers_killed: {killed}")
    print(f"seconds: {seconds:.0f}")
    print(f"reports_a_second: {statuses['made'] / seconds:.1f}")
    tell_memory("parent", [parent for parent, _ in memory])
    tell_memory("largest_worker", [worker for _, worker in memory])


def tell_memory(who: str, values: list[float]) -> None:
    """The most in the first and in the last tenth of the run."""
    if len(values) > 3:
        tenth = max(len(values) // 10, 1)
        print(f"{who}_mb_in_the_first_tenth: {max(values[:tenth]):.0f}")
        print(f"{who}_mb_in_the_last_tenth: {max(values[-tenth:]):.0f}")


def workers_of(pid: int) -> list[psutil.Process]:
    """Those alive; one that was killed just now may still be among the children."""
    return [child for child in psutil.Process(pid).children(recursive=True) if is_worker(child)]


def is_worker(process: psutil.Process) -> bool:
    try:
        return "trimscribe.cell.child" in " ".join(process.cmdline())
    except psutil.NoSuchProcess:
        return False


def largest(pid: int) -> tuple[float, float]:
    """Memory in MB of the process that hands out, and of its largest worker."""
    try:
        workers = [worker.memory_info().rss / 1e6 for worker in workers_of(pid)]
        return psutil.Process(pid).memory_info().rss / 1e6, max(workers, default=0.0)
    except psutil.Error:
        return 0.0, 0.0


def check(home: Path, jobs: list[str], lines: list[dict[str, Any]], *, complete: bool) -> None:
    """Stop with a message when anything is lost, doubled, torn or not as it was reported."""
    told = Counter(line["job"] for line in lines)
    logged = [json.loads(text) for text in (home / "out" / "batch.jsonl").read_text().splitlines()]
    stand = {path.name for path in (home / "out").iterdir()} - {"batch.jsonl"}
    made = [line["report"]["path"] for line in lines if line["report"]]
    wrong = [
        *(f"told {n} times: {job}" for job, n in told.items() if n != 1),
        *(f"lost: {job}" for job in jobs if complete and job not in told),
        *(f"doubled: {name}" for name, n in Counter(made).items() if n != 1),
        *(f"not on disk: {name}" for name in made if name not in stand),
        *(f"not told: {name}" for name in stand - {*made}),
        *(["the log differs"] if logged != lines else []),
    ]
    for line in lines:
        faulty = jobs.index(line["job"]) % 100 == 0 if line["status"] == "failed" else False
        if line["status"] != "made" and not faulty:
            wrong.append(f"{line['status']}: {line['job']} {line['faults']}")
    if wrong:
        raise SystemExit("\n".join([f"{len(wrong)} things are wrong", *wrong[:10]]))
    print("checked: every job told once, every report on disk once and as told, the log the same")


if __name__ == "__main__":
    main()
