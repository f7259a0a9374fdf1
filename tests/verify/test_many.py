"""Folders of PDFs: all are reported, and one that is hostile takes nothing with it."""

import os
from pathlib import Path

import pytest

from trimscribe.cell.confine import limit_time
from trimscribe.model.proof import Standing
from trimscribe.verification import many
from trimscribe.verification.check import proved

pytestmark = pytest.mark.processes


def standings(paths: list[Path], workers: int = 2) -> dict[str, Standing]:
    return {path.name: proof.standing for path, proof in many.check_all(paths, "", workers)}


def test_every_file_of_a_folder_is_reported_once(demo: bytes, tmp_path: Path) -> None:
    paths = [tmp_path / f"{n}.pdf" for n in range(7)]
    for path in paths:
        path.write_bytes(demo)
    (tmp_path / "cut.pdf").write_bytes(demo[:1000])
    os.mkfifo(tmp_path / "pipe.pdf")
    named = [*paths, tmp_path / "cut.pdf", tmp_path / "none.pdf", tmp_path / "pipe.pdf"]

    assert standings(named) == {
        **dict.fromkeys((path.name for path in paths), Standing.IDENTICAL),
        **dict.fromkeys(("cut.pdf", "none.pdf", "pipe.pdf"), Standing.UNREADABLE),
    }


@pytest.mark.parametrize("error", [ValueError, OSError])
def test_a_system_that_refuses_a_limit_still_reads_reports(
    error: type[Exception], demo: bytes, monkeypatch: pytest.MonkeyPatch
) -> None:
    def refuse(*_: object) -> None:
        raise error

    monkeypatch.setattr("resource.setrlimit", refuse)

    limit_time(1)  # as each process does before a file
    proof = proved(("demo.pdf", demo, "", ()))

    assert proof.standing is Standing.IDENTICAL


def test_a_file_that_ends_its_worker_is_reported_and_the_others_still_are(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    paths = [tmp_path / f"{n}.pdf" for n in range(9)]
    (tmp_path / "deadly.py").write_text(DEADLY)
    private = tmp_path / "private"
    private.mkdir()
    monkeypatch.setattr("tempfile.tempdir", str(private))
    monkeypatch.syspath_prepend(tmp_path)
    monkeypatch.setattr(many, "_WORK", "deadly")
    for path in paths:
        path.write_bytes(b"%PDF")

    found = dict(many.check_all(paths, "", 2))

    assert {path: proof.service for path, proof in found.items()} == {
        path: "" if path.name == "3.pdf" else "read" for path in paths
    }
    assert found[paths[3]].differences[0].code == "too-much"
    assert not [*private.iterdir()]  # what it had laid out is gone


DEADLY = """
import os, signal, tempfile
from trimscribe.model.proof import Proof, Standing

def get_ready():
    pass

def proved(task):
    if task[0].endswith("3.pdf"):
        tempfile.mkdtemp()
        os.kill(os.getpid(), signal.SIGKILL)
    return Proof(Standing.IDENTICAL, "", "read")
"""
