"""Run every check on this checkout; needs nothing but Python 3.11 or newer.

    python3 tests/run.py             lint, format, types, tests
    python3 tests/run.py -k brakes   tests alone: all arguments go to pytest

All checks run even when one fails; then the exit code is 1. pytest's closing line comes last.
"""

import shutil
import subprocess
import sys
from pathlib import Path

import environment
from environment import ROOT, run, say, variables

TYPED = ROOT / "build" / "typed" / "trimscribe"


def main(arguments: "list[str]") -> int:
    """Return 0 when everything passed."""
    sys.stdout.reconfigure(errors="backslashreplace")  # some consoles know few letters
    python = environment.python("tests", "[dev]")
    if arguments:
        return run(python, "-m", "pytest", *arguments)
    checks = {
        "lint": run(python, "-m", "ruff", "check", "."),
        "format": run(python, "-m", "ruff", "format", "--check", "."),
        "types": types(python),
    }
    checks["tests"], closing = tests(python)
    for name, code in checks.items():
        say(f"{name:8}{'failed' if code else 'passed'}")
    print(closing, flush=True)
    return 1 if any(checks.values()) else 0


def types(python: Path) -> int:
    """Run mypy over the package laid out as it ships, since three folders make it up."""
    shutil.rmtree(TYPED, ignore_errors=True)
    homes = {"schemas": TYPED / "schemas", "themes": TYPED / "themes", "engine": TYPED}
    for source, target in homes.items():
        shutil.copytree(ROOT / source, target, dirs_exist_ok=True)
    done = subprocess.run(
        [str(python), "-m", "mypy"],
        cwd=ROOT,
        env=variables(),
        stdout=subprocess.PIPE,
        encoding="utf-8",
    )
    told = done.stdout
    for source, target in homes.items():  # a fault is to be mended in the source, not in the copy
        told = told.replace(str(target.relative_to(ROOT)), source)
    print(told, end="", flush=True)
    return done.returncode


def tests(python: Path) -> "tuple[int, str]":
    """Run pytest, showing its output as it comes but for the last line, which is returned."""
    command = [str(python), "-m", "pytest"]
    with subprocess.Popen(
        command, cwd=ROOT, env=variables(), stdout=subprocess.PIPE, encoding="utf-8"
    ) as process:
        closing = ""
        for line in process.stdout:
            print(closing, end="", flush=True)
            closing = line
    return process.returncode, closing.rstrip()


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
