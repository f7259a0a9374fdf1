"""Broken and hostile files by the thousand: no traceback, no hang, no process that grows.

    python tests/benchmarks/fuzz.py [--seconds N] [--seed N] [--kinds jobs,themes,requests]

Starts from the examples and changes them at random, by a seed that is printed: values, keys, bytes,
and lines of the kind that have done harm. Each file goes to a worker as a command would send it. A
bug, a worker that dies, an answer later than 10 s of computing, or a process over 1 GB is a
finding: it is printed, its file is kept in build/fuzz, and the exit code is 1. That a worker was
stopped at its limits is none; how often it was is reported.
"""

import argparse
import copy
import json
import random
import shutil
import socket
import subprocess
import sys
import tempfile
import time
from collections import Counter
from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any
from urllib.parse import urlsplit

import yaml

from trimscribe.cell import SerialWorker
from trimscribe.desk.wish import Done, Wish
from trimscribe.errors import StoppedError, TrimscribeError
from trimscribe.exports.worked_out import Wanted
from trimscribe.verification.many import check_all

ROOT = Path(__file__).resolve().parents[2]
EXAMPLES, KEPT = ROOT / "examples", ROOT / "build" / "fuzz"
JOBS = ("demo", "four-row", "two-row", "outside", "inspection")
MOST_S, MOST_MB = 10.0, 1024.0
ODD: list[Any] = [
    *(None, True, "", " ", "~", [], {}, [[]], 0, -1, 1e-320, 1e300, 10**30, -0.0, 0.5, 1e5),
    *("A" * 5000, "\u202e", "\0", "é\u0301", "../" * 9 + "etc/passwd", "<< 1 >>", "#eval(1)"),
    *("{{ x }}", "2026-02-30", "=1+1", "'; --", "<script>", "\ud83d\ude00", "1,5", "NaN"),
]
LINES = [
    *("<% for a in range(99999) %><% for b in range(99999) %><% endfor %><% endfor %>",),
    *("<< 'a' * 10**10 >>", "<< t >>", "<< t.nothing >>", "<% include 'x' %>", "<% block a %>"),
    *("#while true {}", "#for n in range(9000) [#pagebreak()]", '#read("/etc/passwd")', "#panic()"),
    *('#import "@preview/x:1.0.0"', "$ x^(y", "]]]", '#eval("1")', "<< self.__init__ >>", "<# "),
    *("<< cycler.__init__.__globals__ >>", "<< ''.__class__ >>", "#{let a = (1,); a = a * 99999}"),
]
REQUESTS = [
    *("GET *", "OPTIONS *", "GET foo", "GET /", "HEAD /x", "POST /TOKEN/sight", "GET /TOKEN/sight"),
    *("GET /TOKEN/shots/1/page/1?width=99999999", "GET /TOKEN/shots/1/page/-1", "GET /%00"),
    *("GET /TOKEN/shots/x/y/z", "GET /TOKEN/sight?job=99&theme=-1", "GET /TOKEN/../x", "\0\1\2"),
    *("GET /TOKEN/sight?job=%ff", "GET /TOKEN/shots/1/why/99999999999999999999", "PRI * HTTP/2.0"),
]


@dataclass
class Run:
    """One run: chance, the place for files, and what was found so far."""

    chance: random.Random
    folder: Path
    cell: SerialWorker = field(default_factory=SerialWorker)
    counts: Counter[str] = field(default_factory=Counter)
    findings: list[str] = field(default_factory=list)
    largest_mb: float = 0.0
    longest_s: float = 0.0

    def found(self, kind: str, what: str, file: Path | None = None) -> None:
        """Note a finding and keep its file."""
        self.findings.append(f"{kind}: {what}")
        print(f"finding: {kind}: {what}", flush=True)
        if file:
            KEPT.mkdir(parents=True, exist_ok=True)
            kept = KEPT / f"{len(self.findings)}-{kind}{file.suffix}"
            (shutil.copytree if file.is_dir() else shutil.copy)(file, kept)

    def call(self, kind: str, file: Path, work: str, *given: Any) -> None:
        """Have a worker do something with a file, and look at the result of it."""
        start = time.monotonic()
        codes: list[str] = []
        try:
            world = [str(self.folder), str(EXAMPLES)]
            answer = self.cell.call(str(file), work, *given, reads=world)
            codes = [fault.code for fault in answer.faults] if isinstance(answer, Done) else []
        except StoppedError as error:
            codes = [fault.code for fault in error.faults]
            self.counts[f"{kind} stopped"] += 1
        except TrimscribeError as error:
            codes = [fault.code for fault in error.faults]
        self.counts[kind] += 1
        self._look()
        spent = time.monotonic() - start
        self.longest_s = max(self.longest_s, spent)
        for bad in ("bug", "worker-died"):
            if bad in codes:
                self.found(kind, bad, file)

    def _look(self) -> None:
        for worker in self.cell._crew._workers:
            worker.look()
            self.largest_mb = max(self.largest_mb, worker.seen_mb)
            if worker.seen_mb > MOST_MB:
                self.found("memory", f"{worker.seen_mb:.0f} MB")


