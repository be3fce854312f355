"""`hoopwright command`: the angle to read under load."""

from pathlib import Path
from typing import Annotated

import typer

from hoopwright.cli.output import AsJson, show, stopping_on_findings
from hoopwright.cli.shop_options import LogOption, ShopOption, log_file
from hoopwright.units import parse_angle_deg


def command(
    angle: Annotated[str, typer.Argument(help="Wanted angle of the finished bend, degrees.")],
    calibration: Annotated[
        Path, typer.Option(help="Sample bends (TOML), or the JSON that 'calibrate' printed.")
    ],
    log: LogOption = None,
    batch: Annotated[str | None, typer.Option(help="With --log: the tube batch that is bent now.")] = None,
    shop: ShopOption = None,
    as_json: AsJson = False,
) -> None:
    """The angle to read under load, so that the bend relaxes to the wanted one."""
    if log is not None:
        _learnt(angle, calibration, log, batch, shop, as_json)
        return
    if batch is not None:
        raise typer.BadParameter("--batch goes with --log", param_hint="--log")
    from hoopwright.jobs import calibrations

    with stopping_on_findings(as_json):
        wanted = parse_angle_deg(angle)
        made = calibrations.command(wanted, calibration)
        keys = {"command_deg": made.command_deg, "sd_deg": made.sd_deg, "target_deg": wanted}
        text = f"for {wanted:g}° read {made.command_deg:.2f}° under load (± {made.sd_deg:.2f}°)"
        show(as_json, lambda: dict(keys), text, made.findings)


def _learnt(
    angle: str, calibration: Path, log: str, batch: str | None, shop: str | None, as_json: bool
) -> None:
    from hoopwright.cli.learnt_text import command_text
    from hoopwright.jobs import learning

    with stopping_on_findings(as_json):
        made = learning.command_with_log(
            parse_angle_deg(angle), calibration, log_file(log), batch=batch, shop=shop
        )
        show(as_json, lambda: learning.command_keys(made), command_text(made), made.findings)
