"""`hoopwright picture`: shaded pictures of the cage in the shell."""

from pathlib import Path
from typing import Annotated

import typer

from hoopwright.cli.output import AsJson, progress_bar, show, stopping_on_findings


def picture(
    project: Annotated[Path, typer.Argument(help="Project folder.")],
    as_json: AsJson = False,
) -> None:
    """Draw the cage in the shell from six sides, as PNG in the project's papers."""
    from hoopwright.jobs.pictures import draw_pictures
    from hoopwright.store import ProjectFolder

    with stopping_on_findings(as_json):
        with progress_bar(as_json) as progress:
            made = draw_pictures(ProjectFolder(path=project), progress=progress)
        text = "\n".join(f"written: {project / name}" for name in made)
        show(as_json, lambda: {"files": list(made)}, text)
