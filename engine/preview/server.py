"""The one socket of a preview, on loopback, for as long as the command runs."""

import asyncio
import contextlib
import socket
from collections.abc import Callable, Sequence
from typing import NoReturn

import uvicorn
from uvicorn.protocols.http.h11_impl import H11Protocol

from trimscribe.preview.choices import Choices
from trimscribe.preview.session import PreviewSession
from trimscribe.preview.site import Site, build

_PATIENCE_S = 10.0  # for a request to come whole


class _Impatient(H11Protocol):
    """A connection that is closed when it says nothing, or not all, for a while."""

    _wait: asyncio.TimerHandle | None = None

    def connection_made(self, transport: asyncio.Transport) -> None:  # type: ignore[override]
        """Begin to wait."""
        super().connection_made(transport)
        self._hurry()

    def data_received(self, data: bytes) -> None:
        """Wait again once a request has come; bytes that drip in are no reason to."""
        before = self.cycle
        super().data_received(data)
        if self.cycle is not before:
            self._hurry()

    def eof_received(self) -> None:
        """Whoever has said half and says no more gets no answer."""
        super().eof_received()
        self._close()

    def connection_lost(self, exc: Exception | None) -> None:
        """Wait no longer."""
        if self._wait:
            self._wait.cancel()
        super().connection_lost(exc)

    def _hurry(self) -> None:
        if self._wait:
            self._wait.cancel()
        self._wait = self.loop.call_later(_PATIENCE_S, self._close)

    def _close(self) -> None:
        answering = self.cycle is not None and not self.cycle.response_complete
        if not answering and not self.transport.is_closing():
            self.transport.close()


_LOOPBACK = "127.0.0.1"


def serve(
    jobs: Sequence[str],
    announce: Callable[[str], None],
    *,
    theme: str = "",
    shop: str = "",
    root: str = "",
    port: int = 0,
) -> NoReturn:
    """Show jobs until the process is interrupted; `announce` is told the address.

    Port 0 means any that is free. Raises InputError for a folder without jobs, OSError when the
    port is taken.
    """
    choices = Choices.found(jobs, theme)
    session = PreviewSession(shop, root)
    session.desk.warm("trimscribe.desk.work:get_ready")  # it loads while the person opens the page
    site = Site(choices, session)
    with contextlib.closing(session), socket.create_server((_LOOPBACK, port)) as listener:
        port = listener.getsockname()[1]
        announce(f"http://{_LOOPBACK}:{port}/{site.token}/")
        config = uvicorn.Config(
            build(site, port),
            log_config=None,
            server_header=False,
            http=_Impatient,
            ws="none",
            timeout_graceful_shutdown=1,  # pages keep a connection open for as long as they live
        )
        uvicorn.Server(config).run(sockets=[listener])
    raise KeyboardInterrupt  # it ends in no other way, also where the caller has the signal ignored
