"""Typeset: a document to a finished file, checked for what it must say.

Takes a `Document`, returns a `Report`; may fail with `TypesetError`. Knows nothing of the trade.
"""
