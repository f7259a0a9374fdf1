"""No command reads a stranger's bytes in the process that a person has started."""

import json
import re
import shutil
import signal
import subprocess
import sys
import urllib.request
from collections.abc import Iterator
from pathlib import Path

import click
import pytest

from trimscribe.cli import main

pytestmark = [pytest.mark.processes, pytest.mark.cold]

ROOT = Path(__file__).parents[2]
# What reads YAML, tables, packed files, pictures, PDFs and templates is taken away from the process
# that runs the command; its workers are other processes, and have it all.
GUARDED = """
import contextlib, csv, json, sys, xml.etree.ElementTree, xml.parsers.expat, zipfile
import jinja2, pikepdf, PIL.Image, pypdfium2, python_calamine, typst, xlrd, yaml

used = []
def taken(name):
    def refuse(*_, **__):
        used.append(name)
        raise RuntimeError(f"{name} in the wrong process")
    return refuse

for owner, names in {
    csv: ("reader",),
    jinja2.Environment: ("from_string", "get_template", "compile"),
    pikepdf: ("open",),
    pikepdf.Pdf: ("open",),
    PIL.Image: ("open",),
    pypdfium2: ("PdfDocument",),
    python_calamine: ("CalamineWorkbook",),
    typst: ("Compiler", "compile", "query"),
    xlrd: ("open_workbook",),
    xml.etree.ElementTree: ("fromstring", "parse", "XML"),
    xml.parsers.expat: ("ParserCreate",),
    yaml: ("CSafeLoader", "SafeLoader"),
    zipfile: ("ZipFile",),
}.items():
    for name in names:
        setattr(owner, name, taken(name))
try:
    import pyhanko.pdf_utils.reader
except ImportError:
    pass
else:
    pyhanko.pdf_utils.reader.PdfFileReader.__init__ = taken("PdfFileReader")

import warm_start
from trimscribe.cli import main
commands = json.loads(sys.argv[1])
with warm_start.installed() if len(commands) > 1 else contextlib.nullcontext():
    for command in commands:
        used.clear()
        try:
            main(command)
        except SystemExit as end:
            print("code", end.code, "used", *used, file=sys.stderr)
"""
COMMANDS: dict[str, tuple[str, ...]] = {
    "report": ("report", "demo.yaml", "part-remeasured.yaml", "--shelf", "shelf", "--out", "made"),
    "batch": ("batch", "demo.yaml", "broken.yaml", "--out", "many"),
    "check": ("check", "demo.yaml", "medlar-m.yaml", "shop.yaml", "exports/tape-jig-map.yaml"),
    "plan": ("plan", "planned.yaml", "--sheet", "sheet.pdf"),
    "findings": ("findings", "demo.yaml"),
    "explain": ("explain", "demo.yaml"),
    "import": ("import", "exports/laser-bench.xlsx", "--into", "exports/job.yaml"),
    "new": ("new", "new.yaml", "--wing", "medlar m"),
    "theme show": ("theme", "show", "demo.yaml"),
    "theme check": ("theme", "check", "linden"),
    "verify": ("verify", "shelf", "demo.yaml"),
    "archive": ("archive", "other", "shelf"),
    "shelf": ("shelf", "shelf", "--rebuild", "--check"),
}
BUG = ("code", "bug")  # reads what is installed, in the process itself
# These read nothing but what is installed.
OF_OURS = {"code", "plugins", "theme new"}
APART = {"preview", "sign"}  # below


