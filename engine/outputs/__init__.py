"""Outputs that are no paper: a page for the phone and a record for programs."""
