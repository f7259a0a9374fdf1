"""Services are compared where they were measured alike, and nowhere else."""

from dataclasses import replace

import pytest

from trimscribe.analyse.history import history_of
from trimscribe.model.content import Content
from trimscribe.model.history import (
    Cloth,
    HistoryGap,
    Levels,
    ProjectionKind,
    ServiceSummary,
)

LEFT = Levels({"A": 0.0, "C": 0.0}, 0.0, 48, 0.0, 0.1)


def service(year: int, hours: float | None, **other: object) -> ServiceSummary:
    """It came in 2 mm shorter at A and 6 mm at C, and left as specified."""
    came = Levels({"A": -2.0, "C": -6.0}, -4.0, 48, 0.3, 0.1)
    known = ServiceSummary(
        f"QH-{year}", f"{year}-04-01", hours, "laser", 50.0, "Medlar, 3", 1.0, came, LEFT
    )
    return replace(known, **other)


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
        ({"method": "tape"}, HistoryGap.OTHER_METHOD),
        ({"method": ""}, HistoryGap.OTHER_METHOD),
        ({"tension_n": 40.0}, HistoryGap.OTHER_LOAD),
        ({"tension_n": None}, HistoryGap.OTHER_LOAD),
        ({"specification": "Medlar, 2"}, HistoryGap.OTHER_SPECIFICATION),
        ({"before": None, "after": None}, HistoryGap.NOT_MEASURED),
        ({"after": replace(LEFT, lines=47)}, HistoryGap.OTHER_LINES),
        ({"after": replace(LEFT, rows_mm={"A": 0.0})}, HistoryGap.OTHER_LINES),
        ({"hours": None}, HistoryGap.NO_HOURS),
        ({"hours": 100.0}, HistoryGap.NO_FLYING),
        ({"method": "LASER "}, HistoryGap.COMPARED),
        ({"tension_n": 50.5}, HistoryGap.COMPARED),
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
    earlier = [service(2020, 10.0), service(2021, 30.0, method="tape"), service(2022, 50.0)]

    found = history_of(service(2024, 100.0), earlier)

    assert found is not None
    assert found.gaps == (HistoryGap.OTHER_METHOD, HistoryGap.OTHER_METHOD, HistoryGap.COMPARED)
    assert (found.shrinkage.intervals, found.shrinkage.hours) == (1, 50.0)


def test_cloth_is_followed_over_tests_of_one_kind_only() -> None:
    def tested(year: int, hours: float, mean: float, basis: str = "meter") -> ServiceSummary:
        return service(year, hours, cloth=Cloth(mean, 200.0, "L/m2/min", True, basis))

    alike = [tested(2020, 20.0, 40.0), tested(2021, 60.0, 80.0)]
    last = tested(2024, 100.0, 121.0)

    found = history_of(last, [*alike, tested(2022, 80.0, 5.0, "another meter")])
    assert found is not None
    assert (found.cloth.kind, found.cloth.services) == (ProjectionKind.RANGE, 3)
    fewer = history_of(last, [alike[0], tested(2022, 80.0, 5.0, "another meter")])
    assert fewer is not None
    assert (fewer.cloth.kind, fewer.cloth.services) == (ProjectionKind.TOO_LITTLE_DATA, 2)


def test_a_summary_survives_being_written_and_read(demo: Content) -> None:
    import json

    from trimscribe.model.plain import to_plain

    assert demo.summary is not None
    text = json.dumps(to_plain(demo.summary))

    assert ServiceSummary.from_plain(json.loads(text)) == demo.summary


@pytest.mark.parametrize("plain", [None, [], {}, {"done": "2026-01-01"}, {"done": 7}])
def test_what_is_no_summary_is_refused(plain: object) -> None:
    with pytest.raises(ValueError, match=r"summary|isoformat"):
        ServiceSummary.from_plain(plain)
