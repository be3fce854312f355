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
    date: Annotated[str | None, typer.Option(help="Day, ISO 8601; today without.")] = None,
    as_json: AsJson = False,
) -> None:
    """Say which tube bars were cut from: heat number and certificate go into the scrutineer's file."""
    from hoopwright.jobs.tubes_used import SaidTube, say_cut_from
    from hoopwright.store import ProjectFolder

    with stopping_on_findings(as_json):
        said = SaidTube(stick=stick, batch=batch, heat_number=heat, certificate=certificate, steel=steel)
        day = day_of(date)
        kept = say_cut_from(ProjectFolder(path=project), bars, said, date=day)
        lines = [
            f"{one.bar_id}: heat {one.heat_number or 'not known'}, certificate {one.certificate or 'not known'}, "
            f"steel {one.steel or 'not known'}"
            for one in kept
        ]
        show(as_json, lambda: {"tubes_used": [dict(vars(one)) for one in kept]}, "\n".join(lines))
