"""Plugins are found as installers lay them out, and a bad one harms nobody else."""

import json
import os
import subprocess
import sys
import tomllib
from collections.abc import Callable
from importlib.metadata import EntryPoint
from pathlib import Path
from types import SimpleNamespace

import pytest

from trimscribe.catalogue import fault_codes
from trimscribe.contracts import KINDS
from trimscribe.errors import Fault, PluginError, Severity
from trimscribe.registry import Registry

ROOT = Path(__file__).parents[1]
PACKAGES = ROOT / "tests" / "fake_plugin"


@pytest.fixture
def with_package(monkeypatch: pytest.MonkeyPatch) -> Callable[[str], Registry]:
    """The registry of an environment in which one of the fake packages is installed."""

    def installed(name: str) -> Registry:
        monkeypatch.syspath_prepend(PACKAGES / name)
        for path in (PACKAGES / name).glob("*.py"):
            monkeypatch.delitem(sys.modules, path.stem, raising=False)
        return Registry.installed()

    return installed


def refused(registry: Registry, kind: str, name: str) -> Fault:
    with pytest.raises(PluginError) as caught:
        registry.get(kind, name)
    (fault,) = caught.value.faults
    assert fault.severity is Severity.ERROR
    return fault


def test_the_built_in_plugins_are_those_of_the_project_file() -> None:
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    declared = {
        (group.removeprefix("trimscribe."), name)
        for group, entries in project["entry-points"].items()
        for name in entries
    }
    rows = [row for row in Registry.installed().listing() if row.package == "trimscribe"]

    assert {(row.kind, row.name) for row in rows} == declared
    assert {row.kind for row in rows} == set(KINDS)
    assert [row.fault for row in rows] == [None] * len(declared)
    assert {row.version for row in rows} == {project["version"]}


def test_one_installed_package_adds_plugins_of_all_kinds() -> None:
    path = os.pathsep.join([str(PACKAGES / "good"), *filter(None, [os.getenv("PYTHONPATH")])])
    done = subprocess.run(
        [sys.executable, "-m", "trimscribe", "plugins", "--json"],
        env={**os.environ, "PYTHONPATH": path},
        capture_output=True,
        text=True,
        check=True,
    )
    rows = json.loads(done.stdout)["plugins"]

    assert [row for row in rows if row["package"] == "coast-tools"] == [
        {"kind": kind, "name": "coast", "package": "coast-tools", "version": "1.0", "fault": None}
        for kind in KINDS
    ]


@pytest.mark.parametrize("kind", KINDS)
def test_a_plugin_of_an_installed_package_keeps_its_contract(
    with_package: Callable[[str], Registry], kind: str
) -> None:
    registry = with_package("good")

    assert isinstance(registry.get(kind, "coast"), KINDS[kind])
    assert registry.get(kind, "coast") is registry.get(kind, "coast")
    assert "coast" in [plugin.name for plugin in registry.all(kind)]


@pytest.mark.parametrize(
    ("kind", "code", "reported"),
    [
        (
            "importers",
            "plugin-broken",
            "does not load (storm_raises.py, line 5): FileNotFoundError: [Errno 2] No such file or "
            "directory: 'lengths.db'.",
        ),
        (
            "analyses",
            "plugin-broken",
            "does not load (storm_leaves.py, line 6): SystemExit: no licence.",
        ),
        ("languages", "plugin-contract", "is for contract 0; this Trimscribe works with 1."),
        (
            "sections",
            "plugin-contract",
            "does not say its contract; this Trimscribe works with 1 to 2.",
        ),
        ("figures", "plugin-incomplete", "lacks `draw()`."),
        ("themes", "plugin-incomplete", "lacks `folder` as Path (it has 'themes/storm')."),
        ("outputs", "plugin-name", "calls itself “squall”."),
    ],
)
def test_a_bad_plugin_is_named_and_the_others_are_used(
    with_package: Callable[[str], Registry], kind: str, code: str, reported: str
) -> None:
    registry = with_package("bad")

    fault = refused(registry, kind, "storm")
    others = [plugin.name for plugin in registry.all(kind)]

    assert fault.code == code
    assert fault.message == f"“storm” in {kind}, from storm-tools, {reported}"
    assert others == [name for name in registry.names(kind) if name != "storm"]
    assert others
    (warning,) = registry.faults()
    assert (warning.code, warning.message) == (fault.code, fault.message)
    assert warning.severity is Severity.WARNING


def test_a_broken_module_runs_once_and_only_when_it_is_asked_for(
    with_package: Callable[[str], Registry], capsys: pytest.CaptureFixture[str]
) -> None:
    registry = with_package("bad")
    list(registry.all("outputs"))
    assert capsys.readouterr().out == ""

    for _ in range(2):
        refused(registry, "analyses", "storm")

    assert capsys.readouterr().out == "Storm Tools needs a licence.\n"