@pytest.fixture(scope="module")
def place(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The examples, and a shelf with a report."""
    folder = tmp_path_factory.mktemp("closed") / "examples"
    shutil.copytree(ROOT / "examples", folder)
    command = [sys.executable, "-m", "trimscribe", "report", "demo.yaml", "--shelf", "shelf"]
    subprocess.run(command, cwd=folder, check=True, capture_output=True)
    return folder


def guarded(*commands: tuple[str, ...]) -> list[str]:
    """Arguments that run commands in turn in one process, with the reading libraries taken away.

    The workers of several are copies of another process, which has loaded them.
    """
    code = f"import sys; sys.path.append({str(Path(__file__).parents[1] / 'starts')!r})\n{GUARDED}"
    return [sys.executable, "-c", code, json.dumps(commands)]


@pytest.fixture(scope="module")
def reported(place: Path) -> dict[str, str]:
    """What each command has said on standard error, with the line that `used` reads as its last."""
    done = subprocess.run(
        guarded(*COMMANDS.values(), BUG), cwd=place, capture_output=True, text=True, timeout=300
    )
    parts = re.findall(r".*?^code \S+ used.*?$", done.stderr, re.DOTALL | re.MULTILINE)
    return dict(zip((*COMMANDS, "code"), parts, strict=True))


def used(reported: str) -> list[str]:
    """What was used in the wrong process, out of the last line on standard error."""
    last = reported.splitlines()[-1].split()
    assert last[0] == "code", reported
    return last[3:]


def test_every_command_is_tried() -> None:
    def names(group: click.Group, before: str = "") -> Iterator[str]:
        for name, command in group.commands.items():
            if isinstance(command, click.Group):
                yield from names(command, f"{name} ")
            else:
                yield before + name

    assert {*names(main)} == {*COMMANDS} | OF_OURS | APART


def test_what_is_taken_away_would_be_missed(reported: dict[str, str]) -> None:
    assert "CSafeLoader" in used(reported["code"])


@pytest.mark.parametrize("command", COMMANDS)
def test_a_command_reads_no_strangers_bytes_itself(reported: dict[str, str], command: str) -> None:
    assert used(reported[command]) == []
    assert "bug" not in reported[command]


def test_neither_does_the_preview(place: Path) -> None:
    process = subprocess.Popen(
        guarded(("preview", "demo.yaml")),
        cwd=place,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
    )
    assert process.stdout
    address = process.stdout.readline().strip()
    for part in ("choices", "sight", "shots/1/page/1", "shots/1/sentences", "shots/1/why/0"):
        with urllib.request.urlopen(f"{address}{part}") as answer:
            assert answer.status == 200
    process.send_signal(signal.SIGINT)

    assert used(process.communicate(timeout=60)[1]) == []


def test_neither_does_who_holds_the_key(place: Path, tmp_path: Path) -> None:
    pytest.importorskip("pyhanko", reason="the extra `sign` is not installed")
    (tmp_path / "key.p12").write_bytes(_key())
    (tmp_path / "secret").write_text("x\n")
    report = min((place / "shelf").rglob("*.pdf"))
    out = tmp_path / "signed.pdf"
    secret = ("--key", str(tmp_path / "key.p12"), "--passphrase-file", str(tmp_path / "secret"))
    done = subprocess.run(
        guarded(("sign", str(report), *secret, "--out", str(out))),
        capture_output=True,
        text=True,
        timeout=300,
    )

    assert used(done.stderr) == []
    assert out.is_file()


def _key() -> bytes:
    import datetime as dt

    from cryptography import x509
    from cryptography.hazmat.primitives import hashes
    from cryptography.hazmat.primitives.asymmetric import ec
    from cryptography.hazmat.primitives.serialization import BestAvailableEncryption, pkcs12
    from cryptography.x509.oid import NameOID

    key = ec.generate_private_key(ec.SECP256R1())
    name = x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, "Quarry Hill Canopy Works")])
    now, day = dt.datetime.now(dt.UTC), dt.timedelta(days=1)
    builder = x509.CertificateBuilder().subject_name(name).issuer_name(name).serial_number(7)
    builder = builder.not_valid_before(now - day).not_valid_after(now + day)
    made = builder.public_key(key.public_key()).sign(key, hashes.SHA256())
    secret = BestAvailableEncryption(b"x")
    return pkcs12.serialize_key_and_certificates(b"x", key, made, None, secret)
