"""How a cutting plan is wanted, typed alike for every command that makes one."""

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from hoopwright.cli import typed
from hoopwright.units import parse_length_mm

if TYPE_CHECKING:
    from hoopwright.jobs.stock import StockWishes

Folder = Annotated[Path, typer.Argument(help="Project folder.")]
Sticks = Annotated[
    list[str] | None,
    typer.Option(
        "--stick", help="Stick that can be bought: LENGTH, LENGTH:COUNT or LENGTH:COUNT:PRICE. Repeatable."
    ),
]
Kerf = Annotated[
    str | None, typer.Option(help="What the saw takes between two parts; that of your rates, or 3, without.")
]
Trim = Annotated[str, typer.Option(help="Taken off each end of a whole stick.")]
Price = Annotated[
    str | None,
    typer.Option(
        help="Of sticks without one: 4.20/m or 25/stick, in your money; that of your rates without."
    ),
]
Only = Annotated[list[str] | None, typer.Option(help="Only this bar, cut already or not. Repeatable.")]
Together = Annotated[
    list[str] | None,
    typer.Option(help="Bars that share a batch, such as 'MH, FH'. Mirrored pairs do anyway."),
]
Spares = Annotated[bool, typer.Option("--spares", help="Cut the spares that are proposed, too.")]
NoRack = Annotated[bool, typer.Option("--no-rack", help="As if nothing were on the rack.")]
Limit = Annotated[float, typer.Option("--time-limit", help="How long to look for a better plan, s a size.")]
Least = Annotated[str, typer.Option("--least", help="Length from which what is left goes back to the rack.")]
Day = Annotated[str | None, typer.Option("--date", help="Day, YYYY-MM-DD; today without.")]


def stock_wishes(
    stick: list[str] | None,
    kerf: str | None,
    trim: str,
    price: str | None,
    fewest: bool,
    only: list[str] | None,
    together: list[str] | None,
    spares: bool,
    no_rack: bool,
    time_limit_s: float,
    shop: str | None,
) -> "StockWishes":
    """What was typed, read.

    Raises:
        UserError: `TYPED-001`, `UNIT-001`.
    """
    from hoopwright.jobs.stick_words import bar_names, stick_offer, stick_price
    from hoopwright.jobs.stock import StockWishes

    return StockWishes(
        offers=tuple(stick_offer(text) for text in stick or ()),
        kerf_mm=typed.maybe(parse_length_mm, kerf),
        trim_mm=parse_length_mm(trim),
        goal="fewest" if fewest else "least",
        price=typed.maybe(stick_price, price),
        only=tuple(only or ()),
        together=tuple(bar_names(text) for text in together or ()),
        spares=spares,
        rack=not no_rack,
        shop=shop,
        time_limit_s=time_limit_s,
    )
