"""The door before every address: this machine, this port, this token, or nothing at all.

Other programs and other people on the machine do not know the token. A web page that has its own
name lead to loopback still sends that name as the host, and is refused.
"""

import secrets
from contextlib import suppress

from h11 import LocalProtocolError
from starlette.datastructures import Headers, MutableHeaders
from starlette.responses import PlainTextResponse, Response
from starlette.types import ASGIApp, Message, Receive, Scope, Send

_OWN = "script-src 'self'; style-src 'self'; img-src 'self'; connect-src 'self'; frame-src 'self'"
_HEADERS = {
    "Cache-Control": "no-store",
    "Content-Security-Policy": f"default-src 'none'; {_OWN}; frame-ancestors 'self'",
    "Cross-Origin-Opener-Policy": "same-origin",
    "Cross-Origin-Resource-Policy": "same-origin",
    "Referrer-Policy": "no-referrer",
    "X-Content-Type-Options": "nosniff",
}
_LONGEST = 500  # characters of an address; the page's own have about 60


def nothing() -> Response:
    """The answer that tells nothing, not even whether there is something."""
    return PlainTextResponse("Nothing is here.\n", 404)


class Door:
    """Lets through what asks the right host for the right token, and guards what goes out."""

    def __init__(self, app: ASGIApp, port: int, token: str) -> None:
        """`app` answers below `/token/` at this port of loopback."""
        self._app = app
        self._hosts = {f"127.0.0.1:{port}", f"localhost:{port}"}
        self._token = token.encode()

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answer one request."""

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
            await nothing()(scope, receive, guarded)

    def _known(self, scope: Scope) -> bool:
        hosts = Headers(scope=scope).getlist("host")
        # A request may be for `*` or for no path at all.
        first = scope["path"].removeprefix("/").partition("/")[0].encode("utf-8", "replace")
        right = secrets.compare_digest(first, self._token)
        if len(scope["path"]) > _LONGEST:  # of figures beyond some thousand Python makes no number
            return False
        return right and scope["method"] == "GET" and len(hosts) == 1 and hosts[0] in self._hosts
