"""Readback: a report read back from its PDF, as anybody may hand it in.

    contents   attached files, within limits      manifest ▶ what the report says of itself
    portrait   what makes up the document, whatever program saved it

A PDF may be hostile. Nothing in it is run or followed, and nothing is unpacked beyond its limit.
Raises ReadbackError (codes in `trimscribe.readback.contents`).
"""
