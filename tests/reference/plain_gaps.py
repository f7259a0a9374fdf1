"""Whether an angle is assessed when lines are missing (our own study, section 7)."""

from plain_completion import angle

PITCH_LIMIT = 0.5  # degrees


def angle_assessed(cells, limit=PITCH_LIMIT):
    """Assessed if identifiable and 2u of the completed angle is at most T."""
    found = angle(cells)
    return found is not None and 2 * found[1] <= limit
