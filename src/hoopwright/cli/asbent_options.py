"""The options of `hoopwright asbent`: how the bar was measured, and what is done with it."""

from pathlib import Path
from typing import Annotated

import typer

_MEASURED = "How it was measured: one of these, or what was taped at the bender"

MaybeProject = Annotated[
    Path | None, typer.Argument(help="Project folder. Without one, --scan alone prints a bend table.")
]
MaybeBar = Annotated[str | None, typer.Argument(help="The bar that was bent, such as MH.")]

Tape = Annotated[
    list[str] | None,
    typer.Option(
        help="A tape distance on the finished bar: 'feet 1252', 'knees 1317.4'. Repeatable.",
        rich_help_panel=_MEASURED,
    ),
]
Also = Annotated[
    list[str] | None,
    typer.Option(
        help="What else may be off, for --tape: rotations or straights. Repeatable.",
        rich_help_panel=_MEASURED,
    ),
]
Reading = Annotated[
    list[str] | None,
    typer.Option(
        help="A released bend: number, angle and, where it was read, rotation, such as '2 49.8 -26.5'. Repeatable.",
        rich_help_panel=_MEASURED,
    ),
]
Readings = Annotated[
    Path | None,
    typer.Option(help="Released bends as CSV: bend,angle_deg,rotation_deg.", rich_help_panel=_MEASURED),
]
Bent = Annotated[
    bool,
    typer.Option(
        "--bent", help="As it was read at the bender with 'hoopwright bend'.", rich_help_panel=_MEASURED
    ),
]
Scan = Annotated[
    Path | None,
    typer.Option(help="A scan of the finished bar: points or a mesh.", rich_help_panel=_MEASURED),
]
Unit = Annotated[
    str | None,
    typer.Option(help="Unit of the scan: mm, cm, m, in or ft.", rich_help_panel=_MEASURED),
]

Csv = Annotated[bool, typer.Option("--csv", help="Print the bend table as CSV alone.")]
Keep = Annotated[bool, typer.Option("--keep", help="Let the bar as bent count in the project from now on.")]
Picture = Annotated[
    bool, typer.Option("--picture", help="Draw the bar as bent over the drawn one, into the papers.")
]
Drop = Annotated[bool, typer.Option("--drop", help="Let the drawn bar count again.")]
Date = Annotated[str | None, typer.Option(help="Day of the measurement; today without.")]
