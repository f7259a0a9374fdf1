"""Languages: one folder each."""
