"""`hoopwright bar cut-from`: which tube bars were cut from."""

from pathlib import Path
from typing import Annotated

import typer

from hoopwright.cli.output import AsJson, show, stopping_on_findings
from hoopwright.cli.paper_options import day_of


def cut_from(
    project: Annotated[Path, typer.Argument(help="Project folder.")],
    bars: Annotated[list[str], typer.Argument(help="The bars, such as MH SB-L.")],
    stick: Annotated[str, typer.Option(help="Label of the stick, as the shop has it.")] = "",
    batch: Annotated[
        str, typer.Option(help="Tube batch, as the shop has it; that of the stick without.")
    ] = "",
    heat: Annotated[str, typer.Option(help="Heat number; that of the batch without.")] = "",
    certificate: Annotated[
        str, typer.Option(help="Number of the certificate; that of the batch without.")
    ] = "",
    steel: Annotated[str, typer.Option(help="Steel, as the certificate has it.")] = "",
    take_back: Annotated[
        bool, typer.Option("--take-back", help="Take back what was said of them: their tube is not known.")
    ] = False,
    date: Annotated[str | None, typer.Option(help="Day, ISO 8601; today without.")] = None,
    as_json: AsJson = False,
) -> None:
    """Say which tube bars were cut from: heat number and certificate go into the scrutineer's file."""
    from hoopwright.jobs.batch_numbers import bars_without_number
    from hoopwright.jobs.tubes_used import SaidTube, say_cut_from, say_not_cut
    from hoopwright.store import ProjectFolder

    with stopping_on_findings(as_json):
        said = SaidTube(stick=stick, batch=batch, heat_number=heat, certificate=certificate, steel=steel)
        day, folder = day_of(date), ProjectFolder(path=project)
        if take_back and any(vars(said).values()):
            raise typer.BadParameter("--take-back goes with no tube")
        kept = (
            say_not_cut(folder, bars, date=day) if take_back else say_cut_from(folder, bars, said, date=day)
        )
        lines = [
            f"{one.bar_id}: heat {one.heat_number or 'not known'}, certificate {one.certificate or 'not known'}, "
            f"steel {one.steel or 'not known'}"
            for one in kept
        ]
        told = () if take_back else bars_without_number(kept)
        show(as_json, lambda: {"tubes_used": [dict(vars(one)) for one in kept]}, "\n".join(lines), told)
