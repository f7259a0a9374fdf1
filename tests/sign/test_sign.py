"""Signatures of five kinds, and what verifying says of each."""

import io
import os
import shutil
import subprocess
import sys
import textwrap
import threading
from collections.abc import Callable, Iterator
from dataclasses import replace
from http.server import BaseHTTPRequestHandler, HTTPServer
from pathlib import Path
from typing import Any

import pikepdf
import pytest
from cryptography.hazmat.primitives.serialization import Encoding, NoEncryption, PrivateFormat

from trimscribe.errors import SignError
from trimscribe.model.proof import Proof, SignatureState, Standing
from trimscribe.pipeline import prepare, render
from trimscribe.registry import Registry
from trimscribe.sign import keys
from trimscribe.sign import prepare as prepare_module
from trimscribe.sign import report as sign_module
from trimscribe.sign.keys import from_file
from trimscribe.sign.prepare import prepared
from trimscribe.sign.report import sign
from trimscribe.typeset.text import pdf_pages
from trimscribe.verification.check import check
from trimscribe.world import World

SMALL = Path(__file__).parents[1] / "verify" / "small" / "demo.yaml"
REGISTRY = Registry.installed()
Signed = Callable[..., bytes]


@pytest.fixture
def signed(report: bytes, tmp_path: Path) -> Signed:
    def make(who: Any, **more: Any) -> bytes:
        signer = from_file(who.store(tmp_path / "key.p12"), "secret")
        return sign(report, signer, **more).data

    return make


def proven(data: bytes, *trusted: bytes) -> Proof:
    return check(data, REGISTRY, World.real(), trusted=trusted)


def state(data: bytes, *trusted: bytes) -> SignatureState:
    signature = proven(data, *trusted).signature
    assert signature is not None
    return signature.state


def test_a_good_signature_goes_back_to_a_certificate_that_is_trusted(
    signed: Signed, shop: Any
) -> None:
    proof = proven(signed(shop.workshop), shop.root.pem)

    assert (proof.standing, proof.differences) == (Standing.IDENTICAL, ())
    assert proof.signature is not None
    assert proof.signature.state is SignatureState.GOOD
    assert proof.signature.signer == "Quarry Hill Canopy Works"
    assert not proof.signature.time_stamped


@pytest.mark.typesets
def test_a_report_of_files_with_other_letters_than_ascii_is_signed_and_proven(
    shop: Any, tmp_path: Path
) -> None:
    for path in SMALL.parent.iterdir():
        shutil.copy(path, tmp_path)
    job = (tmp_path / "demo.yaml").rename(tmp_path / "Łucja Ångström.yaml")
    report = render(prepare(job, REGISTRY), REGISTRY, World.real()).data
    signer = from_file(shop.workshop.store(tmp_path / "key.p12"), "secret")

    proof = proven(sign(report, signer).data, shop.root.pem)

    assert (proof.standing, proof.signature and proof.signature.state) == (
        Standing.IDENTICAL,
        SignatureState.GOOD,
    )


def test_without_a_trusted_certificate_the_issuer_is_unknown(signed: Signed, shop: Any) -> None:
    assert state(signed(shop.workshop)) is SignatureState.ISSUER_UNKNOWN


def test_a_certificate_that_only_its_holder_vouches_for_is_reported(
    signed: Signed, shop: Any
) -> None:
    data = signed(shop.alone)

    assert state(data, shop.root.pem) is SignatureState.SELF_SIGNED
    assert state(data, shop.alone.pem) is SignatureState.GOOD  # unless it is trusted by name


def test_a_report_that_was_altered_after_signing_is_reported(signed: Signed, shop: Any) -> None:
    data = signed(shop.workshop)
    start = data.index(b"/CreationDate")
    altered = data[: start + 20] + bytes([data[start + 20] ^ 1]) + data[start + 21 :]

    proof = proven(altered, shop.root.pem)

    assert proof.signature is not None
    assert proof.signature.state is SignatureState.ALTERED
    assert proof.standing is Standing.ALTERED


def test_what_is_appended_after_signing_is_reported(signed: Signed, shop: Any) -> None:
    from pyhanko.pdf_utils import generic
    from pyhanko.pdf_utils.incremental_writer import IncrementalPdfFileWriter

    writer = IncrementalPdfFileWriter(io.BytesIO(signed(shop.workshop)))
    page = writer.root["/Pages"]["/Kids"][0]
    page[generic.NameObject("/Rotate")] = generic.NumberObject(180)
    writer.update_container(page)
    out = io.BytesIO()
    writer.write(out)

    assert state(out.getvalue(), shop.root.pem) is SignatureState.ALTERED


