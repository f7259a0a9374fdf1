"""Sign: the workshop's signature as the last step, and what a signature on a report is worth.

    report    the signature itself, where the key is    keys    the workshop's certificate and key
    prepare   room for it behind the PDF, by a worker   check   who signed, does it hold

A signature is appended: every byte of the report stays as it was. Needs the extra `sign`; without
it a signature is reported as present and not checked.
"""
