"""`trimscribe sign`: a new file beside the report, and what may go wrong."""

import datetime as dt
import json
from pathlib import Path
from typing import Any

import pytest

pytest.importorskip("pyhanko", reason="the extra `sign` is not installed")

from cryptography import x509
from cryptography.hazmat.primitives import hashes
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.hazmat.primitives.serialization import BestAvailableEncryption, pkcs12
from cryptography.x509.oid import NameOID

REPORT = "reports/qh-1-damson-s.pdf"


pytestmark = pytest.mark.proofs


@pytest.fixture
def ready(run: Any, folder: Path) -> Path:
    """A report, and the key of a workshop with its passphrase."""
    key = ec.generate_private_key(ec.SECP256R1())
    name = x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, "Quarry Hill Canopy Works")])
    now = dt.datetime.now(dt.UTC)
    certificate = (
        x509.CertificateBuilder()
        .subject_name(name)
        .issuer_name(name)
        .public_key(key.public_key())
        .serial_number(7)
        .not_valid_before(now - dt.timedelta(days=1))
        .not_valid_after(now + dt.timedelta(days=1))
        .sign(key, hashes.SHA256())
    )
    secret = BestAvailableEncryption(b"open sesame")
    data = pkcs12.serialize_key_and_certificates(b"x", key, certificate, None, secret)
    (folder / "key.p12").write_bytes(data)
    (folder / "secret.txt").write_text("open sesame\n")
    (folder / "wrong.txt").write_text("guess\n")
    assert run("report", "fine.yaml", "--out", "reports").exit_code == 0
    return folder


def test_a_signed_report_stands_beside_the_report_and_proves_itself(run: Any, ready: Path) -> None:
    done = run("sign", REPORT, "--key", "key.p12", "--passphrase-file", "secret.txt")

    assert done.exit_code == 0
    assert done.stdout == "reports/qh-1-damson-s-signed.pdf\n"
    reported = run("verify", "reports/qh-1-damson-s-signed.pdf")
    assert "identical" in reported.stdout
    assert "Signed by Quarry Hill Canopy Works on " in reported.stdout
    assert "self-signed" in reported.stdout
    assert reported.stderr == "1 identical; signatures: 1 self-signed\n"
    data = json.loads(run("verify", "reports/qh-1-damson-s-signed.pdf", "--json").stdout)
    assert {state: n for state, n in data["signatures"].items() if n} == {"self-signed": 1}
    assert reported.exit_code == 8  # nobody vouches for the name


def test_nothing_is_written_over_another_file(run: Any, ready: Path) -> None:
    (ready / "mine.pdf").write_bytes(b"mine")
    options = ("--key", "key.p12", "--passphrase-file", "secret.txt", "--out", "mine.pdf")

    done = run("sign", REPORT, *options)

    assert done.exit_code == 6
    assert "report-exists" in done.stderr
    assert "Name another file with --out." in done.stderr
    assert "--force" not in done.stderr
    assert (ready / "mine.pdf").read_bytes() == b"mine"


@pytest.mark.parametrize(
    ("arguments", "code", "reported"),
    [
        ((REPORT, "--key", "key.p12", "--passphrase-file", "wrong.txt"), 10, "key-unreadable"),
        ((REPORT, "--key", "none.p12", "--passphrase-file", "secret.txt"), 10, "key-not-found"),
        (("none.pdf", "--key", "key.p12", "--passphrase-file", "secret.txt"), 8, "not-read"),
        (("fine.yaml", "--key", "key.p12", "--passphrase-file", "secret.txt"), 8, "not-a-pdf"),
        (("none.pdf", "--key", "key.p12"), 8, "There is no such report"),  # nobody is asked
        ((REPORT, "--key", "none.p12"), 10, "key-not-found"),
        ((REPORT,), 64, "Give either --key"),
        ((REPORT, "--key", "key.p12", "--token", "t"), 64, "Give either --key"),
    ],
)
def test_what_goes_wrong_is_reported_and_nothing_is_written(
    run: Any, ready: Path, arguments: tuple[str, ...], code: int, reported: str
) -> None:
    before = sorted(ready.rglob("*.pdf"))

    done = run("sign", *arguments)

    assert done.exit_code == code
    assert reported in done.stderr
    assert "Passphrase" not in done.stdout + done.stderr
    assert "Traceback" not in done.stderr
    assert sorted(ready.rglob("*.pdf")) == before
