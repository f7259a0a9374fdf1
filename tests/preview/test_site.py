"""Who is let in: this machine, with the right host and token; nobody else learns anything."""

import http.client
import json
import re
import signal
import socket
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any
from urllib.parse import urlsplit

import psutil
import pytest

from trimscribe.preview import server

NOTHING = b"Nothing is here.\n"
# Half a second in place of ten, which nobody who tests has to wait.
IMPATIENT = "from trimscribe.preview import server; server._PATIENCE_S = 0.5"
# As a shell starts what is to run behind it.
IGNORED = "import signal; signal.signal(signal.SIGINT, signal.SIG_IGN)"


@pytest.fixture
def preview(folder: Path, start: Callable[..., Any]) -> Any:
    return start("demo.yaml")


@pytest.fixture(scope="module")
def other(start: Callable[..., Any]) -> Any:
    """A second preview of the same job, which loses its patience sooner, behind its shell."""
    return start("demo.yaml", anew=True, code=f"{IMPATIENT}; {IGNORED}")


def answer(
    preview: Any, path: str, *, method: str = "GET", **headers: str
) -> tuple[int, dict[str, str], bytes]:
    """Ask with a path as it is, below the root, and with headers of one's own."""
    place = urlsplit(preview.address)
    line = http.client.HTTPConnection(place.hostname, place.port, timeout=30)
    line.putrequest(method, path, skip_host="Host" in headers, skip_accept_encoding=True)
    for name, value in headers.items():
        if value:
            line.putheader(name, value)
    line.endheaders()
    got = line.getresponse()
    reported = got.status, {k.lower(): v for k, v in got.getheaders()}, got.read()
    line.close()
    return reported


def test_the_address_is_on_loopback_with_a_token_nobody_guesses(preview: Any) -> None:
    assert re.fullmatch(r"http://127\.0\.0\.1:\d+/[\w-]{32}/", preview.address)
    listening = [
        c.laddr.ip
        for c in psutil.Process(preview.process.pid).net_connections("inet")
        if c.status == psutil.CONN_LISTEN
    ]
    assert listening == ["127.0.0.1"]


def test_two_previews_have_two_tokens(preview: Any, other: Any) -> None:
    assert urlsplit(other.address).path != urlsplit(preview.address).path


@pytest.mark.parametrize(
    "path",
    ["/", "/x", "/choices", "/sight", "/favicon.ico", "//", "/%2e%2e/", "/NEARLY/", "/NEARLYx/"],
)
def test_without_the_token_nothing_is_reported(path: str, preview: Any) -> None:
    token = urlsplit(preview.address).path.strip("/")
    nearly = token[:-1] + ("y" if token.endswith("x") else "x")
    status, headers, body = answer(preview, path.replace("NEARLY", nearly))

    assert (status, body) == (404, NOTHING)
    assert token not in str(headers)


@pytest.mark.parametrize(
    "host",
    [
        "evil.example",
        "evil.example:PORT",
        "127.0.0.1",
        "127.0.0.1.evil.example:PORT",
        "0.0.0.0:PORT",
    ],
)
def test_a_name_that_leads_to_loopback_is_refused(host: str, preview: Any) -> None:
    place = urlsplit(preview.address)

    status, _, body = answer(preview, place.path, Host=host.replace("PORT", str(place.port)))

    assert (status, body) == (404, NOTHING)


def test_localhost_is_this_machine_too(preview: Any) -> None:
    place = urlsplit(preview.address)

    assert answer(preview, place.path, Host=f"localhost:{place.port}")[0] == 200


@pytest.mark.parametrize("method", ["POST", "PUT", "DELETE", "OPTIONS", "HEAD", "TRACE"])
def test_a_preview_can_only_be_looked_at(method: str, preview: Any) -> None:
    status, headers, _ = answer(preview, urlsplit(preview.address).path, method=method)

    assert status == 404
    assert not [name for name in headers if name.startswith("access-control")]


@pytest.mark.parametrize(
    "path",
    [
        "../demo.yaml", "%2e%2e/demo.yaml", "..%2f..%2fdemo.yaml", "page.html", "site.py",
        "shots/1", "shots/999/report", "shots/1/page/0", "shots/1/page/99", "shots/1/why/999",
        "shots/1/why/-1", "shots/..%2f1/report", "shots/1/secrets", "sight?job=99", "sight?job=-1",
        "sight?job=demo.yaml", "sight?theme=%2fetc", "sight?output=%C2%B2", "sight?job=",
    ],
)  # fmt: skip
def test_what_is_not_offered_is_not_there(path: str, preview: Any) -> None:
    status, _, body = answer(preview, urlsplit(preview.address).path + path)

    assert status == 404
    assert b"Not Found" in body or body == NOTHING


