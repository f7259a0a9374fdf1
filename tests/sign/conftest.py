"""A report, and certificates that are good, expired, and nobody's but the holder's own."""

import datetime as dt
import functools
from dataclasses import dataclass
from pathlib import Path

import pytest
from cryptography import x509
from cryptography.hazmat.primitives import hashes
from cryptography.hazmat.primitives.asymmetric import ec, rsa
from cryptography.hazmat.primitives.serialization import BestAvailableEncryption, Encoding, pkcs12
from cryptography.x509.oid import ExtendedKeyUsageOID, NameOID

from trimscribe.pipeline import prepare, render
from trimscribe.registry import Registry
from trimscribe.world import World

SMALL = Path(__file__).parents[1] / "verify" / "small" / "demo.yaml"
NOW = dt.datetime.now(dt.UTC)
DAY = dt.timedelta(days=1)


@dataclass(frozen=True)
class Certified:
    """A certificate with its key."""

    certificate: x509.Certificate
    key: ec.EllipticCurvePrivateKey | rsa.RSAPrivateKey

    @property
    def pem(self) -> bytes:
        return self.certificate.public_bytes(Encoding.PEM)

    def store(self, path: Path) -> Path:
        secret = BestAvailableEncryption(b"secret")
        data = pkcs12.serialize_key_and_certificates(b"x", self.key, self.certificate, None, secret)
        path.write_bytes(data)
        return path


def certified(
    name: str,
    issuer: Certified | None = None,
    days: tuple[int, int] = (-30, 300),
    *,
    stamps_time: bool = False,
) -> Certified:
    """A certificate from `days[0]` to `days[1]` from now; without an issuer it signs itself."""
    # The library's own time service, which only tests use, signs with RSA alone.
    key = (
        rsa.generate_private_key(65537, 2048)
        if stamps_time
        else ec.generate_private_key(ec.SECP256R1())
    )
    subject = x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, name)])
    by = issuer.certificate.subject if issuer else subject
    uses = [False] * 9
    uses[0] = uses[1] = True  # digital signature, content commitment
    uses[5] = issuer is None  # signs certificates
    builder = (
        x509.CertificateBuilder()
        .subject_name(subject)
        .issuer_name(by)
        .public_key(key.public_key())
        .serial_number(x509.random_serial_number())
        .not_valid_before(NOW + days[0] * DAY)
        .not_valid_after(NOW + days[1] * DAY)
        .add_extension(x509.BasicConstraints(ca=issuer is None, path_length=None), critical=True)
        .add_extension(x509.KeyUsage(*uses), critical=True)
    )
    if stamps_time:
        purpose = x509.ExtendedKeyUsage([ExtendedKeyUsageOID.TIME_STAMPING])
        builder = builder.add_extension(purpose, critical=True)
    return Certified(builder.sign(issuer.key if issuer else key, hashes.SHA256()), key)


@dataclass(frozen=True)
class Shop:
    """Who could sign: `root` vouches for the workshop."""

    root: Certified
    workshop: Certified
    lapsed: Certified
    alone: Certified
    clock: Certified


@functools.cache
def _shop() -> Shop:
    root = certified("Netherby Trades Authority", days=(-900, 900))
    return Shop(
        root=root,
        workshop=certified("Quarry Hill Canopy Works", root),
        lapsed=certified("Quarry Hill Canopy Works", root, (-300, -2)),
        alone=certified("Quarry Hill Canopy Works"),
        clock=certified("Netherby Time", root, stamps_time=True),
    )


@pytest.fixture(scope="session")
def shop() -> Shop:
    return _shop()


@pytest.fixture(scope="session")
def report() -> bytes:
    """The demo in three pages."""
    registry = Registry.installed()
    return render(prepare(SMALL, registry), registry, World.real()).data
