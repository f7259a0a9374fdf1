"""A finished report to a signed one.

Whoever holds the key sees no more of the PDF than its bytes and where the signature belongs: what
reads it (`trimscribe.sign.prepare`) can be done by a worker, which never sees the key. Between the
two go a `SignRequest` and a `SignRoom`.
"""

import asyncio
import datetime as dt
import hashlib
import io
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from trimscribe.model.report import Report
from trimscribe.sign.codes import refusal
from trimscribe.sign.keys import holder, valid_at

HASH = "sha256"
_MARGIN = 1.5  # times what a signature takes: a time stamp is not always of the same length


@dataclass(frozen=True)
class SignRequest:
    """A report to make room in: for whose signature, of which day, by which certificate (DER).

    `theme` is a folder or name, for a report whose own theme is not installed; `reserved` how many
    characters the signature may take in the file.
    """

    report: bytes
    holder: str
    certificate: bytes
    day: dt.date
    theme: str
    reserved: int


@dataclass(frozen=True)
class SignRoom:
    """A report of so many pages with an empty signature behind it.

    The signature's brackets are at `start` and before `end`.
    """

    data: bytes
    start: int
    end: int
    pages: int


def sign(
    report: bytes,
    signer: Any,
    *,
    service_url: str = "",
    theme: str = "",
    prepare: Callable[[SignRequest], SignRoom] | None = None,
) -> Report:
    """Sign a report now with a signer of `trimscribe.sign.keys`.

    `theme` is a folder or name, for a report whose own theme is not installed; `prepare` makes the
    room for the signature; left out, this process does. Raises SignError, ReadbackError,
    ThemeError or TypesetError.
    """
    # The moment of signing is the one thing that a report takes from the clock.
    now = dt.datetime.now(dt.UTC)
    if not valid_at(signer.signing_cert, now):
        raise refusal("certificate-expired")
    trial = len(_signature(signer, bytes(hashlib.new(HASH).digest_size), service_url, trial=True))
    reserved = 2 * int(trial * _MARGIN)  # two characters a byte
    who = signer.signing_cert
    asked = SignRequest(report, holder(who), who.dump(), now.date(), theme, reserved)
    room = (prepare or _prepared_here)(asked)
    data, start, end = room.data, room.start, room.end
    if not data.startswith(report) or not len(report) < start < end < len(data):
        raise refusal("not-prepared")
    # Told by nobody: computed from what is signed.
    digest = hashlib.new(HASH, data[:start] + data[end:]).digest()
    signature = _signature(signer, digest, service_url).hex().upper().encode()
    if len(signature) > end - start - 2:
        raise refusal("not-prepared")
    out = io.BytesIO(data)
    out.seek(start + 1)  # behind the bracket
    out.write(signature)
    return Report(
        data=out.getvalue(), suffix=".pdf", media_type="application/pdf", pages=room.pages
    )


def _prepared_here(asked: SignRequest) -> SignRoom:
    # It reads PDFs: what that takes is loaded where it is done.
    from trimscribe.sign.prepare import prepared

    return prepared(asked)


def _signature(signer: Any, digest: bytes, service_url: str, *, trial: bool = False) -> bytes:
    """The signature over a hash, with a time stamp (RFC 3161) from a service if one is named.

    Raises SignError when the service does not answer.
    """
    from pyhanko.sign import timestamps
    from pyhanko.sign.signers.pdf_cms import PdfCMSSignedAttributes

    service = timestamps.HTTPTimeStamper(service_url) if service_url else None
    made = signer.async_sign(
        digest,
        HASH,
        use_pades=True,
        dry_run=trial,
        timestamper=service,
        signed_attr_settings=PdfCMSSignedAttributes(),
    )
    try:
        signed: bytes = asyncio.run(made).dump()
    except timestamps.TimestampRequestError as error:
        raise refusal("time-stamp-failed") from error
    return signed
