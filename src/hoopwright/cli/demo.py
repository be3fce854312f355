"""`hoopwright demo`: the main job on an invented car."""

from pathlib import Path
from typing import Annotated

import typer

from hoopwright.cli import typed
from hoopwright.cli.output import AsJson, progress_bar, show, stopping_on_findings
from hoopwright.findings import Severity


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
        graver = [finding for finding in made.findings if finding.severity is not Severity.NOTE]
        notes = len(made.findings) - len(graver)
        where = [f"  {folder / name}" for name in made.look_at]
        more = f"{notes} notes, none of them a fault: hoopwright check {folder}"
        offer = f"see it in the browser: hoopwright open {folder}"
        text = "\n".join([*made.told, "", "look at:", *where, more, offer])
        keys = {"told": list(made.told), "look_at": list(made.look_at)}
        show(as_json, lambda: dict(keys), text, made.findings if as_json else graver)
