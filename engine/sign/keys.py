"""The workshop's certificate and key: from a PKCS#12 file, or from a token by PKCS#11."""

import contextlib
import datetime as dt
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from trimscribe.sign.codes import refusal

__all__ = ["from_file", "from_token", "holder", "valid_at"]


def from_file(path: Path, passphrase: str) -> Any:
    """A signer from a PKCS#12 file; raises SignError when it cannot be opened."""
    from pyhanko.sign import signers

    loader: Any = signers.SimpleSigner  # published without types
    try:
        signer = loader.load_pkcs12(path, passphrase=passphrase.encode())
    except (OSError, ValueError, TypeError) as error:
        raise refusal("key-unreadable") from error
    if signer is None:
        raise refusal("key-unreadable")
    return signer


@contextlib.contextmanager
def from_token(library: Path, token: str, certificate: str, pin: str) -> Iterator[Any]:
    """A signer on a token, as long as the session is open; raises SignError when it refuses."""
    try:
        from pyhanko.config.pkcs11 import TokenCriteria
        from pyhanko.sign.pkcs11 import PKCS11Signer, open_pkcs11_session
    except ImportError as error:
        raise refusal("extra-missing") from error
    try:
        wanted = TokenCriteria(label=token)
        with open_pkcs11_session(str(library), token_criteria=wanted, user_pin=pin) as session:
            yield PKCS11Signer(session, cert_label=certificate)
    # The library of the token's maker may raise anything; what is ours passes on.
    except Exception as error:
        from trimscribe.errors import TrimscribeError

        if isinstance(error, TrimscribeError):
            raise
        raise refusal("token-refused") from error


def holder(signer: Any) -> str:
    """Whose certificate it is, as it says itself."""
    named = signer.signing_cert.subject.native
    return str(named.get("common_name") or named.get("organization_name") or "")


def valid_at(signer: Any, when: dt.datetime) -> bool:
    """Whether the certificate holds at a time."""
    validity = signer.signing_cert["tbs_certificate"]["validity"]
    return bool(validity["not_before"].native <= when <= validity["not_after"].native)
