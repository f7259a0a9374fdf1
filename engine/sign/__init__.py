"""Sign: the workshop's signature as the last step, and what a signature on a report is worth.

    report    the signature itself, where the key is    keys    the workshop's certificate and key
    prepare   all that reads the PDF, for a worker      room    what goes between the two
    write     room for it, appended and tagged          check   who signed, does it hold

A signature is appended: every byte of the report stays as it was. Needs the extra `sign`; without
it a signature is reported as present and not checked.
"""
