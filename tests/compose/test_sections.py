"""What sections say where a job says little."""

from collections.abc import Callable
from dataclasses import replace

import pytest

from trimscribe.compose.sections import lines
from trimscribe.compose.sections.record_facts import method_facts
from trimscribe.contracts import View
from trimscribe.model.job import Measurement


def test_a_measurement_that_nobody_described_is_no_empty_line(see: Callable[[str], View]) -> None:
    view = see("demo")
    silent = Measurement(lengths_mm=view.job.before.lengths_mm)

    facts = dict(map(tuple, method_facts(replace(view, job=replace(view.job, before=silent)))))

    assert facts["Measured before"] == "Nothing was recorded."


@pytest.mark.parametrize(
    ("before", "now", "said"),
    [
        (-11.5, -6.3, "offset of all lines, −12 mm before and −6 mm now; above it"),
        (-6.9, -6.3, "the common offset of −6 mm that all lines share"),
    ],
    ids=["two offsets", "one offset"],
)
def test_the_charts_name_each_offset_that_was_taken_out(
    see: Callable[[str], View], before: float, now: float, said: str
) -> None:
    view = see("demo")
    states = {
        when: replace(state, offset=replace(state.offset, value_mm=mm))
        for when, mm in (("before", before), ("after", now))
        if (state := getattr(view.findings, when)) and state.offset
    }

    shown = lines.section.view(replace(view, findings=replace(view.findings, **states)))

    assert shown is not None
    assert said in shown.values["explained"].replace("\xa0", " ")
    assert shown.values["title"] == "Each line, before and now"
