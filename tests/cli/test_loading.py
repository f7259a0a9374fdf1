"""What loads where: little in the process that a person starts, and all of a report in time.

A worker that was shut in can write nothing down, so what it loads then is compiled each time.
"""

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

pytestmark = [pytest.mark.processes, pytest.mark.cold]
EXAMPLES = Path(__file__).parents[2] / "examples"
_LATE = """
import json, sys
import strangers
strangers.hide()
from trimscribe.desk.wish import Wish
from trimscribe.desk.work import get_ready, reported
get_ready()
before = {*sys.modules}
done = reported(Wish(sys.argv[1], outputs=("pdf",)))
late = sorted(name for name in {*sys.modules} - before if name.startswith("trimscribe"))
print(json.dumps([len(done.files), late]))
"""
_CHECKED = """
import json, sys
from trimscribe.desk.wish import Wish
from trimscribe.desk.work import checked
done = checked(Wish(sys.argv[1]))
slow = {"matplotlib", "numpy", "scipy", "typst"} & {name.partition(".")[0] for name in sys.modules}
print(json.dumps([bool(done.faults), sorted(slow)]))
"""
_OWNER = """
import json, sys
from trimscribe.cli import main
try:
    main(["report", sys.argv[1], "--out", sys.argv[2]])
finally:
    print(json.dumps(sorted(name for name in sys.modules if name.startswith("trimscribe.model"))))
"""


def answer(program: str, *arguments: object) -> str:
    command = [sys.executable, "-c", program, *map(str, arguments)]
    env = {**os.environ, "PYTHONPATH": str(Path(__file__).parents[1] / "starts")}
    done = subprocess.run(command, env=env, capture_output=True, encoding="utf-8", check=True)
    return done.stdout.splitlines()[-1]


def test_nothing_of_ours_loads_while_a_report_is_made() -> None:
    assert json.loads(answer(_LATE, EXAMPLES / "demo.yaml")) == [1, []]


def test_a_faulty_job_is_reported_without_waiting_for_what_draws_and_computes() -> None:
    assert json.loads(answer(_CHECKED, EXAMPLES / "broken.yaml")) == [True, []]


def test_who_hands_a_job_out_loads_nothing_of_what_was_found_in_it(tmp_path: Path) -> None:
    loaded = json.loads(answer(_OWNER, EXAMPLES / "demo.yaml", tmp_path))
    assert "trimscribe.model.report" in loaded
    assert not {"trimscribe.model.document", "trimscribe.model.findings"} & {*loaded}
