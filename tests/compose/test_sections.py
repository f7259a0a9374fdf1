"""What sections say where a job says little."""

from collections.abc import Callable
from dataclasses import replace

from trimscribe.compose.sections.record_facts import method_facts
from trimscribe.contracts import View
from trimscribe.model.job import Measurement


def test_a_measurement_that_nobody_described_is_no_empty_line(see: Callable[[str], View]) -> None:
    view = see("demo")
    silent = Measurement(lengths_mm=view.job.before.lengths_mm)

    facts = dict(map(tuple, method_facts(replace(view, job=replace(view.job, before=silent)))))

    assert facts["Measured before"] == "Nothing was recorded."