@pytest.mark.parametrize("more", [b"\n", b"%%EOF\n", b"7 0 obj\n<</Type/Page>>\nendobj\n"])
def test_bytes_that_belong_to_nothing_behind_a_signature_are_reported(
    signed: Signed, shop: Any, more: bytes
) -> None:
    """A program that mends broken files may find objects in them."""
    proof = proven(signed(shop.workshop) + more, shop.root.pem)

    assert proof.signature is not None
    assert proof.signature.state is SignatureState.ALTERED
    assert proof.standing is Standing.ALTERED
    assert [d.code for d in proof.differences] == ["inside-altered"]


@pytest.mark.proofs
def test_a_signature_of_no_known_kind_is_reported_without_a_word_from_the_library(
    shop: Any, tmp_path: Path
) -> None:
    """Made by a process, as it is proven by one: neither knows what tests did before."""
    command = [sys.executable, "-m", "trimscribe"]
    made = [*command, "report", str(SMALL), "--out", str(tmp_path)]
    subprocess.run(made, cwd=tmp_path, capture_output=True, check=True)
    (path,) = tmp_path.glob("*.pdf")
    signer = from_file(shop.workshop.store(tmp_path / "key.p12"), "secret")
    data = sign(path.read_bytes(), signer).data
    path.write_bytes(data.replace(b"/ETSI.CAdES.detached", b"/ETSI.CIdES.detached"))

    done = subprocess.run(
        [*command, "verify", path.name], cwd=tmp_path, capture_output=True, text=True, check=False
    )

    assert (done.returncode, done.stderr) == (
        9,
        "1 identical; signatures: 1 altered after signing\n",
    )
    assert "altered after signing" in done.stdout


