"""What veraPDF says of every report, and how its answers are taken."""

import datetime as dt
import functools
import io
import json
import os
import shlex
import shutil
import stat
import subprocess
import tempfile
from pathlib import Path
from typing import Any

import pikepdf
import pytest
from cryptography import x509
from cryptography.hazmat.primitives import hashes
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.hazmat.primitives.serialization import BestAvailableEncryption, pkcs12
from cryptography.x509.oid import NameOID

from trimscribe.errors import ReadbackError
from trimscribe.pipeline import prepare, render
from trimscribe.registry import Registry
from trimscribe.sign.keys import from_file
from trimscribe.sign.report import sign
from trimscribe.verification.validator import PROMISED, nonconformities
from trimscribe.world import World

ROOT = Path(__file__).parents[2]
REGISTRY = Registry.installed()
VARIABLE = "TRIMSCRIBE_VERAPDF"
THEMES = ("base", "linden", "bench")
JOBS = ("demo", "outside", "inspection", "two-row", "four-row")


@functools.cache
def validator() -> tuple[str, ...]:
    """veraPDF, where somebody has said how it is started or it is where it usually does."""
    return tuple(shlex.split(os.environ.get(VARIABLE, shutil.which("verapdf") or "")))


@pytest.fixture(scope="module")
def verapdf() -> tuple[str, ...]:
    if not validator():
        pytest.skip(f"veraPDF is not here: {VARIABLE} names no command; .ci/run fetches it")
    return validator()


def made(job: str, theme: str) -> bytes:
    content = prepare(ROOT / "examples" / f"{job}.yaml", REGISTRY)
    return render(content, REGISTRY, World.real(), theme=theme).data


@pytest.mark.thorough
@pytest.mark.parametrize("flavour", PROMISED)
def test_every_example_in_every_theme_conforms_also_when_signed(
    verapdf: tuple[str, ...], reports: Path, flavour: str
) -> None:
    """All in one run of veraPDF, whose start takes longer than its work."""
    files = sorted(map(str, reports.iterdir()))

    done = subprocess.run(
        [*verapdf, "--format", "text", "--flavour", flavour, *files],
        capture_output=True,
        text=True,
        check=False,
    )

    assert sorted(done.stdout.splitlines()) == [f"PASS {file} {flavour}" for file in files]
    assert len(files) == len(THEMES) * len(JOBS) + 1


@pytest.fixture(scope="module")
def reports(verapdf: tuple[str, ...], tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Only made where somebody is there to validate them."""
    folder = tmp_path_factory.mktemp("reports")
    for theme in THEMES:
        for job in JOBS:
            (folder / f"{job}-{theme}.pdf").write_bytes(made(job, theme))
    (folder / "signed.pdf").write_bytes(signed(made("demo", "base")))
    return folder


def signed(report: bytes) -> bytes:
    """The report with a signature of somebody who is nobody's but their own witness."""
    key = ec.generate_private_key(ec.SECP256R1())
    name = x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, "Quarry Hill Canopy Works")])
    day, now = dt.timedelta(days=1), dt.datetime.now(dt.UTC)
    builder = x509.CertificateBuilder(name, name, key.public_key(), 7, now - day, now + day)
    certificate = builder.sign(key, hashes.SHA256())
    with tempfile.NamedTemporaryFile(suffix=".p12") as store:
        secret = BestAvailableEncryption(b"x")
        store.write(pkcs12.serialize_key_and_certificates(b"x", key, certificate, None, secret))
        store.flush()
        return sign(report, from_file(Path(store.name), "x")).data


@pytest.mark.thorough
def test_a_report_without_its_language_does_not_conform(verapdf: tuple[str, ...]) -> None:
    out = io.BytesIO()
    with pikepdf.open(io.BytesIO(made("inspection", "base"))) as pdf:
        del pdf.Root.Lang
        del pdf.Root.MarkInfo
        pdf.save(out)

    reported = nonconformities(out.getvalue(), verapdf)

    assert {fault.code for fault in reported} == {"not-conforming"}
    for name in PROMISED.values():
        assert any(fault.message.startswith(f"The report is not {name}: ") for fault in reported)


def script(folder: Path, answer: str) -> tuple[str, ...]:
    """A command that answers as it is told, whatever it is asked."""
    path = folder / "answering"
    path.write_text(f"#!/bin/sh\ncat <<'END'\n{answer}\nEND\n")
    path.chmod(path.stat().st_mode | stat.S_IXUSR)
    return (str(path),)


def answer(rules: list[dict[str, Any]], *, compliant: bool) -> str:
    details = {"ruleSummaries": rules}
    result = {"details": details, "compliant": compliant, "statement": "As it is."}
    return json.dumps({"report": {"jobs": [{"validationResult": [result]}]}})


def test_a_report_that_conforms_gives_no_faults(tmp_path: Path) -> None:
    assert nonconformities(b"%PDF", script(tmp_path, answer([], compliant=True))) == ()


def test_a_broken_rule_is_reported_with_its_clause(tmp_path: Path) -> None:
    rule = {
        "ruleStatus": "FAILED",
        "specification": "ISO 14289-1:2014",
        "clause": "7.2",
        "testNumber": 2,
        "description": "Natural language shall be determined.",
    }
    reported = nonconformities(b"%PDF", script(tmp_path, answer([rule], compliant=False)))

    assert len(reported) == 2
    assert reported[1].message == (
        "The report is not PDF/UA-1: Natural language shall be determined. "
        "(ISO 14289-1:2014, 7.2, test 2)."
    )


def test_an_answer_without_a_yes_is_a_no(tmp_path: Path) -> None:
    assert len(nonconformities(b"%PDF", script(tmp_path, answer([], compliant=False)))) == 2


@pytest.mark.parametrize("said", ["", "PASS", "{}", '{"report": {"jobs": []}}'])
def test_a_validator_that_gives_no_answer_is_never_taken_for_a_yes(
    tmp_path: Path, said: str
) -> None:
    with pytest.raises(ReadbackError) as caught:
        nonconformities(b"%PDF", script(tmp_path, said))

    assert caught.value.faults[0].code == "validator-silent"


def test_a_validator_that_is_not_there_is_reported() -> None:
    with pytest.raises(ReadbackError) as caught:
        nonconformities(b"%PDF", ("no-such-validator",))

    assert "TRIMSCRIBE_VERAPDF" in caught.value.faults[0].hint
