"""The README's first five minutes: a new job, the preview, filling in, the report on the shelf."""

import re
import shutil
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

ROOT = Path(__file__).parents[2]
README = (ROOT / "README.md").read_text(encoding="utf-8")


def commands() -> list[str]:
    """Those of the block that begins with a new job."""
    (block,) = re.findall(r"^```\n(trimscribe new job\.yaml.*?)^```$", README, re.S | re.M)
    return [line.removeprefix("trimscribe ") for line in block.splitlines()]


def test_from_nothing_to_a_report_on_the_shelf(
    browser: Any, folder: Path, start: Callable[..., Any]
) -> None:
    work = folder / "own"
    work.mkdir()
    for name in ("shop.yaml", "medlar-m.yaml", "quarry-hill.svg", "ines-corvin.svg"):
        shutil.copy(folder / name, work)
    new, preview, report = commands()

    def run(command: str) -> None:
        words = [word.strip('"') for word in re.findall(r'"[^"]*"|\S+', command)]
        python = [sys.executable, "-m", "trimscribe"]
        subprocess.run([*python, *words], cwd=work, check=True, capture_output=True)

    run(new)
    assert preview == "preview job.yaml"
    browser.open(start("own/job.yaml").address, 1280, 900)
    reported = browser.wait("return document.querySelector('.faults')?.innerText")
    assert reported.count("missing-value") == 3

    job = (work / "job.yaml").read_text(encoding="utf-8")
    for key, value in {"number": "N-1", "done": "2026-10-16", "serial_number": "M-1"}.items():
        job = re.sub(rf"^(  {key}): ~", rf"\1: {value}", job, count=1, flags=re.M)
    (work / "job.yaml").write_text(job, encoding="utf-8")

    browser.wait("return document.title.startsWith('Service N-1')")
    run(report)
    assert len(list((work / "shelf").rglob("*.pdf"))) == 1
    assert [path.suffix for path in (work / "sent").iterdir()] == [".html"]
