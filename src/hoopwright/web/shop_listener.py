"""Listening on the shop network beside this machine's own server, begun and ended while that goes on."""

import asyncio
import socket
from collections.abc import Generator
from contextlib import contextmanager, suppress
from typing import Any, Literal

import uvicorn

from hoopwright.web.door.network import InShop, Network
from hoopwright.web.door.patience import TimedProtocol
from hoopwright.web.shop_network import listening

CONNECTIONS = 1000
SOCKET_BYTES = 2_000_000
_LOOK_S = 0.02


def server_config(app: Any, *, lifespan: Literal["on", "off"]) -> uvicorn.Config:
    """How a server of ours answers, on whatever it listens.

    Args:
        app: What answers, guarded.
        lifespan: `off` for a second server of an app that is running.
    """
    return uvicorn.Config(
        app,
        lifespan=lifespan,
        log_level="warning",
        http=TimedProtocol,
        limit_concurrency=CONNECTIONS,
        timeout_keep_alive=10,
        ws_max_size=SOCKET_BYTES,
        proxy_headers=False,
        server_header=False,
        timeout_graceful_shutdown=2,
    )


class _Beside(uvicorn.Server):
    """A second server, which leaves Ctrl-C to the first."""

    @contextmanager
    def capture_signals(self) -> Generator[None, None, None]:
        """Capture none."""
        yield


class ShopListener:
    """Listens on the shop network from `begin` to `end`, in the loop in which they are called.

    Args:
        app: What answers, guarded.
        network: What the guard knows of it.
    """

    def __init__(self, app: Any, network: Network) -> None:
        self._app, self._network = app, network
        self._one = asyncio.Lock()
        self._server: _Beside | None = None
        self._serving: asyncio.Task[None] | None = None

    async def begin(self, at: InShop, bound: socket.socket | None = None) -> bool:
        """Listen, unless it listens already; tells whether it began.

        Args:
            at: Where.
            bound: A socket that listens there, where there is one.

        Raises:
            UserError: `WEB-080`, `WEB-081` when it cannot listen there.
        """
        async with self._one:
            if self._network.now is not None:
                if bound is not None:
                    bound.close()
                return False
            await self._close()
            server = _Beside(server_config(self._app, lifespan="off"))
            door = bound or listening(at.host, at.port)
            serving = asyncio.create_task(server.serve(sockets=[door]), name="shop network")
            while not server.started and not serving.done():
                await asyncio.sleep(_LOOK_S)
            if serving.done():
                door.close()
                serving.result()
                return False
            self._server, self._serving = server, serving
            self._network.now = at
            serving.add_done_callback(lambda _: self._is_over(at))
            return True

    async def end(self) -> None:
        """Refuse all that comes from the shop network from here on, and hang up on who is connected."""
        self._network.now = None
        async with self._one:
            self._network.now = None
            await self._close()

    def _is_over(self, at: InShop) -> None:
        if self._network.now is at:
            self._network.now = None

    async def _close(self) -> None:
        server, serving = self._server, self._serving
        self._server = self._serving = None
        if server is None or serving is None:
            return
        for listener in server.servers:
            listener.close()
        _hang_up(server)
        server.should_exit = True
        with suppress(asyncio.CancelledError):
            await serving
        _hang_up(server)


def _hang_up(server: uvicorn.Server) -> None:
    """Close every connection without waiting for what is under way on it."""
    for connection in tuple(server.server_state.connections):
        transport: Any = connection.transport
        if transport is not None:
            transport.abort()
