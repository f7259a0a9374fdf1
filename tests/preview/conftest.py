"""A preview as a process of its own, as people start it, over a folder of their own."""

import json
import os
import shutil
import subprocess
import sys
import urllib.request
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest

from trimscribe.registry import Registry
from trimscribe.world import World

ROOT = Path(__file__).parents[2]
MAIN = "from trimscribe.cli import main; main()"


@dataclass
class Preview:
    """Its address, with the token, and the process."""

    address: str
    process: subprocess.Popen[str]

    def ask(self, path: str) -> Any:
        with urllib.request.urlopen(self.address + path, timeout=30) as answer:
            return json.load(answer)

    def read(self, path: str) -> bytes:
        with urllib.request.urlopen(self.address + path, timeout=30) as answer:
            return bytes(answer.read())


def _wave(colour: str) -> str:
    return (
        '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 60 6">'
        f'<path d="M0 3q15-6 30 0t30 0" fill="none" stroke="{colour}"/></svg>'
    )


@pytest.fixture(scope="module")
def home(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The examples, a theme of one's own, and a package with a language of its own."""
    home = tmp_path_factory.mktemp("preview")
    mine, words = home / "work" / "mine", home / "packages" / "bench_words"
    shutil.copytree(ROOT / "examples", home / "work")
    with (home / "work" / "shop.yaml").open("a", encoding="utf-8") as shop:
        shop.write("terms: Paid within ten days.\n")
    for name in ("assets", "templates"):
        (mine / name).mkdir(parents=True)
    (mine / "theme.yaml").write_text(
        '{trimscribe: 1, name: mine, extends: base, tokens: {accent: "#7a3b1d"}}\n'
    )
    (mine / "assets" / "wave.svg").write_text(_wave("#7a3b1d"))
    (mine / "templates" / "terms.typ.j2").write_text(
        '<% extends "base:terms.typ.j2" %>\n<% block terms %>\n<< super() >>\n'
        '#image("/assets/wave.svg", alt: "A wave", height: 6pt)\n<% endblock %>\n'
    )
    shutil.copytree(ROOT / "engine" / "narrate" / "languages" / "en", words)
    (words / "__init__.py").write_text(
        "from pathlib import Path\n\n"
        'contract = 1\nname = "cy"\nlocale = "en_GB"\nfolder = Path(__file__).parent\n'
    )
    about = home / "packages" / "bench_words-1.dist-info"
    about.mkdir()
    (about / "METADATA").write_text("Metadata-Version: 2.1\nName: bench-words\nVersion: 1\n")
    (about / "entry_points.txt").write_text("[trimscribe.languages]\ncy = bench_words\n")
    return home


@pytest.fixture(scope="module")
def _files(home: Path) -> dict[Path, bytes]:
    return {path: path.read_bytes() for path in home.rglob("*") if path.is_file()}


@pytest.fixture
def folder(home: Path, _files: dict[Path, bytes]) -> Path:
    """Where the jobs are, as they were before any test."""
    for path, data in _files.items():
        if path.read_bytes() != data:
            path.write_bytes(data)
    return home / "work"


@pytest.fixture
def registry() -> Registry:
    return Registry.installed()


@pytest.fixture
def world() -> World:
    return World({"trimscribe": "1.2.3"})


@pytest.fixture
def words(home: Path) -> Path:
    """The folder of the language that may be changed."""
    return home / "packages" / "bench_words"


@pytest.fixture(scope="module")
def start(home: Path) -> Iterator[Callable[..., Preview]]:
    """Start a preview, or take the one that was started with the same arguments.

    `code` is run in its process before.
    """
    running: dict[tuple[str, ...], Preview] = {}
    started: list[Preview] = []

    def begin(*arguments: str, anew: bool = False, code: str = "") -> Preview:
        if anew or arguments not in running:
            program = ["-c", f"{code}; {MAIN}"] if code else ["-m", "trimscribe"]
            process = subprocess.Popen(
                [sys.executable, *program, "preview", *arguments],
                cwd=home / "work",
                env={**os.environ, "PYTHONPATH": str(home / "packages")},
                stdout=subprocess.PIPE,
                stderr=subprocess.PIPE,
                encoding="utf-8",
            )
            assert process.stdout is not None
            preview = Preview(process.stdout.readline().strip(), process)
            started.append(preview)
            if anew:
                return preview
            running[arguments] = preview
        return running[arguments]

    yield begin
    for preview in started:
        preview.process.terminate()
    for preview in started:
        preview.process.wait(timeout=20)
        for stream in (preview.process.stdout, preview.process.stderr):
            if stream:
                stream.close()


@pytest.fixture
def page(browser: Any, folder: Path, start: Callable[..., Any]) -> Callable[..., Any]:
    """Open a preview in the browser and wait for its report."""

    def open_(*arguments: str, width: int = 1280, dark: bool = False) -> Any:
        preview = start(*arguments, "--theme", "./mine")
        browser.driver.get("about:blank")
        browser.open(preview.address, width, 900, dark=dark)
        browser.wait("const d = document.body.dataset; return d.marked && d.marked === d.shot")
        return preview

    return open_
