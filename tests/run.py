"""Run every check on this checkout; needs nothing but Python 3.11 or newer.

    python3 tests/run.py             lint, format, types, tests
    python3 tests/run.py --quick     the same at every change: without what takes longest
    python3 tests/run.py -k brakes   tests alone: all arguments go to pytest

What is drawn by chance is tried often only with TRIMSCRIBE_TRIALS=all, as .ci/run has it.
The tests use every core, and lint and types are looked at beside them. All checks run even when one
fails; then the exit code is 1. pytest's closing line comes last.
"""

import os
import shutil
import subprocess
import sys
import tempfile
from concurrent.futures import ThreadPoolExecutor
from contextlib import nullcontext
from pathlib import Path

import environment
from environment import ROOT, run, say, variables

TYPED = ROOT / "build" / "typed" / "trimscribe"
# One more than there are cores: some tests wait, for a browser or for what they have stopped.
WORKERS = 1 + (len(os.sched_getaffinity(0)) if sys.platform == "linux" else os.cpu_count() or 1)
# A file stays with one worker, so that what its tests share is made once. The order is that of
# tests/conftest.py, which has the files that take longest come first. The plugin that comes with
# anyio would load much in each process, and no test uses it.
ON_ALL_CORES = (
    *("-n", str(WORKERS), "--dist", "loadfile", "--no-loadscope-reorder"),
    *("-p", "no:anyio"),
)
MEMORY = Path("/dev/shm")  # where Linux has files that are on no disk
MEMORY_NEEDED = 2e9  # bytes that must be free; a whole run has filled a quarter of 1e9
LONG = "browser or installs or processes or proofs or slow or thorough or typesets"
QUICK = ("-m", f"quick and not slow or not ({LONG})")


def main(arguments: "list[str]") -> int:
    """Return 0 when everything passed."""
    sys.stdout.reconfigure(errors="backslashreplace")  # some consoles know few letters
    python = environment.python("tests", "[dev]")
    quick = QUICK if "--quick" in arguments else ()
    arguments = [one for one in arguments if one != "--quick"]
    if arguments:
        return run(python, "-m", "pytest", *quick, *arguments)
    with ThreadPoolExecutor() as pool:
        beside = {
            "lint": pool.submit(check, python, "-m", "ruff", "check", "."),
            "format": pool.submit(check, python, "-m", "ruff", "format", "--check", "."),
            "types": pool.submit(types, python),
        }
        code, closing = tests(python, *ON_ALL_CORES, *quick)
        found = {name: future.result() for name, future in beside.items()}
    for _, text in found.values():
        print(text, end="")
    codes = {**{name: code for name, (code, _) in found.items()}, "tests": code}
    for name, failed in codes.items():
        say(f"{name:8}{'failed' if failed else 'passed'}")
    print(closing, flush=True)
    return 1 if any(codes.values()) else 0


def check(*command: object) -> "tuple[int, str]":
    """Run a command and return its exit code with all that it printed."""
    done = subprocess.run(
        [str(part) for part in command],
        cwd=ROOT,
        env=variables(),
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        encoding="utf-8",
    )
    return done.returncode, done.stdout


def types(python: Path) -> "tuple[int, str]":
    """Run mypy over the package laid out as it ships, since three folders make it up."""
    shutil.rmtree(TYPED, ignore_errors=True)
    homes = {"schemas": TYPED / "schemas", "themes": TYPED / "themes", "engine": TYPED}
    for source, target in homes.items():
        shutil.copytree(
            ROOT / source, target, dirs_exist_ok=True, ignore=shutil.ignore_patterns("__pycache__")
        )
    code, text = check(python, "-m", "mypy")
    for source, target in homes.items():  # a fault is to be mended in the source, not in the copy
        text = text.replace(str(target.relative_to(ROOT)), source)
    return code, text


def tests(python: Path, *arguments: str) -> "tuple[int, str]":
    """Run pytest, showing its output as it comes but for the last line, which is returned."""
    command = [str(python), "-m", "pytest", *arguments]
    with passing_files() as folder:
        env = {**variables(), **({"TMPDIR": folder} if folder else {})}
        with subprocess.Popen(
            command, cwd=ROOT, env=env, stdout=subprocess.PIPE, encoding="utf-8"
        ) as process:
            closing = ""
            for line in process.stdout:
                print(closing, end="", flush=True)
                closing = line
    return process.returncode, closing.rstrip()


def passing_files() -> "tempfile.TemporaryDirectory[str] | nullcontext[str]":
    """A folder in memory for what tests write, where there is room; else an empty name.

    They put thousands of files safely on the disk, and would wait for it half of their time.
    """
    try:
        memory = os.statvfs(MEMORY)
    except (AttributeError, OSError):  # no Linux
        return nullcontext("")
    if memory.f_bavail * memory.f_frsize < MEMORY_NEEDED or memory.f_flag & os.ST_NOEXEC:
        return nullcontext("")
    return tempfile.TemporaryDirectory(
        prefix="trimscribe-tests-", dir=MEMORY, ignore_cleanup_errors=True
    )


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
