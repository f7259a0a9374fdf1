"""A finished report to a signed one."""

import datetime as dt
from typing import Any

from trimscribe.model.report import Report
from trimscribe.readback import portrait_of, read_back
from trimscribe.registry import Registry
from trimscribe.sign.codes import refusal
from trimscribe.sign.keys import holder, valid_at
from trimscribe.sign.stamp import HEIGHT_PT, stamp, words
from trimscribe.sign.write import append_signature, line_width

__all__ = ["sign"]


def sign(
    report: bytes, signer: Any, registry: Registry, *, service_url: str = "", theme: str = ""
) -> Report:
    """Sign a report now with a signer of `trimscribe.sign.keys`.

    `theme` is a folder or name, for a report whose own theme is not installed. Raises SignError,
    ReadbackError, ThemeError or TypesetError.
    """
    contents = read_back(report)
    seen = portrait_of(report)
    if seen.signed:
        raise refusal("already-signed")
    # The moment of signing is the one thing that a report takes from the clock.
    now = dt.datetime.now(dt.UTC)
    if not valid_at(signer, now):
        raise refusal("certificate-expired")
    line = words(contents, registry, holder(signer), now.date())
    look = theme or contents.manifest.theme
    picture = stamp(contents, registry, line, line_width(report), now.date(), look)
    data = append_signature(report, signer, picture, line, HEIGHT_PT, service_url)
    return Report(data=data, suffix=".pdf", media_type="application/pdf", pages=len(seen.boxes))
