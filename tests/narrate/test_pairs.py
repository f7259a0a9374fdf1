"""Left and right that differ by more than the limit between them: which pairs, and by how much."""

from types import SimpleNamespace
from typing import Any

import pytest

from trimscribe.model.wing import Tolerances

LIMITS = Tolerances(default_mm=10.0, left_right_mm=8.0)


def said_of(bench: SimpleNamespace, left: Any, right: Any) -> dict[str, str]:
    before = bench.measured(left=left, right=right, calculated=True)
    statements = bench.narrated(bench.job(before, tolerances=LIMITS))
    return {s.rule: s.text for s in (*statements.sentences, *statements.cautions)}


@pytest.mark.parametrize(
    ("apart_mm", "headline", "caution"),
    [
        (
            (9, 0, 0),
            "In one pair of lines, left and right of your wing differ",
            "One pair of lines differs",
        ),
        (
            (9, 0, 9),
            "In two pairs of lines, left and right of your wing differ",
            "Two pairs of lines differ",
        ),
    ],
)
def test_where_no_line_is_outside_by_itself_page_one_says_how_many_pairs_are(
    apart_mm: Any, headline: str, caution: str, bench: SimpleNamespace
) -> None:
    """One pair of many is not the whole wing."""
    half = [mm / 2 for mm in apart_mm]
    said = said_of(bench, {"B": (*half, 0, 0, 0)}, {"B": (*(-mm for mm in half), 0, 0, 0)})

    assert said["headline_outside"].startswith(f"{headline} by more than the limit.")
    assert said["caution_outside"].startswith(f"{caution} between left and right by more than")


@pytest.mark.parametrize(
    ("left", "right", "which"),
    [
        ((0, -5, 0, 0, 0, 0), (0, 4, 0, 0, 0, 0), "B2, 9 mm longer on the right"),
        ((0, 4.1, 0, 0, 0, 0), (0, -4.2, 0, 0, 0, 0), "B2, 8.4 mm longer on the left"),
        (
            (0, 5, 0, 0, 6, 0),
            (0, -5, 0, 0, -6, 0),
            "two pairs, most of all B5, 12 mm longer on the left",
        ),
    ],
)
def test_the_widest_pair_is_named_with_its_size_and_the_limit(
    left: Any, right: Any, which: str, bench: SimpleNamespace
) -> None:
    said = said_of(bench, {"B": left}, {"B": right})
    words = f"by more than the limit: {which}; the limit is 8 mm.".replace(
        " mm", "\N{NO-BREAK SPACE}mm"
    )

    for text in (said["found_sides_differ"], said["before_outside"]):
        assert words in text.replace(" mm", "\N{NO-BREAK SPACE}mm")


def test_no_pair_is_named_where_all_are_within(bench: SimpleNamespace) -> None:
    said = said_of(bench, {"B": (0, 4, 0, 0, 0, 0)}, {"B": (0, -4, 0, 0, 0, 0)})

    assert not {"found_sides_differ", "before_outside"} & said.keys()


@pytest.mark.parametrize(
    ("second_mm", "said"),
    [
        (0, "Outside limits: B1 left. As measured, the wing is not as its maker specified."),
        (
            5,
            "Outside limits: B1 left. B3 differs between left and right by more than the limit. "
            "As measured, the wing is not as its maker specified.",
        ),
    ],
)
def test_pairs_beside_a_line_that_is_outside_by_itself_are_named_too(
    second_mm: float, said: str, bench: SimpleNamespace
) -> None:
    """Putting that line right would leave them."""
    told = said_of(bench, {"B": (15, 0, second_mm, 0, 0, 0)}, {"B": (0, 0, -second_mm, 0, 0, 0)})

    assert told["before_outside"] == said
