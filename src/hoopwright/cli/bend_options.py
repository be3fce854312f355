"""The options of `hoopwright bend`, by what they are about."""

from typing import Annotated

import typer

_READ = "What was read"
_WRONG = "What was typed wrongly, or is off"
_LIMITS = "Limits"

Reading = Annotated[
    str | None, typer.Option(help="What the bend reads after release.", rich_help_panel=_READ)
]
Pulled = Annotated[
    str | None,
    typer.Option(help="What was really read under load, if not what was asked.", rich_help_panel=_READ),
]
Turned = Annotated[
    str | None,
    typer.Option(
        help="How far the tube was really turned: clockwise positive, seen from the tail.",
        rich_help_panel=_READ,
    ),
]
Mark = Annotated[
    str | None,
    typer.Option(help="Where the mark really was, from the end of the tube at A.", rich_help_panel=_READ),
]
Taped = Annotated[
    str | None,
    typer.Option(
        help="A distance on the finished bar: 'feet 1266'. Typed again, it takes the place.",
        rich_help_panel=_READ,
    ),
]

Decide = Annotated[
    str | None,
    typer.Option(help="'go on' or 'scrap', after a bend that is off.", rich_help_panel=_WRONG),
]
Correct = Annotated[
    int | None,
    typer.Option(
        help="Number of the record whose reading was typed wrongly; with --reading.",
        rich_help_panel=_WRONG,
    ),
]
TakeBack = Annotated[
    int | None,
    typer.Option(
        help="Number of the last reading, to take it back: it was of no bend.", rich_help_panel=_WRONG
    ),
]
Reason = Annotated[
    str,
    typer.Option(help="Why a reading is lower than before, or was wrong.", rich_help_panel=_WRONG),
]

Band = Annotated[
    str,
    typer.Option(
        help="How far off a bend may be to go on as planned (common practice, no source).",
        rich_help_panel=_LIMITS,
    ),
]
EndLimit = Annotated[
    str,
    typer.Option(
        help="How far an end may be off its place (common practice, no source).",
        rich_help_panel=_LIMITS,
    ),
]

Again = Annotated[bool, typer.Option("--again", help="Begin another stick of this bar.")]
State = Annotated[bool, typer.Option("--state", help="Only say where the bar stands.")]
Shown = Annotated[
    int | None,
    typer.Option(help="The number that you were shown: refused when somebody went on since."),
]
Key = Annotated[str | None, typer.Option(help="A name for this entry: sent twice, it counts once.")]
