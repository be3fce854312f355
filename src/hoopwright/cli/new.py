"""`hoopwright new`: start a project."""

import shlex
from pathlib import Path
from typing import Annotated

import typer

from hoopwright.cli.output import AsJson, show, stopping_on_findings
from hoopwright.units import parse_length_mm


def new(
    project: Annotated[Path, typer.Argument(help="Folder to make.")],
    name: Annotated[str | None, typer.Option(help="Name on the papers; the folder's without.")] = None,
    gap: Annotated[str, typer.Option(help="Gap to the shell that bars keep.")] = "10",
    clamp: Annotated[str, typer.Option(help="Straight that your bender's clamp needs.")] = "60",
    as_json: AsJson = False,
) -> None:
    """Start an empty project."""
    from hoopwright.cage import Limits
    from hoopwright.jobs import projects
    from hoopwright.store import ProjectFolder

    with stopping_on_findings(as_json):
        limits = Limits(gap_mm=parse_length_mm(gap), clamp_mm=parse_length_mm(clamp))
        title = name or project.resolve().name
        projects.start_project(ProjectFolder(path=project), title, limits)
        keys = {"project": str(project), "name": title, "gap_mm": limits.gap_mm, "clamp_mm": limits.clamp_mm}
        text = (
            f"project '{title}' started in {project}: gap {limits.gap_mm:g} mm, clamp {limits.clamp_mm:g} mm\n"
            f"next: hoopwright scan {shlex.quote(str(project))} FILE"
        )
        show(as_json, lambda: dict(keys), text)
