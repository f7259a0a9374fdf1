"""Whether two measuring loads are near enough to compare lengths."""

from trimscribe.model.findings import Verdict

__all__ = ["comparable"]


def comparable(first_n: float | None, second_n: float | None, ratio: float) -> Verdict:
    """PASS when the second tension in N is within `ratio` of the first, else FAIL.

    NOT_ASSESSED when one is unknown. Lengths are never corrected for load.
    """
    if first_n is None or second_n is None:
        return Verdict.NOT_ASSESSED
    # A hair of slack, so that 55 N against 50 N is 10 % in binary too.
    near = abs(second_n - first_n) <= ratio * first_n * (1 + 1e-12)
    return Verdict.PASS if near else Verdict.FAIL
