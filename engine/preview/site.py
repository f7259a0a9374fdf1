"""The addresses of a preview, and the door before each: this machine, this port, this token.

Whoever lacks the token learns nothing: other programs and other people on the machine do not know
it. A web page that has its own name lead to loopback still sends that name as the host, and is
refused.
"""

import functools
import secrets
from collections.abc import AsyncIterator, Callable
from contextlib import asynccontextmanager, suppress
from dataclasses import dataclass, field
from pathlib import Path

import anyio
from h11 import LocalProtocolError
from starlette.applications import Starlette
from starlette.datastructures import Headers, MutableHeaders
from starlette.requests import Request
from starlette.responses import JSONResponse, PlainTextResponse, Response, StreamingResponse
from starlette.routing import Route
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from trimscribe.errors import Fault
from trimscribe.model.plain import Plain, to_plain
from trimscribe.preview.choices import KINDS, Choices
from trimscribe.preview.session import PreviewSession, PreviewState, Snapshot
from trimscribe.preview.watch import ChangeNotifier, watch

_PAGE = Path(__file__).parent / "page"
_FILES = {
    "icon.svg": ("icon.svg", "image/svg+xml"),
    "": ("page.html", "text/html"),
    **{f"{name}.js": (f"{name}.js", "text/javascript") for name in ("page", "look", "side")},
    "page.css": ("page.css", "text/css"),
}
_WIDEST = 3000  # pixels across a page
_LONGEST = 500  # characters of an address; the page's own have about 60
_BEAT_S = 15  # between signs of life to a page that listens
_OWN = "script-src 'self'; style-src 'self'; img-src 'self'; connect-src 'self'; frame-src 'self'"
_HEADERS = {
    "Cache-Control": "no-store",
    "Content-Security-Policy": f"default-src 'none'; {_OWN}; frame-ancestors 'self'",
    "Cross-Origin-Opener-Policy": "same-origin",
    "Cross-Origin-Resource-Policy": "same-origin",
    "Referrer-Policy": "no-referrer",
    "X-Content-Type-Options": "nosniff",
}
# A report never runs anything, whatever a theme holds.
_SILENT = "sandbox allow-same-origin; default-src 'none'; style-src 'unsafe-inline'; img-src data:"
_FORMS = {".pdf": "pages", ".html": "page", ".png": "picture"}  # others are shown as text


@dataclass
class Site:
    """One preview: what can be chosen, what was made, and the token that opens it."""

    choices: Choices
    session: PreviewSession
    token: str = field(default_factory=lambda: secrets.token_urlsafe(24))
    bell: ChangeNotifier = field(default_factory=ChangeNotifier)
    moved: ChangeNotifier = field(default_factory=ChangeNotifier)

    async def offered(self, _: Request) -> Response:
        """What can be chosen: names by kind; their places are their numbers."""
        return JSONResponse({kind: list(self.choices.names[kind]) for kind in KINDS})

    async def sight(self, request: Request) -> Response:
        """The state of a choice, made now if a file has changed."""
        choice = self.choices.choice(request.query_params)
        if choice is None:
            return _nothing()
        age = self.session.age
        seen = await anyio.to_thread.run_sync(self.session.see, choice)
        self.moved.ring()
        return JSONResponse(_state_data(seen, age))

    async def changes(self, _: Request) -> Response:
        """A stream that tells the age of the files, now and at each change."""
        return StreamingResponse(self._ages(), media_type="text/event-stream")

    async def _ages(self) -> AsyncIterator[str]:
        reported = -1
        while True:
            if reported == self.session.age:
                with anyio.move_on_after(_BEAT_S):
                    await self.bell.wait()
            if reported == self.session.age:
                yield ":\n\n"
            else:
                reported = self.session.age
                yield f"data: {reported}\n\n"

    async def part(self, request: Request) -> Response:
        """One thing of one shot: a page, the file, the sentences, or why one of them is said."""
        asked = request.path_params
        shot, make = self.session.shot(asked["shot"]), _PARTS.get(asked["kind"])
        if shot is None or make is None:
            return _nothing()
        width = request.query_params.get("width", "")
        pixels = min(int(width), _WIDEST) if width.isdecimal() and width.isascii() else 0
        return await anyio.to_thread.run_sync(make, shot, asked.get("number", 0), pixels or 1000)


def _state_data(state: PreviewState, age: int) -> Plain:
    """What there is to see, and how it came about."""
    shot = state.shot
    return {
        "age": age,
        "fresh": state.fresh,
        "shot": None
        if shot is None
        else {
            "number": shot.number,
            "title": shot.looked.title,
            "language": shot.looked.language,
            "form": _FORMS.get(shot.report.suffix, "text"),
            "suffix": shot.report.suffix,
            "pages": shot.report.pages,
            "bytes": len(shot.report.data),
        },
        "faults": [_fault(fault) for fault in state.faults],
        "stages": [{"name": stage.name, "ms": stage.ms} for stage in state.stages],
    }


