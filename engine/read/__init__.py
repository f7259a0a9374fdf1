"""Read: paths to a checked job, or all its faults at once."""
