"""`hoopwright undo` and `hoopwright redo`."""

from pathlib import Path
from typing import Annotated

import typer

from hoopwright.cli.output import AsJson, show, stopping_on_findings

Project = Annotated[Path, typer.Argument(help="Project folder.")]


def undo(project: Project, as_json: AsJson = False) -> None:
    """Take the last edit back; tape distances and issued sheets stay."""
    from hoopwright.jobs import projects
    from hoopwright.store import ProjectFolder

    with stopping_on_findings(as_json):
        step = projects.undo(ProjectFolder(path=project))
        show(as_json, lambda: {"step": step}, f"undone; the project is at step {step}")


def redo(project: Project, as_json: AsJson = False) -> None:
    """Take an undo back."""
    from hoopwright.jobs import projects
    from hoopwright.store import ProjectFolder

    with stopping_on_findings(as_json):
        step = projects.redo(ProjectFolder(path=project))
        show(as_json, lambda: {"step": step}, f"redone; the project is at step {step}")
