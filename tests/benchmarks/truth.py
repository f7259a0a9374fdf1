"""The truth trial: what reports claim, compared with wings whose truth is known.

    python tests/benchmarks/truth.py [--wings N] [--kind FACTOR=LEVEL] … [--by-kind] [--strict]

Each wing is drawn with its true deviations, measured with all errors, written as a job file and a
line set, read, analysed and put into sentences; a reader of sentences says what they claim. Prints
`name: share` lines with the counts behind them and writes these to build/truth.json. Figures leave
out wings with a typing slip, which are under [slip=…]. One core tries 2,000 in a minute or so.
"""

import argparse
import json
import multiprocessing
import sys
import tempfile
from collections.abc import Callable, Iterator
from functools import cache
from pathlib import Path

import numpy as np
from report_lines import clashes, lines_of_report
from truth_figures import FIGURES, Tally, counted
from truth_jobs import written
from truth_kinds import FACTORS, draw
from truth_readings import measured
from truth_sentences import heard
from truth_service import Key, Service, Verdicts
from truth_wings import wing

from trimscribe.errors import InputError, Severity
from trimscribe.model.document import Content
from trimscribe.model.doubts import DoubtKind
from trimscribe.model.findings import State
from trimscribe.model.verdicts import Verdict
from trimscribe.model.wing import Side
from trimscribe.pipeline import prepare
from trimscribe.registry import Registry
from trimscribe.world import World

__all__ = ["report_lines", "service", "trial"]

ROOT = Path(__file__).resolve().parents[2]
_DOUBTS = {kind.value for kind in DoubtKind}


def service(
    seed: int, folder: Path, fixed: dict[str, str] | None = None, *, pages: bool = False
) -> Service:
    """Draw one wing and let the engine say what it makes of it, with `pages` in finished texts.

    A job that it refuses, as it may one with a slip, says nothing; any other refusal is raised.
    """
    random = np.random.default_rng(seed)
    true = wing(random, draw(random, fixed))
    found = measured(random, true)
    path = written(folder, random, true, found)
    try:
        content = prepare(path, _registry())
    except InputError as error:
        refused = tuple(f.code for f in error.faults if f.severity is Severity.ERROR)
        if true.kind.slip == "none":
            raise
        return Service(true, found, (), (), {}, refused)
    return Service(
        true,
        found,
        heard(content.statements),
        tuple(w.code for w in content.warnings if w.code in _DOUBTS),
        _verdicts(content),
        clashes=_clashes(content) if pages else None,
    )


def _clashes(content: Content) -> tuple[str, ...]:
    return tuple(
        f"{pair.why}: {one} / {other}"
        for pair, one, other in clashes(lines_of_report(content, _registry(), World.real()))
    )


@cache
def _registry() -> Registry:
    return Registry.installed()


def _verdicts(content: Content) -> dict[str, Verdicts]:
    """What the table of lines says of each line of a row, by moment."""
    rows = [row.name for row in content.reading.job.specification.rows]
    states = {"found": content.findings.first, "now": content.findings.after}
    return {
        moment: Verdicts(
            _keys(state, rows, lambda v: v is not Verdict.NOT_ASSESSED),
            _keys(state, rows, lambda v: v is Verdict.PASS),
        )
        for moment, state in states.items()
        if state is not None
    }


def _keys(state: State, rows: list[str], chosen: Callable[[Verdict], bool]) -> frozenset[Key]:
    return frozenset(
        (int(x.side is Side.RIGHT), rows.index(x.point.group), x.point.number)
        for x in state.lines
        if x.point.group in rows and chosen(x.verdict)
    )


def _part(task: tuple[range, dict[str, str], bool]) -> Tally:
    """A part of the trial, in a process of its own."""
    seeds, fixed, pages = task
    tally = Tally()
    with tempfile.TemporaryDirectory() as folder:
        for seed in seeds:
            try:
                tally.add(counted(service(seed, Path(folder), fixed, pages=pages), seed))
            except Exception as error:  # in words: not every error finds its way between processes
                raise RuntimeError(f"seed {seed}, {fixed}: {error!r}") from error
    return tally


