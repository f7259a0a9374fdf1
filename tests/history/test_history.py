"""Services are compared where they were measured alike, and nowhere else."""

import json
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from trimscribe.analyse.history import history_of
from trimscribe.model.document import Content
from trimscribe.model.history import (
    ClothState,
    HistoryGap,
    How,
    LineSetLevels,
    ProjectionKind,
    ServiceSummary,
)
from trimscribe.model.history import Tests as Pulled
from trimscribe.model.plain import to_plain
from trimscribe.pipeline import prepare
from trimscribe.registry import Registry

LASER = How("laser", 50.0, 1.0)
LEFT = LineSetLevels({"A": 0.0, "C": 0.0}, 0.0, 48, LASER, (), 0.0, 0.1)
CAME = LineSetLevels({"A": -2.0, "C": -6.0}, -4.0, 48, LASER, (), 0.3, 0.1)


def service(year: int, hours: float | None, **other: object) -> ServiceSummary:
    """It came in 2 mm shorter at A and 6 mm at C, and left as specified."""
    known = ServiceSummary(f"QH-{year}", f"{year}-04-01", hours, "Medlar, 3", CAME, LEFT)
    return replace(known, **other)


def left(**how: object) -> dict[str, object]:
    """A service whose last measuring was made in another way."""
    return {"after": replace(LEFT, how=replace(LASER, **how))}


def test_the_first_service_has_no_history() -> None:
    assert history_of(service(2024, 50.0), []) is None
    assert history_of(service(2024, 50.0), [service(2025, 90.0)]) is None


def test_what_flying_did_is_arrival_minus_the_last_departure() -> None:
    found = history_of(service(2024, 100.0), [service(2022, 50.0)])

    assert found is not None
    assert found.gaps == (HistoryGap.COMPARED,)
    assert found.shrinkage.per_100_h == pytest.approx(-8.0)
    assert {name: row.per_100_h for name, row in found.rows.items()} == pytest.approx(
        {"A": -4.0, "C": -12.0}
    )
    assert found.pitch.per_100_h == pytest.approx(0.6)
    assert (found.shrinkage.low, found.shrinkage.high) == pytest.approx(
        (-8.0 - 4 * 2**0.5, -8.0 + 4 * 2**0.5)
    )


def test_services_come_in_order_whatever_order_they_are_found_in() -> None:
    earlier = [service(year, 10.0 * (year - 2018)) for year in (2021, 2019, 2020)]

    found = history_of(service(2024, 100.0), earlier)

    assert found is not None
    assert [s.service for s in found.services] == ["QH-2019", "QH-2020", "QH-2021", "QH-2024"]


@pytest.mark.parametrize(
    ("other", "gap"),
    [
        (left(method="tape"), HistoryGap.OTHER_METHOD),
        (left(method=""), HistoryGap.OTHER_METHOD),
        (left(tension_n=40.0), HistoryGap.OTHER_LOAD),
        (left(tension_n=None), HistoryGap.OTHER_LOAD),
        ({"after": replace(LEFT, how=None)}, HistoryGap.NOT_KNOWN),
        ({"specification": "Medlar, 2"}, HistoryGap.OTHER_SPECIFICATION),
        ({"before": None, "after": None}, HistoryGap.NOT_MEASURED),
        ({"after": replace(LEFT, lines=47)}, HistoryGap.OTHER_LINES),
        ({"after": replace(LEFT, rows_mm={"A": 0.0})}, HistoryGap.OTHER_LINES),
        ({"after": replace(LEFT, missing=None)}, HistoryGap.COMPARED),
        ({"hours": None}, HistoryGap.NO_HOURS),
        ({"hours": 100.0}, HistoryGap.NO_FLYING),
        ({"hours": 110.0}, HistoryGap.FEWER_HOURS),
        (left(method="LASER "), HistoryGap.COMPARED),
        (left(tension_n=50.5), HistoryGap.COMPARED),
    ],
)
def test_what_was_not_measured_alike_is_not_compared(
    other: dict[str, object], gap: HistoryGap
) -> None:
    found = history_of(service(2024, 100.0), [replace(service(2022, 50.0), **other)])

    assert found is not None
    assert found.gaps == (gap,)
    assert (found.shrinkage.per_100_h is None) == (gap is not HistoryGap.COMPARED)
    assert found.shrinkage.why_not is gap


