"""What can be in the way of signing, as faults with stable codes."""

from collections.abc import Mapping

from trimscribe.errors import SignError

CODES: Mapping[str, str] = {
    "already-signed": "The report is signed already.",
    "certificate-expired": "The certificate is not valid today.",
    "extra-missing": "Signing needs a library that is not installed.",
    "key-not-found": "There is no such file with certificate and key.",
    "key-unreadable": "The file with certificate and key cannot be opened with this passphrase.",
    "not-prepared": "The report has no room for the signature.",
    "time-stamp-failed": "The time-stamp service gives no time stamp.",
    "token-refused": "The token with the key does not answer or refuses.",
}
_HINTS = {
    "certificate-expired": "Ask for a new one; an expired signature convinces nobody.",
    "extra-missing": "Install it with: pip install trimscribe[sign]",
    "key-not-found": "Check the name that --key gives.",
    "key-unreadable": "Check the file, which ends in .p12 or .pfx, and the passphrase.",
    "time-stamp-failed": "Try again later, or sign without --time-stamp.",
    "token-refused": "Check the library, the token's label, the certificate's label and the PIN.",
}


def refusal(code: str) -> SignError:
    """The error for one of `CODES`."""
    return SignError.of(code, CODES[code], hint=_HINTS.get(code, ""))
