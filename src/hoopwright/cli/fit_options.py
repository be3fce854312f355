"""The options of `hoopwright fit`, by what they are about."""

from typing import Annotated

import typer

_ENDS = "Ends and way"
_TUBE = "Bar, bender and gap"
_PLANE = "Plane of the bends"
_SEARCH = "Bends and search"

Bends = Annotated[
    int | None, typer.Option(min=0, max=6, help="Put the bar with so many bends into the project.")
]
Most = Annotated[int, typer.Option(min=0, max=6, help="Try up to so many bends.")]
Again = Annotated[bool, typer.Option("--again", help="Only improve the bar from where it is, and keep it.")]
Picture = Annotated[
    bool, typer.Option("--picture", help="Draw the trade-off and the gap along the bar as PNG.")
]

From = Annotated[
    str | None, typer.Option("--from", help="Place of end A: forward,left,up.", rich_help_panel=_ENDS)
]
To = Annotated[str | None, typer.Option(help="Place of end B.", rich_help_panel=_ENDS)]
EndA = Annotated[
    str | None,
    typer.Option(help="End A lands on: shell, free, or a bar such as MH.", rich_help_panel=_ENDS),
]
EndB = Annotated[str | None, typer.Option(help="End B lands on.", rich_help_panel=_ENDS)]
SlideA = Annotated[
    str,
    typer.Option(
        help="How far end A may slide: along the bar it lands on, else across the car.",
        rich_help_panel=_ENDS,
    ),
]
SlideB = Annotated[str, typer.Option(help="The same for end B.", rich_help_panel=_ENDS)]
Via = Annotated[
    list[str] | None,
    typer.Option(help="Place to pass near, from A to B. Repeatable.", rich_help_panel=_ENDS),
]

NewRole = Annotated[
    str | None, typer.Option(help="What a new bar is, such as 'side bar'.", rich_help_panel=_TUBE)
]
Tube = Annotated[str | None, typer.Option(help="Tube: 'OD x WALL'.", rich_help_panel=_TUBE)]
Die = Annotated[str | None, typer.Option(help="Die that it is bent on.", rich_help_panel=_TUBE)]
Radius = Annotated[str | None, typer.Option("--clr", help="Centreline radius.", rich_help_panel=_TUBE)]
Gap = Annotated[str | None, typer.Option(help="Gap to keep; the project's without.", rich_help_panel=_TUBE)]
Clamp = Annotated[
    str | None,
    typer.Option(help="Straight that the clamp needs; the project's without.", rich_help_panel=_TUBE),
]

Lean = Annotated[
    str | None,
    typer.Option(
        help="Keep all bends in one plane, leaning rearward by so many degrees.", rich_help_panel=_PLANE
    ),
]
AtPillar = Annotated[
    bool,
    typer.Option(
        "--at-pillar",
        help="Keep a hoop in the plane of the B-pillars as scanned.",
        rich_help_panel=_PLANE,
    ),
]
PlaneThrough = Annotated[
    str | None,
    typer.Option(help="Keep all bends in the plane of both ends and this place.", rich_help_panel=_PLANE),
]

Symmetric = Annotated[
    bool | None,
    typer.Option(
        "--symmetric/--each-side",
        help="Its own mirror image, or fitted to each side.",
        rich_help_panel=_SEARCH,
    ),
]
LeastBend = Annotated[str, typer.Option(help="Smallest bend worth making, degrees.", rich_help_panel=_SEARCH)]
GreatestBend = Annotated[
    str, typer.Option(help="Greatest bend of the die, degrees.", rich_help_panel=_SEARCH)
]
Reverse = Annotated[
    bool,
    typer.Option("--reverse", help="Allow a bend against the one before.", rich_help_panel=_SEARCH),
]
Seed = Annotated[
    int,
    typer.Option(min=0, help="Of the search; the same seed gives the same bar.", rich_help_panel=_SEARCH),
]
