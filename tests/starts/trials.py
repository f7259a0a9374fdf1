"""How often a test tries again with what is drawn by chance: seldom at the desk, often in .ci/run.

Whoever has changed something waits for the tests, and a wrong change hardly ever passes the first
third of the trials. `TRIMSCRIBE_TRIALS=all` asks for all of them.
"""

import os

from hypothesis import settings

ALL = os.environ.get("TRIMSCRIBE_TRIALS") == "all"


def trials(number: int) -> int:
    """All of a test's trials, or about a third of them."""
    return number if ALL else max(1, round(number / 3))


def register() -> None:
    """Let Hypothesis draw so many examples, and wait for a busy machine."""
    settings.register_profile("trials", deadline=None, max_examples=trials(100))
    settings.load_profile("trials")
