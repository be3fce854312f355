"""`hoopwright undo` and `hoopwright redo`."""

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from hoopwright.cli.output import AsJson, show, stopping_on_findings

if TYPE_CHECKING:
    from hoopwright.jobs.projects import Stepped

Project = Annotated[Path, typer.Argument(help="Project folder.")]


def undo(project: Project, as_json: AsJson = False) -> None:
    """Take the last edit back; tape distances and issued sheets stay."""
    from hoopwright.jobs import projects
    from hoopwright.store import ProjectFolder

    with stopping_on_findings(as_json):
        done = projects.undo(ProjectFolder(path=project))
        show(as_json, lambda: dict(vars(done)), f"undone: {_words(done)}")


def redo(project: Project, as_json: AsJson = False) -> None:
    """Take an undo back."""
    from hoopwright.jobs import projects
    from hoopwright.store import ProjectFolder

    with stopping_on_findings(as_json):
        done = projects.redo(ProjectFolder(path=project))
        show(as_json, lambda: dict(vars(done)), f"redone: {_words(done)}")


def _words(done: "Stepped") -> str:
    if done.bars_before == done.bars_after:
        return f"{done.bars_after} bars as before; the project is at step {done.step}"
    return f"from {done.bars_before} bars to {done.bars_after}; the project is at step {done.step}"
