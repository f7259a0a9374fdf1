"""`trimscribe report --output`: the same report in several files, all of them or none."""

import json
from pathlib import Path
from typing import Any

import pytest

NAME = "qh-1-damson-s"


@pytest.mark.typesets
def test_each_output_is_made_and_its_path_is_printed(run: Any, folder: Path) -> None:
    done = run("report", "fine.yaml", "--output", "pdf,html, json,png,pdf")

    assert done.exit_code == 0
    assert done.stdout.split() == [f"{NAME}.{suffix}" for suffix in ("pdf", "html", "json", "png")]
    assert (folder / f"{NAME}.pdf").read_bytes().startswith(b"%PDF-")
    assert (folder / f"{NAME}.html").read_bytes().startswith(b"<!doctype html>")
    assert (folder / f"{NAME}.png").read_bytes().startswith(b"\x89PNG")
    assert json.loads((folder / f"{NAME}.json").read_bytes())["serial_number"] == "DM-0001"


@pytest.mark.typesets
def test_json_tells_each_file(run: Any) -> None:
    done = run("report", "fine.yaml", "--output", "html,json", "--json")
    (reported,) = json.loads(done.stdout)["jobs"]

    assert reported["report"]["path"] == f"{NAME}.html"
    assert {name: file["path"] for name, file in reported["outputs"].items()} == {
        "html": f"{NAME}.html",
        "json": f"{NAME}.json",
    }


@pytest.mark.typesets
def test_one_output_that_fails_leaves_none(run: Any, folder: Path) -> None:
    (folder / "plain" / "templates").mkdir(parents=True)
    (folder / "plain" / "theme.yaml").write_text("{trimscribe: 1, name: plain, extends: base}")
    (folder / "plain" / "templates" / "letter.html.j2").write_text("<p></p>")

    done = run("report", "fine.yaml", "--theme", "./plain", "--output", "pdf,html")

    assert done.exit_code == 5
    assert "required-text-missing" in done.stderr
    assert not list(folder.glob("qh-*"))


@pytest.mark.usefixtures("here")
def test_one_read_serves_all(run: Any, monkeypatch: pytest.MonkeyPatch) -> None:
    from trimscribe import analyse, narrate, pipeline

    times: dict[str, int] = {}
    # The pipeline takes the last two from their packages when it needs them.
    for home, stage in ((pipeline, "read"), (analyse, "analyse"), (narrate, "narrate")):
        real = getattr(home, stage)

        def counted(*given: Any, stage: str = stage, real: Any = real, **named: Any) -> Any:
            times[stage] = times.get(stage, 0) + 1
            return real(*given, **named)

        monkeypatch.setattr(home, stage, counted)

    run("report", "fine.yaml", "--output", "html,json")

    assert times == {"read": 1, "analyse": 1, "narrate": 1}


@pytest.mark.typesets
def test_a_shelf_gets_the_pdf_and_the_folder_the_rest(run: Any, folder: Path) -> None:
    done = run("report", "fine.yaml", "--output", "html,pdf", "--shelf", "kept", "--out", "sent")

    assert done.exit_code == 0
    assert [path.name for path in (folder / "sent").iterdir()] == [f"{NAME}.html"]
    assert len(list((folder / "kept").rglob("*.pdf"))) == 1


@pytest.mark.parametrize("wish", [["--shelf", "kept"], ["--validate"]])
def test_what_is_about_the_pdf_asks_for_one(run: Any, folder: Path, wish: list[str]) -> None:
    done = run("report", "fine.yaml", "--output", "html", *wish)

    assert done.exit_code == 64
    assert "add pdf to --output" in done.stderr


@pytest.mark.parametrize(
    ("names", "code", "reported"),
    [("htm", 4, "Did you mean `html`?"), (" , ", 64, "Name an output")],
)
@pytest.mark.typesets
def test_what_is_no_output_is_reported(run: Any, names: str, code: int, reported: str) -> None:
    done = run("report", "fine.yaml", "--output", names)

    assert done.exit_code == code
    assert reported in done.stderr