def test_a_stretch_that_is_not_alike_leaves_the_others_in() -> None:
    tape = How("tape", 50.0, 1.0)
    other = {"before": replace(CAME, how=tape), "after": replace(LEFT, how=tape)}
    earlier = [service(2020, 10.0), service(2021, 30.0, **other), service(2022, 50.0)]

    found = history_of(service(2024, 100.0), earlier)

    assert found is not None
    assert found.gaps == (HistoryGap.OTHER_METHOD, HistoryGap.OTHER_METHOD, HistoryGap.COMPARED)
    assert (found.shrinkage.intervals, found.shrinkage.hours) == (1, 50.0)


def test_a_wing_is_measured_on_arrival_and_on_leaving_each_in_its_own_way() -> None:
    """What counts is how it was measured when it came, not how it was when it left."""
    by_tape = replace(CAME, how=How("tape", 30.0, 3.0))

    found = history_of(service(2024, 100.0, before=by_tape), [service(2022, 50.0)])
    alike = history_of(
        service(2024, 100.0, before=by_tape, after=LEFT),
        [service(2022, 50.0, after=replace(LEFT, how=How("tape", 30.0, 4.0)))],
    )

    assert found is not None
    assert (found.gaps, found.shrinkage.per_100_h) == ((HistoryGap.OTHER_METHOD,), None)
    assert alike is not None
    assert alike.gaps == (HistoryGap.COMPARED,)
    assert alike.shrinkage.high - alike.shrinkage.low == pytest.approx(2 * 2 * 5.0 * 2)


@pytest.mark.parametrize(
    ("then", "now", "gap"),
    [
        (("left A3",), ("left A3",), HistoryGap.COMPARED),
        (("left A3",), ("left A10",), HistoryGap.OTHER_LINES),
        (None, (), HistoryGap.COMPARED),
        (None, ("left A3",), HistoryGap.NOT_KNOWN),
        (("left A3",), None, HistoryGap.NOT_KNOWN),
        (None, None, HistoryGap.NOT_KNOWN),
    ],
)
def test_as_many_lines_are_not_yet_the_same_lines(
    then: tuple[str, ...] | None, now: tuple[str, ...] | None, gap: HistoryGap
) -> None:
    found = history_of(
        service(2024, 100.0, before=replace(CAME, lines=47, missing=now)),
        [service(2022, 50.0, after=replace(LEFT, lines=47, missing=then))],
    )

    assert found is not None
    assert found.gaps == (gap,)


def test_a_row_that_only_this_service_measured_has_no_rate() -> None:
    more = replace(LEFT, rows_mm={"A": 0.0, "C": 0.0, "D": 0.0})

    found = history_of(
        service(2024, 100.0, specification="Medlar, 4", before=more, after=more),
        [service(2020, 10.0), service(2022, 50.0)],
    )

    assert found is not None
    assert found.rows["D"].per_100_h is None
    assert found.rows["A"].per_100_h == pytest.approx(-5.0)


def test_cloth_is_followed_over_tests_of_one_kind_only() -> None:
    def tested(year: int, hours: float, mean: float, basis: str = "meter") -> ServiceSummary:
        return service(year, hours, cloth=ClothState(mean, 200.0, "L/m2/min", True, basis))

    alike = [tested(2020, 20.0, 40.0), tested(2021, 60.0, 80.0)]
    last = tested(2024, 100.0, 121.0)

    found = history_of(last, [*alike, tested(2022, 80.0, 5.0, "another meter")])
    assert found is not None
    assert (found.cloth.kind, found.cloth.services) == (ProjectionKind.RANGE, 3)
    fewer = history_of(last, [alike[0], tested(2022, 80.0, 5.0, "another meter")])
    assert fewer is not None
    assert (fewer.cloth.kind, fewer.cloth.services) == (ProjectionKind.TOO_LITTLE_DATA, 2)


