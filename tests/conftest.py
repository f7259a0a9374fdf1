"""A real browser for the tests that need one: headless Chromium, and axe-core from npm.

Where they are missing these tests are skipped, and say what to install. With the variable
TRIMSCRIBE_BROWSER=required, as in .ci/run, they fail instead.
"""

import base64
import gc
import os
import shutil
import subprocess
import tarfile
import tempfile
from collections.abc import Iterator
from contextlib import nullcontext
from pathlib import Path
from typing import Any

import hypothesis.internal.entropy  # noqa: F401 - first of all: it asks what refers to what
import pytest
import quiet_workers
import strangers
import trials
import warm_start

from trimscribe.cell import SerialWorker
from trimscribe.typeset import compiler as typesetter

AXE = "4.14.1"
ROOT = Path(__file__).parents[1]
BUILD = ROOT / "build"


# What a test uses says what it costs; see the marks in pyproject.toml.
MARKS = {
    "browser": "browser",
    "crew": "processes",
    "loaded": "processes",
    "start": "processes",
    "prove": "proofs",
    "signed": "proofs",
}


# One page at a time is all that is wanted: an address bar alone costs a second of each start.
WISHES = (
    *("--headless=new", "--hide-scrollbars", "--no-sandbox", "--disable-dev-shm-usage"),
    *("--app=data:,", "--disable-gpu", "--disable-extensions", "--renderer-process-limit=1"),
    "--disable-features=SpareRendererForSitePerProcess,IsolateOrigins,site-per-process",
)
LONG = {*MARKS.values(), "installs", "slow", "thorough", "typesets"}
WORK_THAT_SETS = ("reported", "checked_theme", "laid_out")  # functions that workers are asked for
PAGES: list[str] = []  # for what pages were set so far
BEFORE = pytest.StashKey[int]()

# Looking for garbage among all tests, their modules and what these import takes a tenth of a run.
gc.disable()
trials.register()
strangers.hide()


@pytest.hookimpl(trylast=True)
def pytest_configure(config: pytest.Config) -> None:
    quiet_workers.say_less(config)


def pytest_collection_finish() -> None:
    """Keep what is loaded now to the end; look for garbage in what is made later, less often."""
    gc.freeze()
    gc.set_threshold(100_000, 20, 20)
    gc.enable()


