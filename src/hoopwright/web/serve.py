"""Serving the workbench on this machine."""

import socket

from nicegui import app, ui

from hoopwright.store import ProjectFolder
from hoopwright.web.desk import Desk
from hoopwright.web.guard import Guard
from hoopwright.web.paper_routes import add_paper_routes
from hoopwright.web.routes import add_routes
from hoopwright.web.workbench import workbench

BASE = "/seen/"
RECONNECT_S = 600.0
"""A laptop that slept, or a browser tab that was put aside, finds its page as it was."""


def free_port() -> int:
    """A port that nothing listens on."""
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return int(probe.getsockname()[1])


def serve(folder: ProjectFolder, *, port: int, show: bool) -> None:
    """Serve a project on loopback until the server is stopped.

    Args:
        folder: The project.
        port: Where to listen.
        show: Open the browser.
    """
    desk = Desk(folder)
    desk.uploads.sweep()
    app.add_middleware(Guard, hosts=frozenset({f"127.0.0.1:{port}", f"localhost:{port}"}))
    add_routes(app, desk, BASE)
    add_paper_routes(app, desk, BASE)

    @ui.page("/", title="Hoopwright")
    async def _page() -> None:
        await workbench(desk, BASE)

    ui.run(
        host="127.0.0.1",
        port=port,
        title="Hoopwright",
        show=show,
        reload=False,
        reconnect_timeout=RECONNECT_S,
        show_welcome_message=False,
    )