def test_a_name_that_two_packages_offer_is_used_from_neither(
    with_package: Callable[[str], Registry],
) -> None:
    registry = with_package("clash")

    fault = refused(registry, "importers", "csv")

    assert fault.code == "plugin-clash"
    assert fault.message == "“csv” in importers is offered by tide-tools and trimscribe."
    assert "csv" not in [plugin.name for plugin in registry.all("importers")]
    rows = [row for row in registry.listing() if (row.kind, row.name) == ("importers", "csv")]
    assert [(row.package, row.fault and row.fault.code) for row in rows] == [
        ("tide-tools", "plugin-clash"),
        ("trimscribe", "plugin-clash"),
    ]


def test_an_unknown_name_is_reported_with_what_was_meant_and_what_there_is() -> None:
    registry = Registry.installed()
    fault = refused(registry, "sections", "lettre")
    installed = registry.names("sections")

    assert fault.code == "plugin-unknown"
    assert fault.message == "There is no “lettre” in sections."
    assert {"cautions", "letter", "terms"} < set(installed)
    assert fault.hint == f"Did you mean `letter`? Installed are {', '.join(installed)}."


def test_an_unknown_name_of_a_kind_without_plugins_is_reported() -> None:
    assert refused(Registry([]), "themes", "base").hint == "None are installed."


def test_an_unknown_kind_is_a_slip_of_the_programmer() -> None:
    with pytest.raises(KeyError):
        Registry.installed().get("themse", "base")


def test_the_order_does_not_depend_on_how_plugins_were_found(
    with_package: Callable[[str], Registry],
) -> None:
    entries = [entry for found in with_package("clash")._found.values() for entry in found]

    assert Registry(entries).listing() == Registry(reversed(entries)).listing()


def test_every_code_is_documented(with_package: Callable[[str], Registry]) -> None:
    reported = {fault.code for row in with_package("bad").listing() if (fault := row.fault)}

    assert reported | {"plugin-clash", "plugin-unknown"} == {
        code for code, known in fault_codes().items() if known.about == "plugins"
    }


def test_a_module_behind_a_link_is_told_how_to_be_read(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (tmp_path / "linked_tools.py").write_text("raise PermissionError(13, 'not here', __file__)\n")
    monkeypatch.syspath_prepend(tmp_path)
    entry = EntryPoint("linked", "linked_tools:plugin", "trimscribe.figures")
    with pytest.raises(PluginError) as caught:
        Registry([entry]).get("figures", "linked")

    (fault,) = caught.value.faults
    assert fault.code == "plugin-broken"
    assert str(tmp_path) not in fault.message
    assert "not where a symbolic link in them leads: install it" in fault.hint


class Bars:
    """A figure as its author first wrote it."""

    contract: object = 2
    name = "bars"

    def draw(self, view: object) -> None:
        """Nothing to draw."""


class Apart(Bars):
    """An analysis that says what its facts are, in some form."""

    contract = 1
    needs: object = ()
    facts: object = {}

    def analyse(self, job: object, findings: object) -> None:
        """Nothing to add."""


def said_of(kind: str, plugin: object, monkeypatch: pytest.MonkeyPatch) -> str:
    monkeypatch.setitem(sys.modules, "bar_tools", SimpleNamespace(plugin=plugin))
    entry = EntryPoint("bars", "bar_tools:plugin", f"trimscribe.{kind}")
    with pytest.raises(PluginError) as caught:
        Registry([entry]).get(kind, "bars")
    return f"{caught.value.faults[0].message} {caught.value.faults[0].hint}"


def test_a_class_in_place_of_a_value_is_told(monkeypatch: pytest.MonkeyPatch) -> None:
    said = said_of("figures", Bars, monkeypatch)

    assert "is the class Bars, where a value of it belongs. Write Bars()." in said


def test_a_contract_that_is_no_number_is_told(monkeypatch: pytest.MonkeyPatch) -> None:
    bars = Bars()
    bars.contract = "2"

    assert "says its contract as a str, not as a whole number;" in said_of(
        "figures", bars, monkeypatch
    )


@pytest.mark.parametrize(
    ("name", "value", "said"),
    [
        ("needs", ("line_set", 7), "lacks `needs` as tuple[str, ...] (it has 7)."),
        ("facts", ("apart",), "lacks `facts` as Mapping[str, str] (it has ('apart',))."),
        ("facts", {"apart": None}, "lacks `facts` as Mapping[str, str] (it has None)."),
        (
            "inputs",
            {"apart": "before.lines"},
            "lacks `inputs` as Mapping[str, tuple[str, ...]] (it has 'bef",
        ),
    ],
)
def test_what_a_plugin_may_offer_besides_is_offered_as_asked(
    name: str, value: object, said: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    apart = Apart()
    setattr(apart, name, value)

    assert said in said_of("analyses", apart, monkeypatch)
