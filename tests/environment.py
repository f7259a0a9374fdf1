"""The environments that the two run scripts work in: made once, pinned, out of the way.

Each is in `.venv/` and holds this checkout, installed editable so that every change to the code
is used at once, and the library versions of `constraints.txt`. A marker is written when all is
installed, so one that was cut short is rebuilt. pip's own settings and variables are honoured.

Standard library only. This file also loads on older Pythons, to say that they are too old.
"""

import hashlib
import importlib.util
import os
import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).resolve().parents[1]
PROJECT = ROOT / "pyproject.toml"
CONSTRAINTS = ROOT / "tests" / "constraints.txt"

if sys.version_info < (3, 11):  # noqa: UP036 -- older ones do come here, to be reported
    sys.exit(
        "Trimscribe needs Python 3.11 or newer; this is {}.{} ({}).\n"
        "Run this file with a newer one, for instance: python3.12 {}".format(
            *sys.version_info[:2], sys.executable, sys.argv[0]
        )
    )


def python(role: str, extras: str = "") -> Path:
    """Return the Python of the environment for `role`, which is made if it is not there.

    Exits with a message when it cannot be made.
    """
    home = ROOT / ".venv" / f"{role}-{sys.implementation.cache_tag}"
    own = home / ("Scripts/python.exe" if os.name == "nt" else "bin/python")
    marker = home / "complete"
    if not (marker.is_file() and marker.read_text(encoding="utf-8") == _stamp()):
        say(f"Making {home} (once; takes about a minute)")
        _make(home, own, extras)
        marker.write_text(_stamp(), encoding="utf-8")
    return own


def run(*command: object) -> int:
    """Run a command in the checkout, its output as it comes, and return its exit code."""
    return subprocess.run([str(part) for part in command], cwd=ROOT, env=variables()).returncode


def say(text: str) -> None:
    """Tell progress without getting into what is printed for other programs."""
    print(text, file=sys.stderr, flush=True)


def _stamp() -> str:
    """What an environment depends on; with another stamp it is rebuilt."""
    files = b"".join(path.read_bytes() for path in (PROJECT, CONSTRAINTS, Path(__file__)))
    return f"{sys.version}\n{sys.base_prefix}\n{ROOT}\n{hashlib.sha256(files).hexdigest()}\n"


def _make(home: Path, own: Path, extras: str) -> None:
    for needed in ("venv", "ensurepip"):
        if importlib.util.find_spec(needed) is None:
            sys.exit(
                f"This Python ({sys.executable}) lacks the standard module {needed}.\n"
                "On Debian and Ubuntu it comes with: apt install python3-venv"
            )
    pip = [own, "-m", "pip", "install", "--quiet", "--disable-pip-version-check"]
    pinned = [*pip, "--constraint", CONSTRAINTS]
    for command in (
        [sys.executable, "-m", "venv", "--clear", home],
        # Building with the pinned setuptools too: without isolation it has to be there first.
        [*pinned, "setuptools"],
        [*pinned, "--no-build-isolation", "--editable", f"{ROOT}{extras}"],
    ):
        done = subprocess.run(
            [str(part) for part in command],
            env=variables(),
            stdout=subprocess.PIPE,
            stderr=subprocess.STDOUT,
            encoding="utf-8",
            errors="replace",
        )
        if done.returncode:
            last = "\n".join(f"    {line}" for line in done.stdout.splitlines()[-12:])
            sys.exit(
                f"{home} could not be made. The last that was said:\n{last}\n"
                "Making it needs a package index: check the network, the proxy and pip's settings\n"
                "(pip config list), then run this again. Nothing needs to be cleaned up."
            )


def variables() -> "dict[str, str]":
    # Whatever the console's code page is, what commands print can be printed on.
    given = {**os.environ, "PYTHONIOENCODING": "utf-8"}
    # Tests start Python some hundred times: without kept bytecode each start compiles everything.
    given.pop("PYTHONDONTWRITEBYTECODE", None)
    # As in workers: several threads wait for each other longer than they compute.
    given["OPENBLAS_NUM_THREADS"] = "1"
    return given