def changed(data: Any, chance: random.Random) -> Any:
    """Some of the values and keys of a tree replaced, dropped or doubled."""
    made = copy.deepcopy(data)
    for _ in range(chance.choice((1, 1, 2, 5))):
        inner, way = made, 0
        while way < 6 and isinstance(inner, dict | list) and inner:
            keys = list(inner) if isinstance(inner, dict) else list(range(len(inner)))
            key = chance.choice(keys)
            if isinstance(inner[key], dict | list) and chance.random() < 0.8:
                inner, way = inner[key], way + 1
                continue
            what = chance.random()
            if what < 0.15:
                del inner[key]
            elif what < 0.25 and isinstance(inner, dict):
                inner[chance.choice(["x", "rows", "file", "map", "", "é", "A9"])] = inner[key]
            elif what < 0.35 and isinstance(inner, list):
                inner.extend(copy.deepcopy(inner[:50]))
            else:
                inner[key] = copy.deepcopy(chance.choice(ODD))  # or a tree would hold itself
            break
    return made


def smudged(data: bytes, chance: random.Random) -> bytes:
    """Some bytes replaced, dropped or repeated."""
    made = bytearray(data)
    for _ in range(chance.choice((1, 3, 20))):
        place = chance.randrange(len(made) or 1)
        what = chance.random()
        if what < 0.5 and made:
            made[place] = chance.randrange(256)
        elif what < 0.7:
            del made[place : place + chance.choice((1, 10, 1000))]
        elif what < 0.9:
            made[place:place] = made[place : place + chance.choice((1, 10, 1000))] * 3
        else:
            made[place:place] = str(chance.choice(ODD)).encode("utf-8", "replace")
    return bytes(made)


def jobs(run: Run) -> None:
    """A job, its line set or its shop file, read and made into a page."""
    name = run.chance.choice(JOBS)
    for file in ("shop.yaml", "medlar-m.yaml", "bullace-l.yaml", "quince-s.yaml"):
        shutil.copy(EXAMPLES / file, run.folder)
    job = run.folder / "job.yaml"
    which = run.chance.choice(["job", "job", "job", "medlar-m.yaml", "shop.yaml"])
    source = EXAMPLES / (f"{name}.yaml" if which == "job" else which)
    target = job if which == "job" else run.folder / which
    if which != "job":
        shutil.copy(EXAMPLES / f"{name}.yaml", job)
    text = source.read_bytes()
    if run.chance.random() < 0.6:
        made = changed(yaml.safe_load(text), run.chance)
        text = json.dumps(made, default=str).encode("utf-8", "surrogatepass")
    else:
        text = smudged(text, run.chance)
    target.write_bytes(text)
    outputs = run.chance.choice([("html",), ("json",), ("pdf",)])
    run.call("jobs", target, "trimscribe.desk.work:reported", Wish(str(job), outputs=outputs))


def maps(run: Run) -> None:
    """An export, or the map that says what its cells mean."""
    export, plan = run.chance.choice(
        [("tape-jig.csv", "tape-jig-map.yaml"), ("laser-bench.xlsx", "laser-bench-map.yaml")]
    )
    for name in (export, plan):
        shutil.copy(EXAMPLES / "exports" / name, run.folder)
    if run.chance.random() < 0.5:
        data = yaml.safe_load((run.folder / plan).read_bytes())
        file = run.folder / plan
        made = json.dumps(changed(data, run.chance), default=str)
        file.write_bytes(made.encode("utf-8", "surrogatepass"))
    else:
        file = run.folder / export
        file.write_bytes(smudged(file.read_bytes(), run.chance))
    mapped = None if run.chance.random() < 0.2 else run.folder / plan  # None: one is proposed
    wanted = Wanted(run.folder / export, map_path=mapped, propose=mapped is None, lines=run.folder)
    run.call("maps", file, "trimscribe.exports.worked_out:work_out", wanted)


def themes(run: Run) -> None:
    """A theme: its file, a template, a picture."""
    theme = run.folder / "theme"
    shutil.rmtree(theme, ignore_errors=True)
    what = run.chance.choice(["file", "template", "template", "picture"])
    (theme / "templates").mkdir(parents=True)
    (theme / "assets").mkdir()
    text = "trimscribe: 1\nname: fuzzed\nextends: base\ntokens: {accent: '#24566b'}\n"
    if what == "file":
        made = changed(yaml.safe_load((ROOT / "themes/linden/theme.yaml").read_bytes()), run.chance)
        text = json.dumps(made, default=str)
    (theme / "theme.yaml").write_bytes(text.encode("utf-8", "surrogatepass"))
    if what == "template":
        base = run.chance.choice(sorted((ROOT / "themes/base/templates").rglob("*.j2")))
        lines = base.read_text(encoding="utf-8").splitlines()
        for _ in range(run.chance.choice((1, 2, 4))):
            lines.insert(run.chance.randrange(len(lines) + 1), run.chance.choice(LINES))
        made = "\n".join(lines).encode()
        if run.chance.random() < 0.3:
            made = smudged(made, run.chance)
        (theme / "templates" / base.name).write_bytes(made)
    if what == "picture":
        picture = (EXAMPLES / "quarry-hill.svg").read_bytes()
        (theme / "assets" / "a.svg").write_bytes(smudged(picture, run.chance))
    shutil.copy(EXAMPLES / "shop.yaml", run.folder)
    for name in ("two-row.yaml", "quince-s.yaml", "quarry-hill.svg", "ines-corvin.svg"):
        shutil.copy(EXAMPLES / name, run.folder)
    wish = Wish(str(run.folder / "two-row.yaml"), theme=str(theme), outputs=("pdf", "html"))
    run.call("themes", theme, "trimscribe.desk.work:reported", wish)


