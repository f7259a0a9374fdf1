"""Which kind of file somebody wrote, by the keys that it has."""

from typing import Any

# Keys that one kind of file alone has; a job has some of all, so it is asked about first.
_TELLING = (
    ("job", {"service", "wing", "before", "after", "inspection", "adjustments"}),
    ("import map", {"tables"}),
    ("line set", {"rows"}),
    # Before a theme: somebody may write what is a theme's into a shop file, and is told so there.
    ("shop file", {"address", "contact", "registration", "logo", "signatory", "letterhead"}),
    ("theme", {"extends", "tokens", "sections", "wording"}),
    ("shop file", {"name"}),
)


def kind_by_keys(data: Any) -> str:
    """The kind of a file's content; a job where nothing tells, so that its faults show."""
    keys = set(data) if isinstance(data, dict) else set()
    return next((kind for kind, telling in _TELLING if keys & telling), "job")


def with_article(kind: str) -> str:
    """The kind as a sentence has it: a job, an import map."""
    return f"{'an' if kind[0] in 'aeiou' else 'a'} {kind}"
