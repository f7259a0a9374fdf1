"""Reports made by other software: proven where they can be, and never called altered for it."""

import json
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from types import MappingProxyType

import pytest

from trimscribe.model.proof import OtherVersion, Proof, Standing
from trimscribe.pipeline import prepare, render
from trimscribe.registry import Registry
from trimscribe.world import World

pytestmark = pytest.mark.typesets

ROOT = Path(__file__).parents[2]
SMALL = Path(__file__).parent / "small" / "demo.yaml"
Prove = Callable[..., Proof]
REAL = World.real()


def other(**versions: str) -> World:
    return replace(REAL, versions=MappingProxyType({**REAL.versions, **versions}))


def made_with(world: World, job: Path = SMALL, theme: str = "") -> bytes:
    registry = Registry.installed()
    return render(prepare(job, registry), registry, world, theme=theme).data


def test_a_report_of_other_versions_that_comes_out_the_same_is_identical_and_they_are_named(
    prove: Prove,
) -> None:
    proof = prove(made_with(other(typst="0.14.0", numpy="1.0")))

    assert proof.standing is Standing.IDENTICAL
    assert proof.versions == (
        OtherVersion("numpy", "1.0", REAL.versions["numpy"]),
        OtherVersion("typst", "0.14.0", REAL.versions["typst"]),
    )


def test_a_library_that_is_not_installed_any_more_is_named(prove: Prove) -> None:
    proof = prove(made_with(other(hyphens="3")))

    assert proof.versions == (OtherVersion("hyphens", "3", ""),)


def test_another_build_of_a_package_that_gives_the_same_is_identical_and_named(
    prove: Prove,
) -> None:
    then = "0.1.0+0a1b2c3d4e5f"
    proof = prove(made_with(replace(other(trimscribe=then), packages={"trimscribe": then})))

    assert proof.standing is Standing.IDENTICAL
    assert proof.versions == (OtherVersion("trimscribe", then, REAL.versions["trimscribe"]),)


def test_words_of_another_version_are_not_called_altered(
    prove: Prove, demo: bytes, monkeypatch: pytest.MonkeyPatch
) -> None:
    """As if the installed version printed one label otherwise."""
    before = made_with(other(trimscribe="0.0.9"))
    real = Registry.get

    def formats(self: Registry, kind: str, name: str) -> object:
        found = real(self, kind, name)
        if (kind, name) == ("sections", "cautions"):
            return Shouting(found)
        return found

    monkeypatch.setattr(Registry, "get", formats)
    proof = prove(before)

    assert proof.standing is Standing.UNPROVEN
    assert [d.code for d in proof.differences] == ["text-altered"]
    assert prove(demo).standing is Standing.ALTERED  # the same version may not word it otherwise


class Shouting:
    """The section of the cautions with another heading."""

    def __init__(self, real: object) -> None:
        self.real = real
        self.name, self.template = real.name, real.template

    def view(self, view: object) -> object:
        seen = self.real.view(view)
        return replace(seen, values={**seen.values, "title": "Beware"})


@pytest.mark.parametrize("theme", ["linden", "bench"])
def test_a_report_in_any_theme_that_ships_proves_itself(prove: Prove, theme: str) -> None:
    assert prove(made_with(REAL, theme=theme)).standing is Standing.IDENTICAL


@pytest.mark.parametrize("job", ["demo", "two-row", "four-row", "inspection", "outside"])
def test_every_example_proves_itself(prove: Prove, job: str) -> None:
    report = made_with(REAL, ROOT / "examples" / f"{job}.yaml")

    assert prove(report).standing is Standing.IDENTICAL


def test_a_shop_file_chosen_in_place_of_the_jobs_travels_with_the_report(
    prove: Prove, tmp_path: Path
) -> None:
    shop = tmp_path / "another shop.yaml"
    shop.write_text("trimscribe: 1\nname: Netherby Sailmakers\n", encoding="utf-8")
    registry = Registry.installed()
    content = prepare(SMALL, registry, shop)
    report = render(content, registry, REAL)

    assert prove(report.data).standing is Standing.IDENTICAL
    assert str(tmp_path).encode() not in report.data


