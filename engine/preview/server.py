"""The one socket of a preview, on loopback, for as long as the command runs."""

import socket
from collections.abc import Callable, Sequence

import uvicorn

from trimscribe.preview.choices import Choices
from trimscribe.preview.sights import Sights
from trimscribe.preview.site import Site, build
from trimscribe.registry import Registry
from trimscribe.world import World

__all__ = ["serve"]

_LOOPBACK = "127.0.0.1"


def serve(
    jobs: Sequence[str],
    registry: Registry,
    world: World,
    announce: Callable[[str], None],
    *,
    theme: str = "",
    shop: str = "",
    port: int = 0,
) -> None:
    """Show jobs until the process is interrupted; `announce` is told the address.

    Port 0 means any that is free. Raises InputError for a folder without jobs, OSError when the
    port is taken.
    """
    site = Site(Choices.of(jobs, theme, registry), Sights(registry, world, shop))
    with socket.create_server((_LOOPBACK, port)) as listener:
        port = listener.getsockname()[1]
        announce(f"http://{_LOOPBACK}:{port}/{site.token}/")
        config = uvicorn.Config(
            build(site, port),
            log_config=None,
            server_header=False,
            timeout_graceful_shutdown=1,  # pages keep a connection open for as long as they live
        )
        uvicorn.Server(config).run(sockets=[listener])
