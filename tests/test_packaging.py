"""What ships: all of the code and data, nothing else, and it works far from the checkout."""

import os
import re
import shutil
import subprocess
import sys
import sysconfig
import tomllib
import zipfile
from pathlib import Path

import pytest
from packaging.requirements import Requirement
from packaging.utils import canonicalize_name

ROOT = Path(__file__).parents[1]
PROJECT = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))
FOLDERS = PROJECT["tool"]["setuptools"]["package-dir"]
JUNK = [
    "engine/__pycache__/errors.cpython-311.pyc",
    "engine/analyse/notes.bak",
    "themes/base/.DS_Store",
    "themes/base/theme.yaml~",
]


def written() -> dict[str, str]:
    """Each file of the three folders, by the name it ships under; ignored ones left out."""
    listed = subprocess.run(
        ["git", "ls-files", "--cached", "--others", "--exclude-standard", "-z", *FOLDERS.values()],
        cwd=ROOT,
        capture_output=True,
        check=True,
        text=True,
    ).stdout
    files = [name for name in listed.split("\0") if name and (ROOT / name).exists()]
    homes = {folder: package.replace(".", "/") for package, folder in FOLDERS.items()}
    return {
        "/".join((homes[name.partition("/")[0]], name.partition("/")[2])): name for name in files
    }


def run(*command: object, cwd: Path) -> str:
    """Run a command without any hint of where the checkout is; return its output."""
    variables = {name: os.environ[name] for name in os.environ if not name.startswith("PYTHON")}
    done = subprocess.run(
        [str(part) for part in command],
        cwd=cwd,
        env={**variables, "PYTHONIOENCODING": "utf-8"},
        capture_output=True,
        encoding="utf-8",
    )
    assert done.returncode == 0, done.stdout + done.stderr
    return done.stdout


@pytest.fixture(scope="module")
def wheel(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Build the wheel from a copy of the checkout with litter in it, as folders in use have."""
    copy = tmp_path_factory.mktemp("copy")
    for name in ["pyproject.toml", "README.md", *written().values()]:
        (copy / name).parent.mkdir(parents=True, exist_ok=True)
        shutil.copy(ROOT / name, copy / name)
    for name in JUNK:
        (copy / name).parent.mkdir(exist_ok=True)
        (copy / name).write_bytes(b"junk")
    pip = [sys.executable, "-m", "pip", "wheel", "--no-deps", "--no-index", "--no-build-isolation"]
    run(*pip, "--wheel-dir", copy / "dist", copy, cwd=copy)
    return next((copy / "dist").glob("*.whl"))


def test_every_folder_with_code_is_listed_as_a_package() -> None:
    with_code = {name.rpartition("/")[0] for name in written() if name.endswith(".py")}
    listed = PROJECT["tool"]["setuptools"]["packages"]

    assert {name.replace("/", ".") for name in with_code} == set(listed)
    assert listed == sorted(listed)


def test_every_dependency_is_pinned_within_its_range() -> None:
    lines = (ROOT / "tests" / "constraints.txt").read_text(encoding="utf-8").splitlines()
    pins = dict(re.match(r"([\w-]+)==([\w.]+)", line).groups() for line in lines if line[0] != "#")
    project = PROJECT["project"]
    groups = [project["dependencies"], *project["optional-dependencies"].values()]
    asked = [Requirement(text) for group in groups for text in group]

    assert not [
        str(need)
        for need in asked
        if not need.specifier.contains(pins.get(canonicalize_name(need.name), "0"))
    ]


@pytest.mark.installs
def test_the_wheel_holds_every_file_that_was_written_and_no_other(wheel: Path) -> None:
    shipped = {name for name in zipfile.ZipFile(wheel).namelist() if ".dist-info/" not in name}

    assert shipped == set(written())


@pytest.mark.installs
def test_the_installed_wheel_renders_the_demo_outside_the_checkout(
    wheel: Path, tmp_path: Path
) -> None:
    home = tmp_path / "home"
    run(sys.executable, "-m", "venv", "--without-pip", home, cwd=tmp_path)
    paths = sysconfig.get_paths(vars={"base": str(home), "platbase": str(home)})
    own = Path(paths["scripts"]) / ("python.exe" if os.name == "nt" else "python")
    pip = [sys.executable, "-m", "pip", "--python", own, "install", "--no-deps", "--no-index"]
    run(*pip, wheel, cwd=tmp_path)
    # The libraries are those that run this test. A path file adds them, after the wheel's own
    # folder, without the link to the checkout that an editable install leaves among them.
    libraries = "\n".join({sysconfig.get_path("purelib"), sysconfig.get_path("platlib")})
    (Path(paths["purelib"]) / "libraries.pth").write_text(libraries, encoding="utf-8")
    work = tmp_path / "work"
    shutil.copytree(ROOT / "examples", work)

    where = run(own, "-c", "import trimscribe; print(trimscribe.__file__)", cwd=work)
    run(Path(paths["scripts"]) / "trimscribe", "report", "demo.yaml", "--out", "out", cwd=work)

    assert Path(where.strip()).is_relative_to(home)
    [report] = (work / "out").iterdir()
    assert report.read_bytes().startswith(b"%PDF-")
