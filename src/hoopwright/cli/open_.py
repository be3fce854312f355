"""`hoopwright open`: the workbench in the browser."""

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from hoopwright.cli.output import AsJson, show, stopping_on_findings

if TYPE_CHECKING:
    from hoopwright.web.serve import Show


def open_workbench(
    project: Annotated[Path, typer.Argument(help="Project folder.")],
    port: Annotated[
        int | None,
        typer.Option(help="Port to listen on; a free one without, 8655 with --share.", min=1, max=65535),
    ] = None,
    browser: Annotated[bool, typer.Option(help="Open the browser.")] = True,
    window: Annotated[bool, typer.Option(help="Open a window of its own in place of the browser.")] = False,
    share: Annotated[
        bool, typer.Option(help="Let phones and tablets on the shop network be paired and come in.")
    ] = False,
    host: Annotated[
        str | None, typer.Option(help="This machine's address on the shop network, where it has several.")
    ] = None,
    as_json: AsJson = False,
) -> None:
    """Open a project in the workbench: in the browser, served on this machine alone unless it is shared.

    A folder without a project is offered a new one on the page.
    """
    from hoopwright.store import ProjectFolder
    from hoopwright.store.devices import DeviceList, devices_file
    from hoopwright.web.serve import Wishes, free_port, serve
    from hoopwright.web.shop_network import SHARED_PORT, named_address, own_address

    if host is not None and not share:
        raise typer.BadParameter("only together with --share", param_hint="--host")
    with stopping_on_findings(as_json):
        folder = ProjectFolder(path=project)
        if folder.holds_project:
            folder.open()
        shared_at = ""
        if share:
            shared_at = named_address(host) if host else own_address()
        wishes = Wishes(
            port=port or (SHARED_PORT if share else free_port()),
            shared_at=shared_at,
            devices=DeviceList(devices_file()),
        )

        def begun(address: str, shared_address: str) -> None:
            if as_json:
                keys = {"address": address, "shared_address": shared_address or None}
                show(True, lambda: dict(keys), "")

        serve(folder, wishes, show=_shower(browser=browser, window=window), begun=begun)


def _shower(*, browser: bool, window: bool) -> "Show | None":
    if window:
        from hoopwright.web.window import window_of

        return window_of()
    if not browser:
        return None
    import webbrowser

    def in_browser(address: str) -> bool:
        webbrowser.open(address)
        return False

    return in_browser