def test_a_signature_whose_picture_covers_the_page_is_reported(
    signed: Signed, shop: Any, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Anybody may sign with a key of their own: no signature may hide what the report says."""
    monkeypatch.setattr(prepare_module, "_ABOVE_PT", 200.0)

    proof = proven(signed(shop.alone), shop.alone.pem)

    assert proof.signature is not None
    assert proof.signature.state is SignatureState.GOOD
    assert proof.standing is Standing.ALTERED
    assert [d.code for d in proof.differences] == ["laid-over"]


def test_a_signature_by_another_key_than_the_certificates_is_reported(
    signed: Signed, shop: Any, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    real = sign_module._signature
    other = from_file(shop.alone.store(tmp_path / "other.p12"), "secret")

    def with_another_key(signer: Any, *rest: Any, **more: Any) -> bytes:
        signer.signing_key = other.signing_key
        return real(signer, *rest, **more)

    monkeypatch.setattr(sign_module, "_signature", with_another_key)

    assert state(signed(shop.workshop), shop.root.pem) is SignatureState.WRONG_KEY


def test_a_certificate_that_had_run_out_is_reported(
    signed: Signed, shop: Any, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Our own command refuses it, so the check before signing is left out here."""
    monkeypatch.setattr(sign_module, "valid_at", lambda *_: True)

    assert state(signed(shop.lapsed), shop.root.pem) is SignatureState.EXPIRED


def test_the_command_does_not_sign_with_a_certificate_that_has_run_out(
    signed: Signed, shop: Any
) -> None:
    with pytest.raises(SignError) as caught:
        signed(shop.lapsed)

    assert caught.value.faults[0].code == "certificate-expired"


def test_every_byte_of_the_report_stays_in_front(signed: Signed, shop: Any, report: bytes) -> None:
    assert signed(shop.workshop).startswith(report)


def test_the_name_stands_on_page_one_in_the_words_of_the_report(signed: Signed, shop: Any) -> None:
    data = signed(shop.workshop)

    with pikepdf.open(io.BytesIO(data)) as pdf:
        (field,) = pdf.Root.AcroForm.Fields
        assert str(field.TU).startswith("Signed electronically by Quarry Hill Canopy Works, ")
        assert "/AP" in field
        stamp = pikepdf.new()
        stamp.add_blank_page(page_size=(600, 30))
        form = stamp.copy_foreign(field.AP.N)
        stamp.pages[0].obj.Resources = pikepdf.Dictionary(XObject=pikepdf.Dictionary(S=form))
        stamp.pages[0].Contents = stamp.make_stream(b"/S Do")
        out = io.BytesIO()
        stamp.save(out)
    assert "Signed electronically by Quarry Hill Canopy Works" in pdf_pages(out.getvalue())[0]


def test_the_field_is_tagged_and_named_for_screen_readers(signed: Signed, shop: Any) -> None:
    """ISO 14289-1:2014, 7.18.1, 7.18.3 and 7.18.4."""
    with pikepdf.open(io.BytesIO(signed(shop.workshop))) as pdf:
        page = pdf.pages[0].obj
        tree = pdf.Root.StructTreeRoot
        last = tree.K[0].K[-1]
        assert page.Tabs == "/S"
        assert last.S == "/Form"
        assert last.K.Obj.FT == "/Sig"
        assert int(tree.ParentTreeNextKey) == int(last.K.Obj.StructParent) + 1


def test_a_signed_report_is_not_signed_again(signed: Signed, shop: Any, tmp_path: Path) -> None:
    data = signed(shop.workshop)
    signer = from_file(shop.workshop.store(tmp_path / "again.p12"), "secret")

    with pytest.raises(SignError) as caught:
        sign(data, signer)

    assert caught.value.faults[0].code == "already-signed"


@pytest.mark.parametrize(
    "change",
    [
        lambda room: replace(room, data=b"%PDF-1.7 another report" + room.data),
        lambda room: replace(room, start=100, end=room.end),  # the report's own bytes left out
        lambda room: replace(room, end=room.start + 10),
        lambda room: replace(room, end=len(room.data) + 10),
    ],
)
@pytest.mark.typesets
def test_a_worker_that_hands_back_anything_but_the_report_with_room_gets_no_signature(
    report: bytes, shop: Any, tmp_path: Path, change: Any
) -> None:
    signer = from_file(shop.workshop.store(tmp_path / "key.p12"), "secret")

    def prepare(asked: Any) -> Any:
        return change(prepared(asked))

    with pytest.raises(SignError) as caught:
        sign(report, signer, prepare=prepare)
    assert caught.value.faults[0].code == "not-prepared"


@pytest.mark.skipif(os.name == "nt", reason="needs pipes")
def test_a_key_that_is_a_pipe_is_not_waited_for(tmp_path: Path) -> None:
    os.mkfifo(tmp_path / "key.p12")

    with pytest.raises(SignError) as caught:
        from_file(tmp_path / "key.p12", "")

    assert caught.value.faults[0].code == "key-not-found"


@pytest.mark.parametrize("secret", ["wrong", ""])
def test_a_key_that_does_not_open_is_reported(
    shop: Any, tmp_path: Path, secret: str, caplog: pytest.LogCaptureFixture
) -> None:
    with pytest.raises(SignError) as caught:
        from_file(shop.workshop.store(tmp_path / "key.p12"), secret)

    assert caught.value.faults[0].code == "key-unreadable"
    assert caplog.records == []  # no traceback of a library on the terminal


SOFT_TOKEN = Path("/usr/lib/softhsm/libsofthsm2.so")


@pytest.fixture
def token(shop: Any, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A token made of software, with the workshop's key and certificate under one label."""
    if not (SOFT_TOKEN.is_file() and shutil.which("softhsm2-util")):
        pytest.skip("SoftHSM is not here to stand in for a token")
    (tmp_path / "tokens").mkdir()
    config = tmp_path / "softhsm2.conf"
    config.write_text(f"directories.tokendir = {tmp_path / 'tokens'}\nobjectstore.backend = file\n")
    monkeypatch.setenv("SOFTHSM2_CONF", str(config))
    made = ["softhsm2-util", "--init-token", "--free", "--label", "bench", "--pin", "1234"]
    subprocess.run([*made, "--so-pin", "4321"], check=True, capture_output=True)
    script = textwrap.dedent(TOKEN)
    form = PrivateFormat.TraditionalOpenSSL
    key = shop.workshop.key.private_bytes(Encoding.DER, form, NoEncryption())
    certificate = shop.workshop.certificate.public_bytes(Encoding.DER)
    # In a process of its own: a PKCS#11 library reads its settings once.
    given = [str(SOFT_TOKEN), key.hex(), certificate.hex()]
    subprocess.run([sys.executable, "-c", script, *given], check=True, capture_output=True)
    return SOFT_TOKEN


TOKEN = """
    import sys
    import pkcs11
    from pkcs11 import Attribute
    from pkcs11.util.ec import decode_ec_private_key
    from pkcs11.util.x509 import decode_x509_certificate

    library, key, certificate = sys.argv[1], *map(bytes.fromhex, sys.argv[2:])
    token = pkcs11.lib(library).get_token(token_label="bench")
    with token.open(rw=True, user_pin="1234") as session:
        for given in (decode_ec_private_key(key), decode_x509_certificate(certificate)):
            known = {Attribute.TOKEN: True, Attribute.LABEL: "workshop", Attribute.ID: b"1"}
            session.create_object({**given, **known})
"""


def test_a_key_on_a_token_signs_like_one_in_a_file(
    token: Path, report: bytes, shop: Any, tmp_path: Path
) -> None:
    (tmp_path / "report.pdf").write_bytes(report)
    (tmp_path / "pin.txt").write_text("1234\n")
    command = [sys.executable, "-m", "trimscribe", "sign", "report.pdf"]
    options = ["--token", "bench", "--library", str(token), "--certificate", "workshop"]

    done = subprocess.run(
        [*command, *options, "--passphrase-file", "pin.txt"],
        cwd=tmp_path,
        capture_output=True,
        text=True,
        check=False,
    )

    assert (done.returncode, done.stderr) == (0, "")
    signed = (tmp_path / "report-signed.pdf").read_bytes()
    assert state(signed, shop.root.pem) is SignatureState.GOOD


def test_a_wrong_pin_is_reported(token: Path, report: bytes, tmp_path: Path) -> None:
    (tmp_path / "report.pdf").write_bytes(report)
    (tmp_path / "pin.txt").write_text("9999\n")
    command = [sys.executable, "-m", "trimscribe", "sign", "report.pdf", "--token", "bench"]
    options = ["--library", str(token), "--certificate", "workshop", "--passphrase-file", "pin.txt"]

    done = subprocess.run(
        [*command, *options], cwd=tmp_path, capture_output=True, text=True, check=False
    )

    assert done.returncode == 10
    assert "token-refused" in done.stderr
    assert not (tmp_path / "report-signed.pdf").exists()


def test_a_token_that_does_not_answer_is_reported(tmp_path: Path) -> None:
    with pytest.raises(SignError) as caught, keys.from_token(tmp_path / "no.so", "t", "c", "0000"):
        pass

    assert caught.value.faults[0].code == "token-refused"


@pytest.fixture
def time_service(shop: Any) -> Iterator[str]:
    """A time-stamp service (RFC 3161) on this machine."""
    from asn1crypto import tsp

    own = from_pyca(shop.clock)

    class Answer(BaseHTTPRequestHandler):
        def do_POST(self) -> None:
            asked = self.rfile.read(int(self.headers["Content-Length"]))
            reported = own.request_tsa_response(tsp.TimeStampReq.load(asked)).dump()
            self.send_response(200)
            self.send_header("Content-Type", "application/timestamp-reply")
            self.end_headers()
            self.wfile.write(reported)

        def log_message(self, *_: object) -> None:
            pass

    with HTTPServer(("127.0.0.1", 0), Answer) as server:
        threading.Thread(target=server.serve_forever, daemon=True).start()
        yield f"http://127.0.0.1:{server.server_port}/"
        server.shutdown()


def from_pyca(who: Any) -> Any:
    from asn1crypto import keys as asn1_keys
    from asn1crypto import x509
    from pyhanko.sign.timestamps import DummyTimeStamper

    der = who.key.private_bytes(Encoding.DER, PrivateFormat.PKCS8, NoEncryption())
    return DummyTimeStamper(
        x509.Certificate.load(who.certificate.public_bytes(Encoding.DER)),
        asn1_keys.PrivateKeyInfo.load(der),
    )


def test_a_time_stamp_tells_when_it_was_signed(
    signed: Signed, shop: Any, time_service: str
) -> None:
    proof = proven(signed(shop.workshop, service_url=time_service), shop.root.pem)

    assert proof.signature is not None
    assert proof.signature.state is SignatureState.GOOD
    assert proof.signature.time_stamped


def test_a_time_stamp_of_an_unknown_service_is_no_more_than_a_claim(
    signed: Signed, shop: Any, time_service: str
) -> None:
    proof = proven(signed(shop.alone, service_url=time_service), shop.alone.pem)

    assert proof.signature is not None
    assert proof.signature.state is SignatureState.GOOD
    assert not proof.signature.time_stamped


def test_a_service_that_gives_no_time_stamp_leaves_nothing_signed(
    signed: Signed, shop: Any
) -> None:
    with pytest.raises(SignError) as caught:
        signed(shop.workshop, service_url="http://127.0.0.1:9/")

    assert caught.value.faults[0].code == "time-stamp-failed"


def test_without_the_extra_a_signature_is_there_and_not_checked(
    signed: Signed, shop: Any, monkeypatch: pytest.MonkeyPatch
) -> None:
    data = signed(shop.workshop)
    monkeypatch.setitem(sys.modules, "pyhanko.pdf_utils.reader", None)

    proof = proven(data)

    assert proof.standing is Standing.IDENTICAL
    assert proof.signature is not None
    assert proof.signature.state is SignatureState.NOT_CHECKED