def _fault(fault: Fault) -> Plain:
    mark = fault.mark
    return {
        "code": fault.code,
        "severity": str(fault.severity),
        "message": fault.message,
        "hint": fault.hint,
        "place": str(mark) if mark else "",
        "line": mark.line if mark else 0,
        "column": mark.column if mark else 0,
        "width": mark.width if mark else 0,
        "source": mark.source if mark and mark.line else "",
    }


def _nothing() -> Response:
    """The answer that tells nothing, not even whether there is something."""
    return PlainTextResponse("Nothing is here.\n", 404)


async def _file(name: str, kind: str, _: Request) -> Response:
    return Response((_PAGE / name).read_bytes(), media_type=kind)


def _page(shot: Snapshot, number: int, width: int) -> Response:
    if shot.report.suffix != ".pdf" or not 0 < number <= shot.report.pages:
        return _nothing()
    picture = shot.page(number, width)
    return Response(picture, media_type="image/jpeg") if picture else _nothing()


def _report(shot: Snapshot, _: int, __: int) -> Response:
    headers = {"Content-Security-Policy": _SILENT}
    if shot.report.suffix == ".pdf":
        headers = {}  # a viewer needs its own scripts, and a PDF has none of ours
    return Response(shot.report.data, media_type=shot.report.media_type, headers=headers)


def _sentences(shot: Snapshot, _: int, __: int) -> Response:
    """Each sentence with the lines that it takes on the pages."""
    sentences = shot.looked.sentences
    placed = zip(sentences, shot.places or ((),) * len(sentences), strict=True)
    return JSONResponse([{"text": text, "places": to_plain(where)} for text, where in placed])


def _why(shot: Snapshot, number: int, _: int) -> Response:
    evidence = shot.why(number)
    return JSONResponse(to_plain(evidence)) if evidence else _nothing()


_PARTS: dict[str, Callable[[Snapshot, int, int], Response]] = {
    "page": _page,
    "report": _report,
    "sentences": _sentences,
    "why": _why,
}


def build(site: Site, port: int) -> ASGIApp:
    """The application, for whoever asks for it at this port of loopback and with its token."""

    @asynccontextmanager
    async def watching(_: Starlette) -> AsyncIterator[None]:
        first = site.choices.choice({})
        assert first is not None  # there is always a first of each kind
        await anyio.to_thread.run_sync(site.session.see, first)
        async with anyio.create_task_group() as tasks:
            tasks.start_soon(watch, site.session, site.bell, site.moved)
            yield
            tasks.cancel_scope.cancel()

    below = f"/{site.token}"
    files = [
        Route(f"{below}/{address}", functools.partial(_file, name, kind))
        for address, (name, kind) in _FILES.items()
    ]
    app = Starlette(
        routes=[
            *files,
            Route(f"{below}/choices", site.offered),
            Route(f"{below}/sight", site.sight),
            Route(f"{below}/changes", site.changes),
            Route(f"{below}/shots/{{shot}}/{{kind}}", site.part),
            Route(f"{below}/shots/{{shot}}/{{kind}}/{{number:int}}", site.part),
        ],
        lifespan=watching,
    )
    return _Door(app, port, site.token)


class _Door:
    """Lets through what asks the right host for the right token, and guards what goes out."""

    def __init__(self, app: ASGIApp, port: int, token: str) -> None:
        # `app` answers below `/token/` at this port of loopback.
        self._app = app
        self._hosts = {f"127.0.0.1:{port}", f"localhost:{port}"}
        self._token = token.encode()

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        async def guarded(message: Message) -> None:
            if message["type"] == "http.response.start":
                headers = MutableHeaders(scope=message)
                for name, value in _HEADERS.items():
                    headers.setdefault(name, value)
            with suppress(LocalProtocolError):  # who breaks off within a request gets no answer
                await send(message)

        if scope["type"] == "lifespan":
            await self._app(scope, receive, send)
        elif scope["type"] == "http" and self._known(scope):
            await self._app(scope, receive, guarded)
        elif scope["type"] == "http":
            await _nothing()(scope, receive, guarded)

    def _known(self, scope: Scope) -> bool:
        hosts = Headers(scope=scope).getlist("host")
        # A request may be for `*` or for no path at all.
        first = scope["path"].removeprefix("/").partition("/")[0].encode("utf-8", "replace")
        right = secrets.compare_digest(first, self._token)
        if len(scope["path"]) > _LONGEST:  # of figures beyond some thousand Python makes no number
            return False
        return right and scope["method"] == "GET" and len(hosts) == 1 and hosts[0] in self._hosts