@pytest.fixture
def coast(tmp_path: Path) -> Path:
    """A folder with a theme of a name that no installed theme has, whoever's it is."""
    name = "coast"
    while name in Registry.installed().names("themes"):
        name += "-own"
    folder = tmp_path / name
    folder.mkdir()
    (folder / "theme.yaml").write_text(
        f'trimscribe: 1\nname: {name}\nextends: base\ntokens: {{after: "#0b3a5f"}}\n'
    )
    return folder


def test_a_report_whose_theme_is_not_here_is_unproven_until_it_is_given(
    prove: Prove, coast: Path
) -> None:
    report = made_with(REAL, theme=str(coast))

    lacking = prove(report)
    assert lacking.standing is Standing.UNPROVEN
    assert f"“{coast.name}”" in lacking.differences[0].message
    assert "--theme" in lacking.differences[0].message
    assert prove(report, theme=str(coast)).standing is Standing.IDENTICAL


def test_a_theme_that_has_changed_since_is_reported(prove: Prove, coast: Path) -> None:
    report = made_with(REAL, theme=str(coast))
    theme = (coast / "theme.yaml").read_text()
    (coast / "theme.yaml").write_text(theme.replace("#0b3a5f", "#5f0b3a"))

    proof = prove(report, theme=str(coast))

    assert "theme-altered" in {d.code for d in proof.differences}
    assert proof.standing is Standing.UNPROVEN  # nobody has altered the report
    assert [version.name for version in proof.versions] == [str(coast)]


@pytest.mark.parametrize("named", ["base", ""])
def test_where_somebody_stands_never_changes_an_answer(
    prove: Prove, demo: bytes, coast: Path, named: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A folder that is called as the report's theme is not that theme."""
    called = named or coast.name
    (coast.parent / "here").mkdir()
    theme = coast.rename(coast.parent / "here" / called)
    text = (theme / "theme.yaml").read_text().replace(f"name: {coast.name}", f"name: {called}")
    (theme / "theme.yaml").write_text(text)
    report = demo if called == "base" else made_with(REAL, theme=str(theme))
    away = prove(report)

    monkeypatch.chdir(theme.parent)

    assert prove(report) == away


def test_a_manifest_holds_no_clock_no_host_and_no_folder(demo: bytes) -> None:
    from trimscribe.readback.contents import read_back

    text = read_back(demo).files["manifest.json"].decode()

    assert str(ROOT) not in text
    assert json.loads(text)["about"]["done"] == "2026-10-16"
    assert json.loads(text)["versions"] == dict(REAL.versions)


def test_files_in_folders_beside_the_job_are_laid_out_as_the_job_names_them(
    tmp_path: Path, prove: Prove
) -> None:
    """The shop file lies above both, so that all lies in one workshop."""
    jobs, shared = tmp_path / "jobs" / "2026", tmp_path / "shared" / "lines"
    jobs.mkdir(parents=True)
    shared.mkdir(parents=True)
    (jobs / "demo-before.csv").write_bytes((SMALL.parent / "demo-before.csv").read_bytes())
    for name in ("shop.yaml", "quarry-hill.svg", "ines-corvin.svg"):
        (tmp_path / name).write_bytes((SMALL.parent / name).read_bytes())
    (shared / "medlar-m.yaml").write_bytes((SMALL.parent / "medlar-m.yaml").read_bytes())
    text = SMALL.read_text(encoding="utf-8")
    text = text.replace("medlar-m.yaml", "../../shared/lines/medlar-m.yaml")
    text = text.replace("workshop: shop.yaml", "workshop: ../../shop.yaml")
    (jobs / "demo.yaml").write_text(text, encoding="utf-8")
    registry = Registry.installed()
    report = render(prepare(jobs / "demo.yaml", registry), registry, REAL)

    assert prove(report.data).standing is Standing.IDENTICAL