@pytest.hookimpl(trylast=True)
def pytest_unconfigure() -> None:
    """pytest has looked for garbage, and is about to do so again; then Python itself."""
    gc.freeze()


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    for item in items:
        for name in MARKS.keys() & set(getattr(item, "fixturenames", ())):
            item.add_marker(MARKS[name])
        if hasattr(getattr(item, "obj", None), "hypothesis"):  # many examples, drawn by chance
            item.add_marker("thorough")
    # Files that hold such tests come first: the short ones then fill all cores to the end. Those
    # that wait for a browser are spread among them: side by side they would leave cores idle.
    marks: dict[Path, set[str]] = {}
    for item in items:
        marks.setdefault(item.path, set()).update(mark.name for mark in item.iter_markers())
    long = [path for path, names in marks.items() if names & LONG]
    waiting = [path for path in long if "browser" in marks[path]]
    apart = [path for path in long if path not in waiting]
    for number, path in enumerate(waiting):
        apart.insert(number * len(long) // len(waiting), path)
    turn = {path: number for number, path in enumerate(apart)}
    items.sort(key=lambda item: turn.get(item.path, len(turn)))


@pytest.fixture(scope="session", autouse=True)
def pages_are_counted() -> Iterator[None]:
    """Know when this process sets pages, or asks a worker to."""
    compiler, call = typesetter._Bench.compiler, SerialWorker.call

    def counted(bench: typesetter._Bench, *given: Any) -> Any:
        PAGES.append("a page")
        return compiler(bench, *given)

    def counted_call(
        worker: SerialWorker, place: str, function: Any, *given: Any, **more: Any
    ) -> Any:
        if str(function).rpartition(":")[2] in WORK_THAT_SETS:
            PAGES.append(place)
        return call(worker, place, function, *given, **more)

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(typesetter._Bench, "compiler", counted)
        patch.setattr(SerialWorker, "call", counted_call)
        yield


@pytest.hookimpl(wrapper=True)
def pytest_runtest_setup(item: pytest.Item) -> Any:
    item.stash[BEFORE] = len(PAGES)
    return (yield)


@pytest.hookimpl(wrapper=True)
def pytest_runtest_call(item: pytest.Item) -> Any:
    """A test that sets pages has to say so by a mark: otherwise `--quick` waits for it."""
    result = yield
    marks = {mark.name for mark in item.iter_markers()}
    if len(PAGES) > item.stash[BEFORE] and not marks & {*LONG, "quick"}:
        pytest.fail(f"It sets {PAGES[-1]}: give it the mark `typesets`.")
    return result


@pytest.fixture(scope="session", autouse=True)
def warm_starts() -> Iterator[None]:
    """Let commands and workers that tests start be copies of a process that has loaded all."""
    with warm_start.installed():
        yield


@pytest.fixture(autouse=True)
def cold_starts(request: pytest.FixtureRequest) -> Iterator[None]:
    """With the mark `cold` they start from nothing."""
    with warm_start.cold() if request.node.get_closest_marker("cold") else nullcontext():
        yield


@pytest.fixture(autouse=True)
def warm_worker(monkeypatch: pytest.MonkeyPatch, tmp_path_factory: pytest.TempPathFactory) -> None:
    """Let all that is done within this process share a worker, which may read what tests write.

    Otherwise each test's folder is another world, for which a worker is started. What workers are
    kept from is tested in tests/cell and, with commands as they are started, in test_closed.py.
    """
    call, places = SerialWorker.call, [str(tmp_path_factory.getbasetemp()), str(ROOT)]

    def wider(worker: SerialWorker, *given: Any, reads: Any = (), **more: Any) -> Any:
        return call(worker, *given, reads=(*reads, *places), **more)

    monkeypatch.setattr(SerialWorker, "call", wider)


class Browser:
    """A window of a given size, by day or in the dark; `driver` is Selenium's own."""

    def __init__(self, driver: Any) -> None:
        self.driver = driver

    def open(self, address: str, width: int, height: int = 800, *, dark: bool = False) -> None:
        self.turn(width, height, dark=dark)
        self.driver.get(address)

    def turn(self, width: int, height: int = 800, *, dark: bool = False) -> None:
        """Give the window another size or the dark, whatever page is open."""
        self.tell(
            "Emulation.setDeviceMetricsOverride",
            width=width,
            height=height,
            deviceScaleFactor=1,
            mobile=width < 500,
        )
        scheme = {"name": "prefers-color-scheme", "value": "dark" if dark else "light"}
        self.tell("Emulation.setEmulatedMedia", features=[scheme])

    def tell(self, command: str, **values: Any) -> Any:
        return self.driver.execute_cdp_cmd(command, values)

    def ask(self, script: str, *values: Any) -> Any:
        return self.driver.execute_script(script, *values)

    def wait(self, script: str, *values: Any, seconds: float = 20) -> Any:
        """Ask until the answer is true, and return it; the page asks itself, which costs less."""
        answer = self.driver.execute_async_script(
            f"""
            const given = [...arguments], done = given.pop();
            const end = performance.now() + {1000 * seconds};
            const asked = function () {{ {script} }};
            const ask = () => {{
                try {{
                    const answer = asked(...given);
                    if (answer || performance.now() > end) done([answer, ""]);
                    else setTimeout(ask, 30);
                }} catch (error) {{
                    done([null, String(error)]);
                }}
            }};
            ask();
            """,
            *values,
        )
        assert answer[0], f"never came true: {script} {answer[1]}"
        return answer[0]

    def violations(self) -> list[str]:
        """What axe-core finds wrong with the page by WCAG 2.2 AA and its own advice."""
        if not self.ask("return 'axe' in window"):
            self.ask(_axe().read_text(encoding="utf-8"))
        found = self.driver.execute_async_script(
            "axe.run(document, {resultTypes: ['violations']}).then(arguments[0])"
        )
        assert found["passes"], "axe has looked at nothing"
        return [
            f"{wrong['id']}: {node['target']} {node['failureSummary']}"
            for wrong in found["violations"]
            for node in wrong["nodes"]
        ]

    def picture(self) -> bytes:
        """What the window shows, as PNG."""
        return base64.b64decode(self.tell("Page.captureScreenshot")["data"])


@pytest.fixture(scope="session")
def browser() -> Iterator[Browser]:
    """Headless Chromium; cookies and history of its own."""
    from selenium import webdriver  # here, since most processes need none
    from selenium.webdriver.chrome.service import Service

    chromium = shutil.which("chromium") or shutil.which("chromium-browser")
    driver = shutil.which("chromedriver")
    if not chromium or not driver:
        _missing("Chromium and its driver; on Debian: apt-get install chromium chromium-driver")
    _axe()
    options = webdriver.ChromeOptions()
    options.binary_location = chromium
    for wish in WISHES:
        options.add_argument(wish)
    with webdriver.Chrome(options=options, service=Service(driver)) as opened:
        opened.set_script_timeout(30)
        yield Browser(opened)


def _axe() -> Path:
    """axe-core's one file, fetched once."""
    script = BUILD / f"axe-core-{AXE}.js"
    if not script.is_file():
        npm = shutil.which("npm")
        if not npm:
            _missing("npm, which fetches axe-core")
        BUILD.mkdir(exist_ok=True)
        # Several processes may come here at once: each fetches for itself, the last replaces it.
        with tempfile.TemporaryDirectory(dir=BUILD) as own:
            command = [npm, "pack", f"axe-core@{AXE}", "--pack-destination", own]
            if subprocess.run(command, capture_output=True, cwd=own).returncode:
                _missing(f"axe-core {AXE}, which npm could not fetch")
            with tarfile.open(Path(own) / f"axe-core-{AXE}.tgz") as archive:
                archive.extract("package/axe.min.js", own, filter="data")
            (Path(own) / "package" / "axe.min.js").replace(script)
    return script


def _missing(what: str) -> None:
    if os.environ.get("TRIMSCRIBE_BROWSER") == "required":
        pytest.fail(f"This run must test in a browser and lacks {what}.")
    pytest.skip(f"No test in a browser without {what}.")