def test_no_path_of_the_machine_is_reported(preview: Any, folder: Path) -> None:
    reported = [preview.read(path) for path in ("choices", "sight", "shots/1/sentences")]
    reported += [preview.read(f"shots/1/why/{number}") for number in range(12)]

    for text in reported:
        assert str(folder).encode() not in text
        assert b"site-packages" not in text
        assert str(Path.home()).encode() not in text


def test_every_answer_is_for_this_page_alone(preview: Any) -> None:
    for path in ("", "page.js", "choices", "sight", "shots/1/report", "shots/1/page/1", "none"):
        _, headers, _ = answer(preview, urlsplit(preview.address).path + path)

        assert headers["cache-control"] == "no-store", path
        assert headers["referrer-policy"] == "no-referrer", path
        assert headers["x-content-type-options"] == "nosniff", path
        assert headers["cross-origin-resource-policy"] == "same-origin", path
        assert "default-src 'none'" in headers["content-security-policy"], path


def test_a_report_as_a_page_may_not_run_anything(preview: Any) -> None:
    html = json.loads(preview.read("choices"))["output"].index("html")
    shot = preview.ask(f"sight?output={html}")["shot"]["number"]

    _, headers, body = answer(preview, urlsplit(preview.address).path + f"shots/{shot}/report")

    assert headers["content-type"] == "text/html; charset=utf-8"
    assert headers["content-security-policy"].startswith("sandbox allow-same-origin;")
    assert b"Quarry Hill" in body


def test_a_port_that_is_taken_is_reported(preview: Any, start: Callable[..., Any]) -> None:
    second = start("demo.yaml", "--port", str(urlsplit(preview.address).port), anew=True)

    _, reported = second.process.communicate(timeout=20)

    assert second.process.returncode == 64
    assert "cannot be used" in reported


@pytest.mark.parametrize(
    "request_line",
    [
        *("GET *", "OPTIONS *", "GET foo", "GET foo/bar", "GET http://x/", "POST *", "GET ?"),
        *("CONNECT a:1", "GET /%ff%fe", "GET /%00", "GET //", "HEAD *", "PRI *"),
    ],
)
def test_a_request_of_any_form_is_answered_and_tells_nothing(
    preview: Any, request_line: str
) -> None:
    place = urlsplit(preview.address)
    with socket.create_connection((place.hostname, place.port), timeout=20) as line:
        host = f"Host: {place.hostname}:{place.port}"
        line.sendall(f"{request_line} HTTP/1.1\r\n{host}\r\nConnection: close\r\n\r\n".encode())
        reported = b""
        while part := line.recv(4096):
            reported += part

    assert reported.split()[1] in (b"404", b"400"), reported
    assert b"Traceback" not in reported


def test_ten_seconds_are_waited() -> None:
    assert server._PATIENCE_S == 10


@pytest.mark.parametrize("said", [b"", b"GET / HTTP/1.1\r\nHost: x"])
def test_a_connection_that_says_nothing_or_half_is_closed(other: Any, said: bytes) -> None:
    place = urlsplit(other.address)
    with socket.create_connection((place.hostname, place.port), timeout=30) as line:
        line.sendall(said)

        assert line.recv(4096) == b""  # its end; with a preview that waits for ever, a timeout


@pytest.mark.parametrize("path", ["shots/1/page/" + "9" * 5000, "shots/1/why/" + "1" * 4301])
def test_a_number_beyond_all_numbers_is_nothing(preview: Any, path: str) -> None:
    status, _, _ = answer(preview, urlsplit(preview.address).path + path)

    assert status == 404


def test_a_connection_that_drips_is_closed(other: Any) -> None:
    """Whoever sends a byte now and then does not keep it open for others."""
    place = urlsplit(other.address)

    def drip() -> None:
        with socket.create_connection((place.hostname, place.port)) as line:
            for _ in range(600):
                line.sendall(b"G")
                time.sleep(0.05)

    with pytest.raises(OSError, match=r"(?i)broken pipe|reset"):
        drip()


def test_it_ends_when_it_is_interrupted_and_who_broke_off_left_no_trace(
    other: Any, start: Callable[..., Any]
) -> None:
    place = urlsplit(other.address)
    other.ask("choices")
    with socket.create_connection((place.hostname, place.port), timeout=20) as line:
        host = f"Host: {place.hostname}:{place.port}"
        head = f"GET /x HTTP/1.1\r\n{host}\r\nTransfer-Encoding: chunked"
        line.sendall(f"{head}\r\n\r\nZZ\r\na".encode())
        assert line.recv(4096).split()[1] == b"400"
    time.sleep(1)  # it was an answer a while later that failed

    for process in (other.process, start("demo.yaml", anew=True).process):
        process.send_signal(signal.SIGINT)
        out, reported = process.communicate(timeout=20)

        assert process.returncode == 130
        assert out == ""
        assert "Traceback" not in reported
