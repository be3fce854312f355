"""`hoopwright layout`: a first cage from a handful of landmarks."""

import shlex
from pathlib import Path
from typing import Annotated

import typer

from hoopwright.cli import typed
from hoopwright.cli.output import AsJson, progress_bar, show, stopping_on_findings, table_text
from hoopwright.units import parse_angle_deg, parse_length_mm


def layout(
    project: Annotated[Path, typer.Argument(help="Project folder.")],
    landmark: Annotated[
        list[str] | None,
        typer.Option(
            help="Left-hand place 'name=F,L,U': hoop_foot, front_foot, screen_corner, backstay_foot. Repeatable."
        ),
    ] = None,
    lean: Annotated[str, typer.Option(help="Lean of the main hoop, top rearward, degrees.")] = "0",
    hoop_tube: Annotated[str, typer.Option(help="Tube of hoop and side bars: 'OD x WALL'.")] = "45 x 2.5",
    hoop_die: Annotated[str, typer.Option(help="Die for it.")] = "45",
    hoop_clr: Annotated[str, typer.Option(help="Radius that it is drawn with.")] = "137.5",
    brace_tube: Annotated[str, typer.Option(help="Tube of all other bars.")] = "38 x 2.5",
    brace_die: Annotated[str, typer.Option(help="Die for it.")] = "38",
    brace_clr: Annotated[str, typer.Option(help="Radius that it is drawn with.")] = "115",
    as_json: AsJson = False,
) -> None:
    """Place main hoop, side bars, screen bar, backstays, diagonal, harness bar and door bars inside the shell."""
    from hoopwright.fitting.layout import LayoutWishes
    from hoopwright.jobs import projects
    from hoopwright.store import ProjectFolder

    with stopping_on_findings(as_json):
        wishes = LayoutWishes(
            lean_deg=parse_angle_deg(lean),
            hoop_tube=typed.tube_size(hoop_tube),
            hoop_die=hoop_die,
            hoop_clr_mm=parse_length_mm(hoop_clr),
            brace_tube=typed.tube_size(brace_tube),
            brace_die=brace_die,
            brace_clr_mm=parse_length_mm(brace_clr),
        )
        places = dict(typed.named_place(text) for text in landmark or ())
        with progress_bar(as_json) as progress:
            laid = projects.lay_out(ProjectFolder(path=project), places, wishes, progress=progress)
        rows = [[m.member_id, m.role.value, str(m.tube), m.mirror_of or ""] for m in laid.cage.members]
        listed = table_text(["bar", "role", "tube", "mirror of"], rows)
        text = f"{listed}\nnext: hoopwright check {shlex.quote(str(project))}"
        show(
            as_json, lambda: {"bars": [member.member_id for member in laid.cage.members]}, text, laid.findings
        )
