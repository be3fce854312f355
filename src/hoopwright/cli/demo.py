"""`hoopwright demo`: the main job on an invented car."""

from pathlib import Path
from typing import Annotated

import typer

from hoopwright.cli import typed
from hoopwright.cli.output import AsJson, progress_bar, show, stopping_on_findings


def demo(
    folder: Annotated[
        Path, typer.Argument(help="Folder to make; one that is there must be empty or a demo.")
    ] = Path("demo-car"),
    as_json: AsJson = False,
) -> None:
    """Make an invented car's scan, take it in, lay a cage out, calibrate, check, and issue the sheets."""
    from hoopwright.jobs.demo import run_demo

    with stopping_on_findings(as_json):
        with progress_bar(as_json) as progress:
            made = run_demo(folder, date=typed.today(), progress=progress)
        text = "\n".join([*made.told, "", "look at:", *(f"  {folder / name}" for name in made.look_at)])
        show(as_json, lambda: {"told": list(made.told), "look_at": list(made.look_at)}, text, made.findings)
