"""Readback: a report read back from its PDF, as anybody may hand it in.

    contents      attached files, within limits, and what the manifest among them says
    fingerprint   what makes up the document, whatever program saved it
    metadata      title, author and the like, however they are written down

A PDF may be hostile. Nothing in it is run or followed, and nothing is unpacked beyond its limit.
Raises ReadbackError (codes in `trimscribe.readback.contents`).
"""
