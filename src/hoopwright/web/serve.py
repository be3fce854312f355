"""Serving the workbench on this machine, and on the shop network where that is asked for."""

import socket
import sys
import threading
import time
from collections.abc import Callable
from dataclasses import dataclass, field
from functools import partial

import uvicorn
from fastapi import FastAPI
from nicegui import app, ui

from hoopwright.store import ProjectFolder
from hoopwright.store.devices import DeviceList
from hoopwright.web.desk import Desk
from hoopwright.web.door.asking import asker_of
from hoopwright.web.door.network import InShop, Network
from hoopwright.web.door.opening import Openings
from hoopwright.web.door.pairing import Pairing
from hoopwright.web.door.routes import add_opening, add_pairing
from hoopwright.web.guard import Guard, House
from hoopwright.web.paper_routes import add_paper_routes
from hoopwright.web.routes import add_routes
from hoopwright.web.screen import add_screen_routes
from hoopwright.web.sharing import Sharing
from hoopwright.web.shop_listener import ShopListener, server_config
from hoopwright.web.shop_network import listening
from hoopwright.web.warm import warm_in_background
from hoopwright.web.workbench import workbench

BASE = "/seen/"
RECONNECT_S = 600.0
"""A laptop that slept, or a browser tab that was put aside, finds its page as it was."""
FIRST_VIEW_S = 120.0
"""A large scan is read and measured before the first page is there."""
Show = Callable[[str], bool]
"""Opens an address for the person; true when the server is to stop as soon as it returns."""


def free_port() -> int:
    """A port that nothing listens on."""
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return int(probe.getsockname()[1])


@dataclass(frozen=True, kw_only=True)
class Wishes:
    """How a person wants the workbench served.

    Args:
        port: Where to listen.
        shared_at: This machine's address on the shop network, shared from the start; empty for this machine alone
            until the page asks for more.
        devices: Where paired devices are kept.
    """

    port: int
    devices: DeviceList
    shared_at: str = ""


@dataclass(frozen=True, kw_only=True)
class Served:
    """A workbench that can be served.

    Args:
        app: What answers, guarded.
        openings: Gives keys that open a browser.
        sharing: Begins and ends sharing with the shop network.
    """

    app: Guard
    openings: Openings
    sharing: Sharing
    wishes: Wishes = field(repr=False)

    def address(self) -> str:
        """A new address that opens one browser on this machine, once."""
        return f"http://127.0.0.1:{self.wishes.port}/open?key={self.openings.new_key()}"


def guarded(
    folder: ProjectFolder,
    wishes: Wishes,
    *,
    used: Callable[[], None] = lambda: None,
    now_s: Callable[[], float] = time.monotonic,
) -> Served:
    """Put the workbench together behind its guard.

    Args:
        folder: The project.
        wishes: How it is served.
        used: Called when a key has opened a browser.
        now_s: A clock that never goes back.
    """
    desk = Desk(folder)
    desk.uploads.sweep()
    network, pairing = Network(), Pairing(now_s)
    house = House(port=wishes.port, openings=Openings(), devices=wishes.devices, network=network, now_s=now_s)
    outer = FastAPI(openapi_url=None, docs_url=None, redoc_url=None)
    guard = Guard(outer, house)
    sharing = Sharing(
        devices=wishes.devices, pairing=pairing, network=network, listener=ShopListener(guard, network)
    )
    add_routes(app, desk, BASE)
    add_paper_routes(app, desk, BASE)
    add_screen_routes(app, folder, address=lambda: sharing.address)
    app.on_startup(lambda: warm_in_background(desk))
    app.on_shutdown(sharing.end)

    @ui.page("/", title="Hoopwright", response_timeout=FIRST_VIEW_S)
    async def _page() -> None:
        request = ui.context.client.request
        await workbench(desk, BASE, asker=asker_of(request.scope), sharing=sharing)

    add_opening(outer, house, used=used)
    add_pairing(outer, wishes.devices, pairing)
    # the bar over the page tells of requests that nobody made; what is worked on says so itself
    app.config.quasar_config["loadingBar"]["skipHijack"] = True
    ui.run_with(
        outer, title="Hoopwright", language="en-US", reconnect_timeout=RECONNECT_S, show_welcome_message=False
    )
    return Served(app=guard, openings=house.openings, sharing=sharing, wishes=wishes)


def serve(
    folder: ProjectFolder,
    wishes: Wishes,
    *,
    show: Show | None,
    begun: Callable[[str, str], None] | None = None,
) -> None:
    """Serve a project until the server is stopped.

    Args:
        folder: The project.
        wishes: Where.
        show: Opens an address in a browser or a window; None opens nothing.
        begun: Told the address to open and the one on the shop network, empty without sharing, once both listen.

    Raises:
        UserError: `WEB-080`, `WEB-081` when it cannot listen there.
    """
    here = listening("127.0.0.1", wishes.port)
    at = InShop(host=wishes.shared_at, port=wishes.port) if wishes.shared_at else None
    there = None if at is None else listening(at.host, at.port)
    served = guarded(folder, wishes, used=lambda: _tell(f"to open another browser: {served.address()}"))
    if at is not None and there is not None:
        app.on_startup(partial(served.sharing.begin_on, there, at))
    server = uvicorn.Server(server_config(served.app, lifespan="on"))
    first = served.address()
    shared_address = "" if at is None else at.url
    _tell(f"workbench: {first}")
    if shared_address:
        _tell(f"on the shop network: {shared_address}  (pair phones with Shop network on the page)")
    _tell("stop it with Ctrl-C")
    if begun is not None:
        begun(first, shared_address)
    if show is not None:
        threading.Thread(target=_show_when_up, args=(server, show, first), daemon=True).start()
    server.run(sockets=[here])


def _show_when_up(server: uvicorn.Server, show: Show, address: str) -> None:
    while not server.started:
        if server.should_exit:
            return
        time.sleep(0.05)
    if show(address):
        server.should_exit = True


def _tell(words: str) -> None:
    sys.stderr.write(f"{words}\n")
    sys.stderr.flush()
