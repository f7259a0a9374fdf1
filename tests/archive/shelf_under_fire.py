"""Runs on a disk that fails on order; see test_shelf_faults.py. Prints what it saw as JSON.

shelf_under_fire.py FOLDER next        a report is put beside another: every call that changes the
                                       disk fails, in three ways
shelf_under_fire.py FOLDER first       the same with the first report of a shelf
shelf_under_fire.py FOLDER rebuild     the same while the index is rebuilt
shelf_under_fire.py FOLDER killed N    N runs are killed at random moments
shelf_under_fire.py FOLDER careless    as `next`, with a shelf that just writes its files, and with
                                       kills in the middle of a call alone
"""

import ctypes
import errno
import gc
import io
import json
import os
import random
import shutil
import signal
import sys
import time
from collections import Counter
from collections.abc import Sequence
from pathlib import Path

import pikepdf

from trimscribe.archive import shelf as shelf_module
from trimscribe.archive.shelf import Shelf
from trimscribe.errors import ArchiveError
from trimscribe.model.report import Record, Report

KILL, HALF = -1, -2
DONE, REFUSED, OTHERWISE = 0, 1, 2
NEVER = 10**9


def report(number: int) -> Report:
    """A PDF that carries a manifest and hardly more."""
    about = dict.fromkeys(("workshop", "maker", "model", "size", "pilot", "language"), "x")
    about |= {"service": f"QH-{number}", "done": f"20{20 + number % 7}-04-01", "hours": number}
    about |= {
        "serial_number": f"MD-{number % 5}",
        "verdicts": {},
        "replaces": None,
        "redacted": False,
    }
    plain = {"format": 1, "about": about, "theme": "base", "files": [], "versions": {}}
    pdf = pikepdf.new()
    pdf.add_blank_page()
    data = json.dumps({**plain, "packages": [], "fonts": {}}).encode()
    pdf.attachments["manifest.json"] = pikepdf.AttachedFileSpec(pdf, data)
    out = io.BytesIO()
    pdf.save(out, static_id=True)
    return Report(data=out.getvalue(), suffix=".pdf", media_type="application/pdf", pages=1)


def in_child(work) -> int:
    """Fork, do the work there, and return the wait status."""
    child = os.fork()
    if child == 0:
        code = OTHERWISE
        try:
            work()
            code = DONE
        except ArchiveError:
            code = REFUSED
        except BaseException as error:
            print(repr(error), file=sys.stderr, flush=True)
        finally:
            os._exit(code)
    return os.waitpid(child, 0)[1]


FAIL = 0  # with one error or the other, in turn
ERRORS = (errno.EIO, errno.ENOSPC)
ACTIONS = (FAIL, KILL, HALF)


def each(
    folder: Path, safe: list[Report], new: list[Report], actions: Sequence[int] = ACTIONS
) -> dict[str, object]:
    """Put `new` on a shelf that holds `safe`, or without any rebuild the index."""
    disk = ctypes.CDLL(None)
    clean, shelf = folder / "clean", folder / "shelf"
    clean.mkdir()
    for one in safe:
        Shelf(clean).put(one)
    read, write = os.pipe()

    def work(nth: int, action: int) -> None:
        disk.disk_arm(ctypes.c_long(nth), action or ERRORS[nth % 2], str(shelf).encode())
        try:
            for one in new:
                Shelf(shelf).put(one)
            if not new:
                Shelf(shelf).rebuild()
        finally:
            os.write(write, b"%d\n" % disk.disk_count())

    shutil.copytree(clean, shelf)
    assert in_child(lambda: work(NEVER, KILL)) == 0
    calls = int(os.read(read, 100))
    seen: Counter[str] = Counter()
    wrong = []
    for action in actions:
        for nth in range(1, calls + 1):
            shutil.rmtree(shelf)
            shutil.copytree(clean, shelf)
            status = in_child(lambda nth=nth, action=action: work(nth, action))
            seen["killed" if os.WIFSIGNALED(status) else str(os.WEXITSTATUS(status))] += 1
            if fault := broken(shelf, safe, new, status):
                wrong.append(f"call {nth} of {calls}, action {action}: {fault}")
    return {"calls": calls, "seen": seen, "wrong": wrong}


def broken(shelf: Path, safe: list[Report], open_: list[Report], status: int) -> str:
    """What must hold after any failure, and does not; empty when all is well."""
    if os.WIFEXITED(status) and os.WEXITSTATUS(status) == OTHERWISE:
        return "it ended with something else than an ArchiveError"
    there = {path.read_bytes() for path in shelf.rglob("*.pdf")}
    if not {r.data for r in safe} <= there:
        return "a report that was there is lost"
    if not there <= {r.data for r in (*safe, *open_)}:
        return "a half report stands there"
    done = os.WIFEXITED(status) and os.WEXITSTATUS(status) == DONE
    if done and not {r.data for r in open_} <= there:
        return "success was reported, and the report is not there"
    in_step = Shelf(shelf).reports()
    Shelf(shelf).rebuild()
    if in_step != Shelf(shelf).reports() or len(in_step) != len(there):
        return "the index is not what the reports give"
    for one in open_:
        Shelf(shelf).put(one)
    if len(Shelf(shelf).reports()) != len(safe) + len(open_):
        return "the next run could not put it there"
    return ""


def killed(folder: Path, runs: int) -> dict[str, object]:
    shelf, chance = folder / "shelf", random.Random(4711)
    made = [report(n) for n in range(200)]
    reported: set[int] = set()
    wrong, kills = [], 0
    for run in range(runs):
        if len(reported) == len(made):
            shutil.rmtree(shelf)
            reported.clear()
        read, write = os.pipe()
        child = os.fork()
        if child == 0:
            os.close(read)
            for number in range(len(made)):
                if number not in reported:
                    Shelf(shelf).put(made[number])
                    os.write(write, b"%d\n" % number)
            os._exit(0)
        os.close(write)
        time.sleep(chance.uniform(0, 0.02))
        os.kill(child, signal.SIGKILL)
        kills += os.WIFSIGNALED(os.waitpid(child, 0)[1])
        with os.fdopen(read) as stream:
            reported |= {int(line) for line in stream}
        there = {path.read_bytes() for path in shelf.rglob("*.pdf")}
        if not {made[n].data for n in reported} <= there:
            wrong.append(f"run {run}: a report that was reported is lost")
        if not there <= {r.data for r in made}:
            wrong.append(f"run {run}: a half report stands there")
        if run % 10 == 9:
            in_step = Shelf(shelf).reports()
            Shelf(shelf).rebuild()
            if in_step != Shelf(shelf).reports() or len(in_step) != len(there):
                wrong.append(f"run {run}: the index is not what the reports give")
    return {"kills": kills, "told": len(reported), "there": len(there), "wrong": wrong}


def write(report: Report, path: Path) -> Record:
    """What the shelf must not do: give the name first, the bytes later."""
    path.write_bytes(report.data)
    return Record(path, "", unchanged=False)


if __name__ == "__main__":
    gc.freeze()  # looking for garbage would write to what children share with us
    place, way = Path(sys.argv[1]), sys.argv[2]
    if way == "careless":
        shelf_module.put = write
    first, second = report(1), report(2)
    trials = {
        "next": lambda: each(place, [first], [second]),
        "careless": lambda: each(place, [first], [second], [HALF]),
        "first": lambda: each(place, [], [second]),
        "rebuild": lambda: each(place, [first, second], []),
        "killed": lambda: killed(place, int(sys.argv[3])),
    }
    print(json.dumps(trials[way]()))
