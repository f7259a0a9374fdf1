"""Outputs that are not paper: a page for the phone and a record for programs."""
