"""What the signature on a PDF is worth."""

import io
import logging
from collections.abc import Sequence
from typing import Any

from trimscribe.model.proof import Signature, SignatureState
from trimscribe.sign.keys import holder, valid_at

# What may follow a signature without touching what was signed: what keeps it provable for longer.
_HARMLESS = "LTA_UPDATES"
# The library logs what it stumbles over, with a traceback, unless somebody listens.
for _name in ("pyhanko", "pyhanko_certvalidator"):
    logging.getLogger(_name).addHandler(logging.NullHandler())


def check_signature(data: bytes, trusted: Sequence[bytes] = ()) -> Signature:
    """Look at the first signature of a signed PDF; never raises for a bad one.

    `trusted` are certificates (PEM or DER) whose holders' word counts, also on time stamps. A
    certificate is judged at the time of a time stamp that counts, else at the time claimed.
    """
    try:
        from pyhanko.pdf_utils.reader import PdfFileReader
    except ImportError:
        return Signature(SignatureState.NOT_CHECKED)
    try:
        found = PdfFileReader(io.BytesIO(data), strict=False).embedded_signatures
        return _judged(found[0], trusted) if found else Signature(SignatureState.ALTERED)
    # A signature may be broken in any way; the library then raises whatever it stumbles over.
    except Exception:
        return Signature(SignatureState.ALTERED)


def _judged(embedded: Any, trusted: Sequence[bytes]) -> Signature:
    from pyhanko.keys import load_certs_from_pemder_data
    from pyhanko.sign.validation import validate_pdf_signature
    from pyhanko.sign.validation.status import SignatureCoverageLevel

    certificate = embedded.signer_cert
    roots = [c for pem in trusted for c in load_certs_from_pemder_data(pem)]
    # Judged at the time that the signature claims, then at that of its time stamp if it has one.
    when, stamped = embedded.self_reported_timestamp, False
    status = validate_pdf_signature(embedded, *_contexts(roots, when))
    stamp = status.timestamp_validity
    if stamp is not None and stamp.valid and stamp.intact and stamp.trusted:
        when, stamped = stamp.timestamp, True
        status = validate_pdf_signature(embedded, *_contexts(roots, when))
    # Bytes that belong to nothing may still be read by programs that mend broken files.
    whole = status.coverage is SignatureCoverageLevel.ENTIRE_FILE
    changes = status.modification_level
    if not status.intact or not (whole or (changes and changes.name == _HARMLESS)):
        state = SignatureState.ALTERED
    elif not status.valid:
        state = SignatureState.WRONG_KEY
    elif when is None or not valid_at(certificate, when):
        state = SignatureState.EXPIRED
    elif status.trusted:
        state = SignatureState.GOOD
    elif certificate.self_signed != "no":
        state = SignatureState.SELF_SIGNED
    else:
        state = SignatureState.ISSUER_UNKNOWN
    claimed = when.isoformat() if when else ""
    return Signature(state, holder(certificate), claimed, time_stamped=stamped)


def _contexts(roots: Sequence[Any], when: Any) -> tuple[Any, Any]:
    """For the signature and its time stamp: nothing is fetched, no root of the system counts."""
    from pyhanko_certvalidator import ValidationContext

    signed = ValidationContext(trust_roots=roots, moment=when, allow_fetching=False)
    return signed, ValidationContext(trust_roots=roots, moment=when, allow_fetching=False)