def test_a_summary_tells_how_and_which_lines_of_each_measuring(
    service: Callable[..., Path],
) -> None:
    job = service("2026-03-01", 120, 1.0, (160, 150, 155, 170))
    text = job.read_text(encoding="utf-8")
    start, came, after = text.partition("\nafter:")
    start = start.replace("laser distance meter", "tape").replace("tension_n: 50", "tension_n: 49")
    start = start.replace("uncertainty_mm: 1.5", "uncertainty_mm: 2.5")
    job.write_text(start + came + after, encoding="utf-8")
    lengths = job.with_name("before.csv")
    kept = [line for line in lengths.read_text().splitlines() if not line.startswith("left,A,3,")]
    lengths.write_text("\n".join(kept), encoding="utf-8")

    found = prepare(job, Registry.installed()).summary

    assert found is not None
    assert found.before is not None
    assert found.after is not None
    how = "{}, line by line, from the maillon"
    assert found.before.how == How(how.format("tape"), 49.0, 2.5)
    assert found.after.how == How(how.format("laser distance meter"), 50.0, 1.5)
    assert (found.before.missing, found.before.lines) == (("left A3",), 71)
    assert (found.after.missing, found.after.lines) == ((), 72)


def test_a_pull_is_kept_against_what_the_specification_asks_of_it(
    service: Callable[..., Path],
) -> None:
    """The rule of the line set: 8.5 times 102 kg at 10 N each, shared by ten lines."""
    job = service("2026-03-01", 120, 1.0, (160, 150, 155, 170))
    text = job.read_text(encoding="utf-8")
    assert text.count(", required_n: 867") == 1
    job.write_text(text.replace(", required_n: 867", ""), encoding="utf-8")
    line_set = job.with_name("medlar-m.yaml")
    rule = "\nstrength_rules:\n  - {rows: [A], times_weight: 8.5, lines: 10}\n"
    line_set.write_text(line_set.read_text(encoding="utf-8") + rule, encoding="utf-8")

    found = prepare(job, Registry.installed()).summary

    assert found is not None
    assert found.strength == Pulled(pytest.approx(900 / 867), broke=False)


@pytest.mark.typesets
def test_a_summary_survives_being_written_and_read(demo: Content) -> None:
    assert demo.summary is not None
    text = json.dumps(to_plain(demo.summary))

    read = ServiceSummary.from_plain(json.loads(text))

    assert to_plain(read) == to_plain(demo.summary)
    assert read == ServiceSummary.from_plain(json.loads(json.dumps(to_plain(read))))


def serialized_once(summary: ServiceSummary) -> dict[str, Any]:
    """As earlier versions wrote it: how once for all, and never which lines."""
    plain: Any = to_plain(summary)
    for levels in (plain["before"], plain["after"]):
        if levels is not None:
            plain |= levels.pop("how")
            del levels["missing"]
    return dict(plain)


def test_a_summary_of_an_earlier_version_tells_how_its_last_measuring_was_made() -> None:
    both, one = service(2022, 50.0), service(2022, 50.0, after=None)

    read = ServiceSummary.from_plain(json.loads(json.dumps(serialized_once(both))))
    single = ServiceSummary.from_plain(json.loads(json.dumps(serialized_once(one))))

    assert read == replace(
        both, before=replace(CAME, how=None, missing=None), after=replace(LEFT, missing=None)
    )
    assert single == replace(one, before=replace(CAME, missing=None))
    assert ServiceSummary.from_plain(to_plain(read)) == read


def test_summaries_of_an_earlier_version_are_compared_only_where_that_is_sure() -> None:
    plain = [serialized_once(service(year, year - 2000.0)) for year in (2020, 2021)]
    old = [ServiceSummary.from_plain(summary) for summary in plain]

    found = history_of(service(2024, 100.0), old)

    assert found is not None
    assert found.gaps == (HistoryGap.NOT_KNOWN, HistoryGap.COMPARED)


@pytest.mark.parametrize("plain", [None, [], {}, {"done": "2026-01-01"}, {"done": 7}])
def test_what_is_no_summary_is_refused(plain: object) -> None:
    with pytest.raises(ValueError, match=r"summary|isoformat"):
        ServiceSummary.from_plain(plain)
