"""A web page from elsewhere, even of this machine and with the whole address, sees nothing."""

import http.server
import threading
from collections.abc import Callable, Iterator
from functools import partial
from pathlib import Path
from typing import Any

import pytest

TRY = """
const [address, done] = arguments;
const element = (tag, name, place) => new Promise((told) => {
    const made = document.createElement(tag);
    made.onload = () => told("loaded");
    made.onerror = () => told("nothing");
    if (tag === "link") made.rel = "stylesheet";
    made[name] = address + place;
    document.body.append(made);
});
const asked = (place, wish) => fetch(address + place, wish).then(() => "loaded", () => "nothing");
const heard = new Promise((told) => {
    const source = new EventSource(address + "changes");
    source.onmessage = () => told("loaded");
    source.onerror = () => told("nothing");
});
const frame = new Promise((told) => {
    const made = document.createElement("iframe");
    made.onload = () => told(made.contentWindow.length ? "loaded" : "nothing");
    made.src = address;
    document.body.append(made);
});
Promise.all([
    asked("sight"), asked("sight", {mode: "no-cors"}), asked("shots/1/report", {mode: "no-cors"}),
    element("img", "src", "shots/1/page/1"), element("script", "src", "page.js"),
    element("link", "href", "page.css"), heard, frame,
]).then(done);
"""


@pytest.fixture
def elsewhere(tmp_path: Path) -> Iterator[str]:
    """The address of a page at another port of this machine."""

    class Quiet(http.server.SimpleHTTPRequestHandler):
        def log_message(self, *_: Any) -> None:
            pass

    (tmp_path / "page.html").write_text("<!doctype html><title>x</title><body>")
    handler = partial(Quiet, directory=str(tmp_path))
    with http.server.ThreadingHTTPServer(("127.0.0.1", 0), handler) as server:
        threading.Thread(target=server.serve_forever, daemon=True).start()
        yield f"http://127.0.0.1:{server.server_port}/page.html"
        server.shutdown()


def test_another_page_that_knows_the_address_gets_nothing(
    browser: Any, folder: Path, start: Callable[..., Any], elsewhere: str
) -> None:
    preview = start("demo.yaml")
    assert preview.ask("sight")["fresh"]
    browser.driver.get(elsewhere)

    assert browser.driver.execute_async_script(TRY, preview.address) == ["nothing"] * 8


def test_the_same_questions_are_answered_to_the_preview_s_own_page(
    browser: Any, folder: Path, start: Callable[..., Any]
) -> None:
    preview = start("demo.yaml")
    browser.driver.get(preview.address + "sight")

    answers = browser.driver.execute_async_script(TRY, preview.address)

    assert answers[:3] == ["loaded"] * 3
