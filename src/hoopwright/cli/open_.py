"""`hoopwright open`: the workbench in the browser."""

import sys
from pathlib import Path
from typing import Annotated

import typer

from hoopwright.cli.output import stopping_on_findings


def open_workbench(
    project: Annotated[Path, typer.Argument(help="Project folder.")],
    port: Annotated[int | None, typer.Option(help="Port to listen on; a free one without.")] = None,
    browser: Annotated[bool, typer.Option(help="Open the browser.")] = True,
) -> None:
    """Open a project in the workbench: in the browser, served on this machine alone.

    A folder without a project is offered a new one on the page.
    """
    from hoopwright.store import ProjectFolder
    from hoopwright.store.folder import PROJECT_FILE
    from hoopwright.web.serve import free_port, serve

    with stopping_on_findings(False):
        folder = ProjectFolder(path=project)
        if project.is_file() or (project / PROJECT_FILE).exists():
            folder.open()
        at = port or free_port()
        print(f"workbench: http://127.0.0.1:{at}/\nstop it with Ctrl-C", file=sys.stderr)
        serve(folder, port=at, show=browser)
