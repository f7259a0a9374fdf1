"""PDFs that want more than to be read: nothing is written or loaded where they say."""

import errno
import hashlib
import io
import json
import os
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pikepdf
import pytest

from trimscribe.model.proof import Proof, Standing
from trimscribe.verification import check

Prove = Callable[..., Proof]


def retold(demo: bytes, change: Callable[[dict[str, Any]], None]) -> bytes:
    """The report with another manifest."""
    out = io.BytesIO()
    with pikepdf.open(io.BytesIO(demo)) as pdf:
        stream = pdf.attachments["manifest.json"].get_file().obj
        plain = json.loads(stream.read_bytes())
        change(plain)
        stream.write(json.dumps(plain).encode())
        pdf.save(out)
    return out.getvalue()


@pytest.mark.parametrize(
    "named",
    [
        "../" * 40 + "escaped.yaml",
        "/escaped.yaml",
        "..\\..\\escaped.yaml",
        "a/../../" * 20 + "escaped.yaml",
        "esc\0aped.yaml",
        "",
        ".",
        "x" * 500,
        "x" * 300,  # more than a folder takes
        "é" * 200,
        "demo.yaml/below",  # below a file
        "demo.yaml",  # twice the same place
    ],
)
def test_a_name_cannot_lead_out_of_the_private_place(
    demo: bytes, prove: Prove, named: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    private = tmp_path / "deep" / "down"
    private.mkdir(parents=True)
    monkeypatch.setattr("tempfile.tempdir", str(private))

    def rename(plain: dict[str, Any]) -> None:
        plain["files"][1]["named"] = named

    proof = prove(retold(demo, rename))

    assert proof.standing is Standing.UNPROVEN
    assert [d.code for d in proof.differences] == ["name-not-possible"]
    assert not [path for path in tmp_path.rglob("*") if path.is_file()]


def test_what_stumbles_over_a_job_is_reported_and_stops_nothing(
    demo: bytes, prove: Prove, monkeypatch: pytest.MonkeyPatch
) -> None:
    def stumble(*_: object, **__: object) -> None:
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    monkeypatch.setattr(check, "prepare", stumble)
    proof = prove(demo)

    assert proof.standing is Standing.UNPROVEN
    assert [d.code for d in proof.differences] == ["cannot-render"]
    assert os.strerror(errno.ENOSPC) in proof.differences[0].message


def test_a_theme_is_a_name_and_never_a_folder_of_the_reports_choice(
    demo: bytes, prove: Prove, tmp_path: Path
) -> None:
    (tmp_path / "theme.yaml").write_text("trimscribe: 1\nname: evil\nextends: base\n")

    def point(plain: dict[str, Any]) -> None:
        plain["theme"] = str(tmp_path)

    proof = prove(retold(demo, point))

    assert proof.standing is Standing.UNPROVEN
    assert [d.code for d in proof.differences] == ["theme-not-here"]


def test_a_job_inside_may_name_no_file_that_it_does_not_carry(
    demo: bytes, prove: Prove, tmp_path: Path
) -> None:
    """A line set named by its place on this machine is not read from there."""
    (tmp_path / "wing.yaml").write_text("secret: 1\n")
    out = io.BytesIO()
    with pikepdf.open(io.BytesIO(demo)) as pdf:
        job = pdf.attachments["demo.yaml"].get_file().obj
        text = job.read_bytes().replace(b"medlar-m.yaml", str(tmp_path / "wing.yaml").encode())
        job.write(text)
        stream = pdf.attachments["manifest.json"].get_file().obj
        plain = json.loads(stream.read_bytes())
        plain["files"][0] |= {"sha256": hashlib.sha256(text).hexdigest(), "size": len(text)}
        stream.write(json.dumps(plain).encode())
        pdf.save(out)

    proof = prove(out.getvalue())

    assert proof.standing is Standing.UNPROVEN
    assert "secret" not in " ".join(d.message for d in proof.differences)
    assert "relative" in proof.differences[0].message


def test_earlier_services_that_cannot_be_read_are_reported(demo: bytes, prove: Prove) -> None:
    out = io.BytesIO()
    with pikepdf.open(io.BytesIO(demo)) as pdf:
        data = b'{"services": [{"done": "2020-01-01"}]}'
        pdf.attachments["history.json"] = pikepdf.AttachedFileSpec(pdf, data)
        stream = pdf.attachments["manifest.json"].get_file().obj
        plain = json.loads(stream.read_bytes())
        reported = {**plain["files"][-1], "name": "history.json", "role": "history"}
        plain["files"].append(reported | {"sha256": hashlib.sha256(data).hexdigest()})
        stream.write(json.dumps(plain).encode())
        pdf.save(out)

    assert [d.code for d in prove(out.getvalue()).differences] == ["history-unreadable"]
