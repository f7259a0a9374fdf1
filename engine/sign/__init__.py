"""Sign: the workshop's signature as the last step, and what a signature on a report is worth.

    keys     the workshop's certificate and key       stamp   the visible name, set like the report
    write    the signature itself, appended           check   who signed, and whether it holds

A signature is appended: every byte of the report stays as it was. Needs the extra `sign`; without
it a signature is told to be there and not checked.
"""
