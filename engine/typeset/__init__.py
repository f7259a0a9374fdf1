"""Typeset: a document to a finished file."""
