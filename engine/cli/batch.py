"""A batch as people see it: faults as they come, a bar, a table at the end; or lines of JSON."""

import json
import time
from collections import Counter
from collections.abc import Sequence
from contextlib import closing
from dataclasses import dataclass, field, replace
from pathlib import Path

import click
from rich.table import Table

from trimscribe.batch.cluster import Cluster
from trimscribe.batch.fingerprint import software_digest
from trimscribe.batch.jobs import FoundJobs
from trimscribe.batch.log import Log, line_of
from trimscribe.batch.run import BatchOutcome, JobCrew, Status, Task, run
from trimscribe.batch.worker import Local
from trimscribe.cell import Limits, SerialWorker
from trimscribe.cli.bar import Bar
from trimscribe.cli.output import (
    MEANINGS,
    Exit,
    counted,
    fault_data,
    print_error,
    print_faults,
    print_result,
    print_table,
)
from trimscribe.cli.program import show_traceback
from trimscribe.errors import Fault, Severity
from trimscribe.registry import Registry
from trimscribe.resources.worlds import world_of
from trimscribe.world import World

_REMEMBERED = 1000  # faults; those of a theme or plugin come with the first jobs
_LISTED = 20  # names of files


def crew_of(executor: str, workers: int, seconds: float, megabytes: float) -> JobCrew:
    """Processes of this machine, or the cluster at `dask://HOST:PORT`."""
    if not executor:
        return Local(workers, Limits(seconds, megabytes))
    scheme, _, address = executor.partition("://")
    if scheme != "dask" or not address:
        raise click.UsageError(f"“{executor}” is not an address such as dask://localhost:8786.")
    return Cluster(address, seconds)


@dataclass
class Batch:
    """One run of the command: what it was asked, and what it has counted so far."""

    folder: Path
    theme: str = ""
    shop: str = ""
    root: str = ""
    cache: str = ""
    force: bool = False
    resume: bool = False
    fail_fast: bool = False
    as_json: bool = False
    counts: Counter[str] = field(default_factory=Counter)
    exit_code: int = Exit.DONE
    _reported: set[Fault] = field(default_factory=set)

    def run(self, named: Sequence[str], crew: JobCrew) -> int:
        """Do all jobs with a crew and return the highest of their exit codes.

        People get the faults of jobs that failed and a bar on standard error, a table on standard
        output; with `as_json` each job is a line there, the same as in the log.
        """
        # There may be very many files.
        with closing(SerialWorker(Limits(seconds=600.0))) as finder:
            found: FoundJobs = finder.call(
                "", "trimscribe.batch.jobs:find_jobs", named, reads=world_of(named)
            )
        jobs = found.jobs
        if isinstance(crew, Local):
            world = world_of([*named, *jobs], root=self.root, shop=self.shop, theme=self.theme)
            crew.let_read(world, [self.cache] if self.cache else [])
        software = software_digest(Registry.installed(), World.real())
        log = Log(self.folder)
        known = log.known() if self.resume else None
        common = Task("", self.theme, self.shop, self.root, self.cache, software)
        tasks = (
            replace(common, job=job, standing=known.standing(job, software) if known else None)
            for job in jobs
        )
        outcomes = run(tasks, crew, self.folder, force=self.force, fail_fast=self.fail_fast)
        start = time.monotonic()
        try:
            with closing(outcomes), Bar(len(jobs)) as bar:
                for outcome in outcomes:
                    line = line_of(outcome, [*map(fault_data, outcome.faults)], software)
                    if outcome.status is not Status.CURRENT:
                        log.add(line)
                    if self.as_json:
                        print_result(json.dumps(line, allow_nan=False))
                    self._count(outcome)
                    bar.advance(self.counts[Status.FAILED])
        except KeyboardInterrupt:
            print_error("Interrupted. What was being made is dropped; --resume goes on from here.")
            raise
        finally:
            self._sum_up(found, time.monotonic() - start)
        return self.exit_code

    def _count(self, outcome: BatchOutcome) -> None:
        self.exit_code = max(self.exit_code, outcome.exit_code)
        self.counts[outcome.status] += 1
        if any(fault.severity is Severity.WARNING for fault in outcome.faults):
            self.counts["with warnings"] += 1
        if outcome.status is not Status.FAILED:
            return
        self.counts[MEANINGS[Exit(outcome.exit_code)]] += 1
        if self.as_json:
            return
        # A faulty theme would be reported once for each job.
        print_faults(fault for fault in outcome.faults if fault not in self._reported)
        if len(self._reported) < _REMEMBERED:
            self._reported.update(outcome.faults)
        print_error(f"{outcome.job}: failed, {counted(outcome.faults)}")
        show_traceback(outcome.traceback)

    def _sum_up(self, found: FoundJobs, seconds: float) -> None:
        done = sum(self.counts[status] for status in Status)
        rate = f", {done / seconds:.1f} a second" if seconds else ""
        print_error(f"{done} of {len(found.jobs)} jobs in {seconds:.0f} s{rate}")
        if others := found.passed_over:
            more = f" and {len(others) - _LISTED} more" if len(others) > _LISTED else ""
            print_error(f"passed over: {', '.join(others[:_LISTED])}{more} (no `service`)")
        if not self.as_json:
            print_table(_table(self.counts))


def _table(counts: Counter[str]) -> Table:
    table = Table(box=None, pad_edge=False)
    table.add_column("jobs", justify="right")
    table.add_column("result")
    statuses: Sequence[str] = [*Status]
    for name in (*statuses, "with warnings", *MEANINGS.values()):
        if counts[name]:
            table.add_row(str(counts[name]), name if name in statuses else f"  {name}")
    return table
