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
