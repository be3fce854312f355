"""`hoopwright layout`: a first cage from a handful of landmarks and choices."""

import shlex
from collections.abc import Mapping
from pathlib import Path
from types import MappingProxyType
from typing import Annotated, Literal

import typer

from hoopwright.cli import typed
from hoopwright.cli.output import AsJson, progress_bar, show, stopping_on_findings, table_text
from hoopwright.units import parse_angle_deg, parse_length_mm

_Feet = Literal[4, 6, 8]
_FEET: Mapping[str, _Feet] = MappingProxyType({"4": 4, "6": 6, "8": 8})


def layout(
    project: Annotated[Path, typer.Argument(help="Project folder.")],
    landmark: Annotated[
        list[str] | None,
        typer.Option(
            help="Left-hand place 'name=F,L,U': hoop_foot, front_foot, screen_corner, backstay_foot, front_strut. "
            "Repeatable. What is not given is looked for in the scan."
        ),
    ] = None,
    feet: Annotated[
        Literal["4", "6", "8"],
        typer.Option(help="Feet: 4 is hoop and backstays, 6 adds side bars, 8 strut links."),
    ] = "6",
    diagonals: Annotated[Literal["one", "cross"], typer.Option(help="Diagonals of the main hoop.")] = "one",
    roof: Annotated[
        Literal["none", "one", "cross", "v"],
        typer.Option(help="Roof bars; a V meets on the screen bar."),
    ] = "none",
    door_bars: Annotated[
        Literal["one", "two", "cross"], typer.Option(help="Door bars of each side.")
    ] = "two",
    door_out: Annotated[str, typer.Option(help="How far the door bars go outward into the doors.")] = "0",
    dash: Annotated[bool, typer.Option("--dash/--no-dash", help="A bar at the dash.")] = False,
    sills: Annotated[bool, typer.Option("--sills/--no-sills", help="A bar along each sill.")] = False,
    lean: Annotated[str, typer.Option(help="Lean of the main hoop, top rearward, degrees.")] = "0",
    hoop_tube: Annotated[str, typer.Option(help="Tube of hoop and side bars: 'OD x WALL'.")] = "45 x 2.5",
    hoop_die: Annotated[str, typer.Option(help="Die for it.")] = "45",
    hoop_clr: Annotated[str, typer.Option(help="Radius that it is drawn with.")] = "137.5",
    brace_tube: Annotated[str, typer.Option(help="Tube of all other bars.")] = "38 x 2.5",
    brace_die: Annotated[str, typer.Option(help="Die for it.")] = "38",
    brace_clr: Annotated[str, typer.Option(help="Radius that it is drawn with.")] = "115",
    as_json: AsJson = False,
) -> None:
    """Place a whole cage of the bars that are chosen inside the shell, each at the gap of the project."""
    from hoopwright.fitting.layout import LayoutWishes
    from hoopwright.jobs import projects
    from hoopwright.store import ProjectFolder

    with stopping_on_findings(as_json):
        wishes = LayoutWishes(
            feet=_FEET[feet],
            hoop_diagonals=diagonals,
            roof=roof,
            door_bars=door_bars,
            door_out_mm=parse_length_mm(door_out),
            dash_bar=dash,
            sill_bars=sills,
            lean_deg=parse_angle_deg(lean),
            hoop_tube=typed.tube_size(hoop_tube),
            hoop_die=hoop_die,
            hoop_clr_mm=parse_length_mm(hoop_clr),
            brace_tube=typed.tube_size(brace_tube),
            brace_die=brace_die,
            brace_clr_mm=parse_length_mm(brace_clr),
        )
        places = typed.named_places(landmark or ())
        with progress_bar(as_json) as progress:
            laid = projects.lay_out(ProjectFolder(path=project), places, wishes, progress=progress)
        rows = [[m.member_id, m.role.value, str(m.tube), m.mirror_of or ""] for m in laid.cage.members]
        listed = table_text(["bar", "role", "tube", "mirror of"], rows)
        text = f"{listed}\nnext: hoopwright check {shlex.quote(str(project))}"
        show(
            as_json, lambda: {"bars": [member.member_id for member in laid.cage.members]}, text, laid.findings
        )
