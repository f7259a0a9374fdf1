"""Render the demo job; needs nothing but Python 3.11 or newer.

    python3 examples/run.py          the demo
    python3 examples/run.py --all    every example but the one that is broken on purpose

The reports go to `out/`. The last line printed is the path of the demo's PDF.
"""

import argparse
import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[1] / "tests"))

from environment import ROOT, python, run

# The demo's path comes last.
JOBS = (
    "two-row",
    "planned",
    "planned-done",
    "four-row",
    "inspection",
    "outside",
    "part-remeasured",
    "demo",
)


def main() -> int:
    """Return the exit code of `trimscribe report`."""
    parser = argparse.ArgumentParser(description="Render the demo job.")
    parser.add_argument("--all", action="store_true", help="render every example")
    jobs = JOBS if parser.parse_args().all else JOBS[-1:]
    files = [f"examples/{job}.yaml" for job in jobs]
    own = python("examples")
    return run(own, "-m", "trimscribe", "report", *files, "--out", ROOT / "out", "--force")


if __name__ == "__main__":
    sys.exit(main())
