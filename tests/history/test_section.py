"""The report of a wing that has been there before: its section, chart and attachment."""

import json
import re
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest

from trimscribe.archive.look import earlier_services
from trimscribe.archive.shelf import Shelf
from trimscribe.compose.document import view_of
from trimscribe.compose.themes import resolve
from trimscribe.model.document import Content
from trimscribe.model.proof import Standing
from trimscribe.model.report import Report
from trimscribe.model.workshop import Workshop
from trimscribe.pipeline import prepare, render
from trimscribe.readback.contents import read_back
from trimscribe.registry import Registry
from trimscribe.typeset.text import pdf_pages
from trimscribe.verification.check import check
from trimscribe.world import World

pytestmark = pytest.mark.typesets

REGISTRY = Registry.installed()
LOOK = resolve("base", Workshop(""), REGISTRY)
WHEN = ("2023, 500 h", "2024, 55 h", "2025, 96 h", "2026, 138 h")
DEMO = Path(__file__).parents[2] / "examples" / "demo.yaml"


@pytest.fixture(scope="module")
def report(demo: Content) -> Report:
    return render(demo, REGISTRY, World.real())


def words(report: Report) -> str:
    return " ".join(" ".join(pdf_pages(report.data)).split())


@pytest.mark.slow
def test_a_wing_that_has_been_there_before_has_its_years_in_the_report(report: Report) -> None:
    text = words(report)

    assert "This wing over the years" in text
    for number in ("QH-2023-007", "QH-2024-007", "QH-2025-007", "QH-2026-041"):
        assert number in text
    assert re.search(r"the lines changed by −\d+\.\d mm on average in 100 flying hours", text)
    assert "no promise" in text
    # With the sentences that it speaks of, not alone behind the tables on another page.
    assert text.index("no promise") < text.index("Compared with the one before")


def test_each_row_is_reported_at_each_service_before_and_now(demo: Content) -> None:
    """As the findings have it, here for the last service; the table has one line for each."""
    last = demo.history.services[-1]
    view = REGISTRY.get("sections", "history").view(view_of(demo, LOOK, REGISTRY, World.real()))

    head, *rows = view.values["row_means"]

    assert head[1:] == [f"Row {name} in mm, before → now" for name in "ABC"]
    assert [row[0] for row in rows] == [s.service for s in demo.history.services]
    for name, cell in zip("ABC", rows[-1][1:], strict=True):
        reported = [float(text.replace("−", "-")) for text in cell.split(" → ")]
        measured = [last.before.rows_mm[name], last.after.rows_mm[name]]
        assert reported == pytest.approx(measured, abs=0.051)


def test_a_wing_that_is_new_on_the_shelf_has_no_such_section(tmp_path: Path) -> None:
    shelf = Shelf(tmp_path)
    content = prepare(
        DEMO,
        REGISTRY,
        find_earlier_services=lambda job: earlier_services(shelf.kept("MD-00731"), job),
    )

    assert content.history is None
    assert "over the years" not in words(render(content, REGISTRY, World.real()))


def test_the_earlier_numbers_travel_inside_with_the_hashes_of_their_reports(
    report: Report, shelf: Shelf
) -> None:
    contents = read_back(report.data)
    earlier = json.loads(contents.files["history.json"])["services"]
    by_number = {entry.service: entry.sha256 for entry in shelf.reports()}

    assert {s["service"]: s["sha256"] for s in earlier} == by_number


def test_it_proves_itself_without_the_shelf(report: Report) -> None:
    assert check(report.data, REGISTRY, World.real()).standing is Standing.IDENTICAL


def test_the_chart_says_every_value_to_those_who_cannot_see_it(demo: Content) -> None:
    view = view_of(demo, LOOK, REGISTRY, World.real())
    figure = REGISTRY.get("figures", "history_chart").draw(view)

    assert figure is not None
    assert figure.alt.count("on arrival") == 8
    for year in ("2023, 20 h", "2024, 55 h", "2025, 96 h", "2026, 138 h"):
        assert figure.alt.count(year) == 3


def test_a_chart_never_runs_back_in_time_where_fewer_hours_were_stated(demo: Content) -> None:
    """By date then: every service has its words below, in the order of the services."""
    slipped = (replace(demo.history.services[0], hours=500.0), *demo.history.services[1:])
    history = replace(demo.history, services=slipped)
    view = view_of(replace(demo, history=history), LOOK, REGISTRY, World.real())

    svg = REGISTRY.get("figures", "history_chart").draw(view).svg
    below = [re.search(rf'x="([0-9.]+)"[^>]*>{words}<', svg) for words in WHEN]
    places = [float(found[1]) for found in below if found]
    assert len(places) == 4
    assert places == sorted(places)


def test_a_report_that_was_replaced_is_not_looked_back_on(
    shelf: Shelf, service: Callable[..., Path], tmp_path: Path
) -> None:
    own = Shelf(tmp_path / "shelf")
    for entry in shelf.reports():
        data = (shelf.folder / entry.path).read_bytes()
        own.put(Report(data=data, suffix=".pdf", media_type="application/pdf", pages=1))
    wrong = own.reports()[-1]
    job = service("2025-04-21", 96, 3.0, (131, 119, 123, 160))
    text = job.read_text(encoding="utf-8").replace("QH-2025-007", "QH-2025-007-A")
    amended = (
        f"\n  replaces: {{report: {wrong.service}, sha256: {wrong.sha256},\n"
        "    change: Lengths of row C., reason: A column was pasted twice}\n  received:"
    )
    job.write_text(text.replace("\n  received:", amended, 1), encoding="utf-8")
    content = prepare(
        job,
        REGISTRY,
        find_earlier_services=lambda known: earlier_services(own.kept("MD-00731"), known),
    )
    own.put(render(content, REGISTRY, World.real()))

    assert content.history is not None
    assert [s.service for s in content.history.services[:-1]] == ["QH-2023-007", "QH-2024-007"]
    later = prepare(
        DEMO,
        REGISTRY,
        find_earlier_services=lambda known: earlier_services(own.kept("MD-00731"), known),
    )
    assert later.history is not None
    assert later.history.services[-2].service == "QH-2025-007-A"


def test_a_report_that_was_changed_on_the_shelf_is_not_looked_back_on(
    shelf: Shelf, tmp_path: Path
) -> None:
    own = Shelf(tmp_path)
    for entry in shelf.reports():
        data = (shelf.folder / entry.path).read_bytes()
        own.put(Report(data=data, suffix=".pdf", media_type="application/pdf", pages=1))
    changed = own.folder / own.reports()[0].path
    changed.write_bytes(changed.read_bytes() + b"\n")

    content = prepare(
        DEMO,
        REGISTRY,
        find_earlier_services=lambda job: earlier_services(own.kept("MD-00731"), job),
    )

    assert content.history is not None
    assert len(content.history.services) == 3