def pdfs(run: Run) -> None:
    """Reports with other bytes, eight at a time."""
    whole = run.folder / "whole"
    if not whole.is_file():
        done: Done = run.cell.call(
            "",
            "trimscribe.desk.work:reported",
            Wish(str(EXAMPLES / "demo.yaml"), outputs=("pdf",)),
            reads=[str(run.folder), str(EXAMPLES)],
        )
        whole.write_bytes(done.files[0].report.data)
    paths = [run.folder / f"{number}.pdf" for number in range(8)]
    for path in paths:
        path.write_bytes(smudged(whole.read_bytes(), run.chance))
    start = time.monotonic()
    for path, proof in check_all(paths, "", 1):
        run.counts["pdfs"] += 1
        codes = {one.code for one in proof.differences}
        run.counts["pdfs stopped"] += "too-much" in codes
        if any("bug" in one.message.lower() for one in proof.differences):
            run.found("pdfs", str(codes), path)
    run.longest_s = max(run.longest_s, (time.monotonic() - start) / len(paths))


@dataclass
class Requests:
    """Requests to one preview, which answers each and goes on."""

    process: "subprocess.Popen[str] | None" = None
    address: str = ""

    def __call__(self, run: Run) -> None:
        """Send a handful."""
        if self.process is None:
            self.process = subprocess.Popen(
                [sys.executable, "-m", "trimscribe", "preview", str(EXAMPLES / "demo.yaml")],
                stdout=subprocess.PIPE,
                stderr=subprocess.PIPE,
                text=True,
            )
            assert self.process.stdout
            self.address = self.process.stdout.readline().strip()
        place = urlsplit(self.address)
        host = f"{place.hostname}:{place.port}"
        for _ in range(10):
            line = run.chance.choice(REQUESTS).replace("TOKEN", place.path.strip("/"))
            said = f"{line} HTTP/1.1\r\nHost: {host}\r\nConnection: close\r\n\r\n".encode()
            if run.chance.random() < 0.4:
                said = smudged(said, run.chance)
            run.counts["requests"] += 1
            start = time.monotonic()
            with socket.create_connection((place.hostname, place.port), timeout=120) as line_out:
                line_out.sendall(said)
                line_out.shutdown(socket.SHUT_WR)
                try:
                    told = line_out.recv(4096)
                except ConnectionError:
                    told = b""
                except TimeoutError:
                    run.found("requests", f"no answer to {said!r}")
                    told = b""
            run.longest_s = max(run.longest_s, time.monotonic() - start)
            if told.split(b" ")[1:2] == [b"500"]:
                run.found("requests", f"500 for {said!r}")
        if self.process.poll() is not None:
            run.found("requests", "the preview has ended")
            self.process = None

    def stop(self) -> None:
        """End the preview."""
        if self.process:
            self.process.terminate()
            self.process.communicate(timeout=30)


def main() -> int:
    """Fuzz for a while; 1 when anything was found."""
    parser = argparse.ArgumentParser(description=__doc__.partition("\n")[0])
    parser.add_argument("--seconds", type=float, default=120)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--kinds", default="jobs,maps,themes,pdfs,requests")
    wished = parser.parse_args()
    requests = Requests()
    kinds: dict[str, Callable[[Run], None]] = {
        **{"jobs": jobs, "maps": maps, "themes": themes, "pdfs": pdfs},
        "requests": requests,
    }
    chosen = [kinds[name] for name in wished.kinds.split(",")]
    end = time.monotonic() + wished.seconds
    with tempfile.TemporaryDirectory(prefix="trimscribe-fuzz-") as place:
        run = Run(random.Random(wished.seed), Path(place))
        try:
            turn = 0
            while time.monotonic() < end:
                chosen[turn % len(chosen)](run)
                turn += 1
        finally:
            run.cell.close()
            requests.stop()
    for name, count in sorted(run.counts.items()):
        print(f"{name}: {count}")
    print(f"seed: {wished.seed}")
    print(
        f"largest worker: {run.largest_mb:.0f} MB; longest wait by the clock: {run.longest_s:.1f} s"
    )
    print(f"findings: {len(run.findings)}")
    return 1 if run.findings else 0


if __name__ == "__main__":
    sys.exit(main())
