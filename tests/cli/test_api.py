"""The Python interface does what the commands do."""

import importlib.util
import inspect
import re
from importlib.metadata import version
from pathlib import Path
from types import ModuleType

import pytest

import trimscribe
from trimscribe.errors import Severity
from trimscribe.model.proof import Standing

ROOT = Path(__file__).parents[2]
NAMES = ["TrimscribeError", "__version__", "check", "prepare", "render", "report", "verify"]


def test_the_public_names_are_few_and_sorted() -> None:
    assert trimscribe.__all__ == NAMES
    assert trimscribe.__all__ == sorted(trimscribe.__all__)
    assert all(hasattr(trimscribe, name) for name in NAMES)


def test_the_version_is_that_of_the_package() -> None:
    """With what the files hash to, which tells the code where the number stays."""
    assert trimscribe.__version__.startswith(f"{version('trimscribe')}+")
    with pytest.raises(AttributeError, match="has no attribute 'versoin'"):
        trimscribe.versoin  # noqa: B018


def test_every_public_function_is_typed_and_takes_options_by_name_alone() -> None:
    for name in NAMES:
        thing = getattr(trimscribe, name)
        if inspect.isfunction(thing):
            parameters = inspect.signature(thing).parameters.values()
            assert thing.__annotations__.keys() == {p.name for p in parameters} | {"return"}
            options = [p for p in parameters if p.default is not p.empty and p.name != "folder"]
            assert options
            assert {p.kind for p in options} == {inspect.Parameter.KEYWORD_ONLY}


@pytest.mark.typesets
def test_the_example_at_the_top_of_the_package_runs(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(ROOT / "examples")
    (code,) = re.findall(r"\n\n((?:    .*\n|\n)+)\n", inspect.getdoc(trimscribe) or "")
    names: dict[str, object] = {}

    exec(inspect.cleandoc(code.replace('"reports"', repr(str(tmp_path)))), names)

    assert names["faults"] == ()
    assert names["proof"].standing is Standing.IDENTICAL
    assert {path.suffix for path in tmp_path.iterdir()} == {".pdf", ".html"}


def test_a_check_returns_all_faults_and_warnings(folder: Path) -> None:
    assert trimscribe.check("fine.yaml") == ()
    assert [fault.severity for fault in trimscribe.check("heavy.yaml")] == [Severity.WARNING]
    assert [fault.code for fault in trimscribe.check(Path("faulty.yaml"))] == ["not-a-date"]


def test_language_shop_and_theme_may_be_chosen(folder: Path) -> None:
    (folder / "other.yaml").write_text("{trimscribe: 1, name: Netherby Loft}")
    content = trimscribe.prepare("fine.yaml", shop="other.yaml", redact=True)

    assert content.reading.job.workshop.name == "Netherby Loft"
    assert content.reading.job.redacted
    assert trimscribe.render(content, output="json").media_type == "application/json"
    with pytest.raises(trimscribe.TrimscribeError, match="No theme “nowhere” is installed"):
        trimscribe.render(content, theme="nowhere")
    with pytest.raises(trimscribe.TrimscribeError, match="“xx” in languages"):
        trimscribe.prepare("fine.yaml", language="xx")


@pytest.mark.quick
def test_a_job_is_read_analysed_and_rendered(folder: Path) -> None:
    content = trimscribe.prepare("fine.yaml")
    finished = trimscribe.render(content)

    assert content.reading.job.service.number == "QH-1"
    assert content.statements.cautions
    assert finished.data.startswith(b"%PDF-")


@pytest.mark.typesets
def test_a_report_is_put_into_a_folder(folder: Path) -> None:
    (record,) = trimscribe.report("fine.yaml", "reports")

    assert record.path == Path("reports/qh-1-damson-s.pdf")
    assert record.path.read_bytes() == trimscribe.render(trimscribe.prepare("fine.yaml")).data
    again, page = trimscribe.report(Path("fine.yaml"), Path("reports"), outputs=["pdf", "html"])
    assert again.unchanged
    assert page.path == Path("reports/qh-1-damson-s.html")
    assert not page.unchanged


def test_what_goes_wrong_is_one_kind_of_error_with_faults(folder: Path) -> None:
    with pytest.raises(trimscribe.TrimscribeError) as caught:
        trimscribe.prepare("faulty.yaml")

    assert [fault.code for fault in caught.value.faults] == ["not-a-date"]


@pytest.mark.typesets
def test_a_report_that_was_altered_or_is_none_is_a_proof_that_says_so(folder: Path) -> None:
    (record,) = trimscribe.report("fine.yaml")
    data = record.path.read_bytes()
    Path("altered.pdf").write_bytes(data.replace(b"/Pages", b"/Pagex"))
    Path("none.pdf").write_bytes(b"not a PDF")

    assert trimscribe.verify(record.path).standing is Standing.IDENTICAL
    assert trimscribe.verify("altered.pdf").standing in (Standing.ALTERED, Standing.UNREADABLE)
    assert trimscribe.verify("none.pdf").standing is Standing.UNREADABLE
    with pytest.raises(FileNotFoundError):
        trimscribe.verify("nowhere.pdf")


def test_the_functions_stay_reachable_whatever_else_is_imported(folder: Path) -> None:
    """A module of the same name would take a function's place as soon as it is imported."""
    for name in NAMES:
        assert not isinstance(getattr(trimscribe, name), ModuleType)
        assert importlib.util.find_spec(f"trimscribe.{name}") is None
