"""`hoopwright command`: the angle to read under load."""

from pathlib import Path
from typing import Annotated

import typer

from hoopwright.cli.output import AsJson, show, stopping_on_findings
from hoopwright.units import parse_angle_deg


def command(
    angle: Annotated[str, typer.Argument(help="Wanted angle of the finished bend, degrees.")],
    calibration: Annotated[
        Path, typer.Option(help="Sample bends (TOML), or the JSON that 'calibrate' printed.")
    ],
    as_json: AsJson = False,
) -> None:
    """The angle to read under load, so that the bend relaxes to the wanted one."""
    from hoopwright.jobs import calibrations

    with stopping_on_findings(as_json):
        wanted = parse_angle_deg(angle)
        made = calibrations.command(wanted, calibration)
        keys = {"command_deg": made.command_deg, "sd_deg": made.sd_deg, "target_deg": wanted}
        text = f"for {wanted:g}° read {made.command_deg:.2f}° under load (± {made.sd_deg:.2f}°)"
        show(as_json, lambda: dict(keys), text, made.findings)
