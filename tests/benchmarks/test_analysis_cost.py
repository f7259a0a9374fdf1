"""The analysis of a large job takes no longer than reading it, in one and the same run."""

from pathlib import Path

import pytest
from analysis_cost import LARGE, ratio, written
from made_up_wings import make


@pytest.mark.slow
def test_five_rows_of_sixty_points_are_analysed_in_less_than_it_takes_to_read_them(
    tmp_path: Path,
) -> None:
    path = tmp_path / "large.yaml"
    path.write_text(written(make(1, LARGE).job), encoding="utf-8")

    _, share = ratio(path, rounds=9)

    assert share <= 1.0