def trial(
    wings: int,
    seed: int = 0,
    fixed: dict[str, str] | None = None,
    processes: int = 1,
    *,
    pages: bool = False,
) -> Tally:
    """Try this many wings; the result does not depend on the number of processes."""
    step = 50
    tasks = [
        (range(first, min(first + step, seed + wings)), fixed or {}, pages)
        for first in range(seed, seed + wings, step)
    ]
    whole = Tally()
    if processes == 1:
        for task in tasks:
            whole.add(_part(task))
        return whole
    with multiprocessing.get_context("spawn").Pool(processes) as pool:
        for part in pool.imap(_part, tasks):
            whole.add(part)
    return whole


def report_lines(tally: Tally, *, by_kind: bool) -> Iterator[str]:
    """`name: share (hits of cases) what it is out of`, then the same by kind of wing."""
    misses = tally.misses()
    for name, figure in FIGURES.items():
        yield f"{name}: {_told(tally, name, '')} {figure.of}"
        if figure.aim is not None:
            kind = f" [{figure.aim_kind}]" if figure.aim_kind else ""
            share = _told(tally, name, figure.aim_kind)
            met = "missed with" if name in misses else "met with"
            met = met if tally.cases[name, figure.aim_kind] else "open,"
            yield f"{name}{kind} aim of {figure.aim:g}: {met} {share}"
    for what, jobs in sorted(tally.behind.items()):
        yield f"{what}: {jobs} jobs"
    for name in FIGURES if by_kind else ():
        for factor, levels in FACTORS.items():
            for level in levels:
                if tally.cases[name, f"{factor}={level}"]:
                    yield f"{name} [{factor}={level}]: {_told(tally, name, f'{factor}={level}')}"


def _told(tally: Tally, name: str, kind: str) -> str:
    share = tally.share(name, kind)
    if share is None:
        return "none (no case)"
    return f"{share:.4f} ({tally.hits[name, kind]:g} of {tally.cases[name, kind]})"


def main() -> int:
    """Try, print and write; 1 when an aim is missed and that matters."""
    parser = argparse.ArgumentParser(description=__doc__.partition("\n")[0])
    parser.add_argument("--wings", type=int, default=2000, help="how many (2000)")
    parser.add_argument("--seed", type=int, default=0, help="of the first wing (0)")
    parser.add_argument("--kind", action="append", default=[], metavar="FACTOR=LEVEL",
                        help="wings of this kind only")  # fmt: skip
    parser.add_argument("--by-kind", action="store_true", help="also each figure by kind of wing")
    parser.add_argument("--pages", action="store_true",
                        help="also hold the finished texts against contradictions.py")  # fmt: skip
    parser.add_argument("--seeds", metavar="FIGURE", help="which wings are behind a figure")
    parser.add_argument("--processes", type=int, default=2, help="at the same time (2)")
    parser.add_argument("--strict", action="store_true", help="fail when an aim is missed")
    parser.add_argument("--json", type=Path, default=ROOT / "build" / "truth.json")
    wished = parser.parse_args()
    fixed = dict(one.split("=", 1) for one in wished.kind)
    for factor, level in fixed.items():
        if level not in FACTORS.get(factor, ()):
            parser.error(f"--kind {factor}={level}: not one of {FACTORS.get(factor, FACTORS)}")
    tally = trial(wished.wings, wished.seed, fixed, wished.processes, pages=wished.pages)
    for line in report_lines(tally, by_kind=wished.by_kind):
        print(line)
    if wished.seeds:
        print(f"seeds of {wished.seeds}: {tally.seeds.get(wished.seeds, [])}")
    reported: dict[str, object] = {
        f"{name} [{kind}]" if kind else name: [hits, tally.cases[name, kind]]
        for (name, kind), hits in sorted(tally.hits.items())
    }
    reported["seeds"] = tally.seeds
    wished.json.parent.mkdir(parents=True, exist_ok=True)
    wished.json.write_text(json.dumps(reported, indent=1) + "\n", encoding="utf-8")
    return 1 if wished.strict and tally.misses() else 0


if __name__ == "__main__":
    sys.exit(main())
