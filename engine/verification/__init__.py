"""Verify: a report is made again from what it carries, and compared with what it shows.

    check      one PDF ▶ Proof: its job read and set once more, in a private place
    compare    where the two differ, in words     many     thousands of PDFs, in parallel
    validator  what veraPDF says of a file        codes    every difference by its code

This proves that pages, drawings and findings are those which the attached job gives. Who wrote the
job it cannot tell: that is for a signature, or for the shelf that the report was put on.
"""
