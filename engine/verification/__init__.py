"""Verify: a report is made again from what it carries, and compared with what it shows.

    check      one PDF ▶ Proof                    again    the same job, read and set once more
    compare    where the two differ, in words     many     thousands of PDFs, in parallel
    validator  what veraPDF says of a file

This proves that pages, drawings and findings are those which the attached job gives. Who wrote the
job it cannot tell: that is for a signature, or for the shelf that the report was put on.
"""
