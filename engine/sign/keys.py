"""The workshop's certificate and key: from a PKCS#12 file, or from a token by PKCS#11."""

import contextlib
import datetime as dt
import os
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from trimscribe.errors import TrimscribeError
from trimscribe.sign.codes import refusal


def from_file(path: Path, passphrase: str) -> Any:
    """A signer from a PKCS#12 file; raises SignError when it cannot be opened."""
    from pyhanko.sign import signers

    simple: Any = signers.SimpleSigner  # published without types
    if not os.path.isfile(path):  # a pipe would never end
        raise refusal("key-not-found")
    try:
        # Not by the path: then the library writes a traceback to the terminal by itself.
        return simple.load_pkcs12_data(
            path.read_bytes(), other_certs=[], passphrase=passphrase.encode()
        )
    except (OSError, ValueError, TypeError) as error:
        raise refusal("key-unreadable") from error


@contextlib.contextmanager
def from_token(library: Path, token: str, certificate: str, pin: str) -> Iterator[Any]:
    """A signer on a token, as long as the session is open; raises SignError when it refuses.

    Certificate and key carry the same label on the token.
    """
    try:
        from pyhanko.config.pkcs11 import TokenCriteria
        from pyhanko.sign import pkcs11
    except ImportError as error:
        raise refusal("extra-missing") from error
    opened: Any = pkcs11.open_pkcs11_session  # so is this
    try:
        with opened(str(library), token_criteria=TokenCriteria(token), user_pin=pin) as session:
            # Hashed here: many tokens only sign, and do not know the two as one step.
            yield pkcs11.PKCS11Signer(session, cert_label=certificate, use_raw_mechanism=True)
    except TrimscribeError:
        raise
    # What is between is the library of the token's maker, which may raise anything.
    except Exception as error:
        raise refusal("token-refused") from error


def holder(certificate: Any) -> str:
    """Whose certificate it is, as it says itself."""
    named = certificate.subject.native
    return str(named.get("common_name") or named.get("organization_name") or "")


def valid_at(certificate: Any, when: dt.datetime) -> bool:
    """Whether a certificate holds at a time."""
    validity = certificate["tbs_certificate"]["validity"]
    return bool(validity["not_before"].native <= when <= validity["not_after"].native)
